"""A script with all modules that it imports, as one text.

For a slow phone and for a small board each file that is asked for costs more than what is in it. No more of
JavaScript is known here than how our own modules import and export; where one does otherwise it is refused.
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
    modules: list[tuple[Path, str]] = []
    body = _with_its_modules(script, modules, (script,))
    return "".join([*(text for _, text in modules), body])


def _with_its_modules(script: Path, modules: list[tuple[Path, str]], needed_by: tuple[Path, ...]) -> str:
    """The script's own text, its imports taken from `modules`, to which those that were missing are added."""

    def taken(found: re.Match[str]) -> str:
        path = Path(os.path.normpath(script.parent / found["path"]))
        if path in needed_by:
            raise ValueError(f"{path} and {script} need each other: move what both need to a third module")
        if path not in (known for known, _ in modules):
            text = _with_its_modules(path, modules, (*needed_by, path))
            modules.append((path, _as_constant(_name(path, len(modules)), text)))
        number = [known for known, _ in modules].index(path)
        return f"const {{ {found['names'].replace(' as ', ': ')} }} = {_name(path, number)};"

    text = _IMPORT.sub(taken, script.read_text("utf-8"))
    if odd := _OTHER.search(_EXPORT.sub("", text)):
        allowed = 'import { name } from "./module.js"; and export before a const, function or class'
        raise ValueError(f"{script} says `{odd[0]}`, which cannot be joined: write {allowed}")
    return text


def _as_constant(name: str, text: str) -> str:
    exported = ", ".join(found["name"] for found in _EXPORT.finditer(text))
    return f"const {name} = (() => {{\n{_EXPORT.sub('', text)}return {{ {exported} }};\n}})();\n"


def _name(path: Path, number: int) -> str:
    """What no module calls anything of its own."""
    return f"${path.stem}{number}"
