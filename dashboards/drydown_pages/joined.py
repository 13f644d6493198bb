"""A script with all modules that it imports, as one text: for a slow phone and for a small board each file that is
asked for costs more than what is in it.

It knows no more of JavaScript than how our own modules import and export, and says so where one does otherwise.
"""

import os.path
import re
from pathlib import Path

_IMPORT = re.compile(r'^import \{\s*(?P<names>[^}]+?)\s*\} from "(?P<path>\.[^"]+)";$', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:const|function|class) (?P<name>\w+))", re.MULTILINE)
_OTHER = re.compile(r"^(?:import|export)\b.*", re.MULTILINE)


def joined(script: Path) -> str:
    """The script, below every module that it needs.

    Raises ValueError where one imports or exports in another way than ours do, or needs itself.
    """
    modules: dict[Path, str] = {}
    body = _with_its_modules(script, modules, (script,))
    return "".join([*modules.values(), body])


def _with_its_modules(script: Path, modules: dict[Path, str], needed_by: tuple[Path, ...]) -> str:
    """The script's own text, its imports taken from `modules`, to which those that were missing are added."""

    def taken(found: re.Match[str]) -> str:
        path = Path(os.path.normpath(script.parent / found["path"]))
        if path in needed_by:
            raise ValueError(f"{script} imports {path}, which needs {script} itself: move what both need to a third")
        if path not in modules:
            modules[path] = _as_constant(path, _with_its_modules(path, modules, (*needed_by, path)), len(modules))
        return f"const {{ {found['names'].replace(' as ', ': ')} }} = {_name(path, list(modules).index(path))};"

    text = _IMPORT.sub(taken, script.read_text("utf-8"))
    if odd := _OTHER.search(_EXPORT.sub("", text)):
        raise ValueError(
            f'{script} says `{odd[0]}`: write `import {{ name }} from "./module.js";`, or `export` before a const, '
            "function or class"
        )
    return text


def _as_constant(path: Path, text: str, number: int) -> str:
    names = ", ".join(found["name"] for found in _EXPORT.finditer(text))
    return f"const {_name(path, number)} = (() => {{\n{_EXPORT.sub('', text)}return {{ {names} }};\n}})();\n"


def _name(path: Path, number: int) -> str:
    """What no module calls anything of its own."""
    return f"${path.stem}{number}"
