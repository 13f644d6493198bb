"""The catalogue of texts, made from the code, and what can be wrong with a translation of it.

`deploy/texts` runs this: it writes catalogue.pot anew, brings every LANGUAGE.po in step and compiles it.
"""

import ast
import re
import string
import sys
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from drydown.texts.language import FOLDER

ROOT = Path(__file__).parents[2]
CODE = (ROOT / "daemon/drydown", ROOT / "api/drydown_api", ROOT / "dashboards/drydown_pages")
TEMPLATE = FOLDER / "catalogue.pot"
KEYWORDS: dict[str, tuple[int, ...] | None] = {"say": None, "later": None, "counted": (1, 2)}
HEADER = "# Every text of drydown that people read on pages, in notices and in reports."
UNSAID = b"POT-Creation-Date|PO-Revision-Date|Generated-By|Last-Translator|Language-Team|Report-Msgid"
_UNSAID = re.compile(rb'^"(?:' + UNSAID + rb").*\n", re.MULTILINE)

Text = str | tuple[str, str]


def texts() -> Iterator[tuple[Path, Text]]:
    """Every text of the code with the file in which it stands."""
    for folder in CODE:
        for path in sorted(folder.rglob("*")):
            if "vendor" not in path.parts:
                yield from ((path, text) for text in texts_of(path))


def texts_of(path: Path) -> Iterator[Text]:
    """Every text of one file."""
    match path.suffix:
        case ".py":
            for call in _calls(path):
                said = [str(one.value) for one in call if isinstance(one, ast.Constant)]
                if said and len(said) == len(call):
                    yield said[0] if len(said) == 1 else (said[0], said[1])
        case ".html":
            yield from _extracted(path, "jinja2.ext:babel_extract", {"silent": "false"})
        case ".js":
            yield from _extracted(path, "javascript", {"parse_template_string": "true"})


def unsayable(path: Path) -> list[int]:
    """Lines of a module in which a text is made up or chosen on the spot: no catalogue can have it."""
    return [one.lineno for call in _calls(path) for one in call if not _is_sayable(one)]


def _is_sayable(text: ast.expr) -> bool:
    if isinstance(text, ast.IfExp):
        return not isinstance(text.body, ast.Constant) and not isinstance(text.orelse, ast.Constant)
    return not isinstance(text, ast.JoinedStr | ast.BinOp)


@cache
def catalogue() -> Catalog:
    """All of them, each with the files in which it stands."""
    found = Catalog(project="drydown", header_comment=HEADER, fuzzy=False)
    for path, text in texts():
        found.add(text, locations=[(path.relative_to(ROOT).as_posix(), 1)])
    for message in found:
        if message.id:
            message.flags -= {"python-format", "python-brace-format"}
            message.flags |= {"python-brace-format"} if names(message.id) else set()
    return found


def written(found: Catalog) -> bytes:
    """A catalogue as a file, without dates: the same texts give the same bytes."""
    file = BytesIO()
    write_po(file, found, width=100, include_lineno=False, sort_output=True, omit_header=False)
    return _UNSAID.sub(b"", file.getvalue())


def names(text: Text | list[str] | tuple[str, ...]) -> set[str]:
    """The {names} that stand for values in a text or in any of its forms."""
    forms = [text] if isinstance(text, str) else text
    return {name for form in forms for _, name, _, _ in string.Formatter().parse(form) if name is not None}


def faults(translation: Catalog) -> list[str]:
    """What is wrong with a translation: a sentence for each text that would be said wrongly."""
    return [fault for message in translation if message.id for fault in _faults(message)]


def _faults(message: Message) -> Iterator[str]:
    forms = [message.string] if isinstance(message.string, str) else list(message.string or ())
    if message.fuzzy or not forms or not all(forms):
        yield f"not translated: {message.id!r}"
        return
    needed = names(message.id)
    for form in forms:
        try:
            found = names(form)
        except ValueError:
            yield f"a brace stands alone: {form!r}"
            continue
        may_lack = {"count"} if message.pluralizable else set()
        if lost := needed - found - may_lack:
            yield f"{form!r} has lost {', '.join(sorted(lost))}"
        if unknown := found - needed:
            yield f"{form!r} has {', '.join(sorted(unknown))}, which nothing fills"


def _calls(path: Path) -> Iterator[list[ast.expr]]:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in KEYWORDS:
            yield node.args[: len(KEYWORDS[node.func.id] or (1,))]


def _extracted(path: Path, method: str, options: dict[str, str]) -> Iterator[Text]:
    with path.open("rb") as file:
        for _, text, _, _ in extract(method, file, keywords=KEYWORDS, options=options):
            yield text if isinstance(text, str) else (text[0], text[1])


def main() -> int:
    """Bring the files in step with the code; returns 1 where a translation is wrong."""
    found = catalogue()
    TEMPLATE.write_bytes(written(found))
    told = []
    for path in sorted(FOLDER.glob("*.po")):
        with path.open("rb") as file:
            translation = read_po(file, locale=path.stem)
        translation.update(found, no_fuzzy_matching=True)
        path.write_bytes(written(translation))
        told += [f"{path.name}: {fault}" for fault in faults(translation)]
        with path.with_suffix(".mo").open("wb") as file:
            write_mo(file, translation)
    print(f"{len(found)} texts", *told, sep="\n")
    return 1 if told else 0


if __name__ == "__main__":
    sys.exit(main())
