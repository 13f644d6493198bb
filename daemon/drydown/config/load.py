"""The configuration file to a checked `Site`, or to sentences that say what to mend: all of them at once."""

import json
import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from drydown.config.complaints import complaints_of
from drydown.config.draft import Complaint, draft_of
from drydown.config.model import Site
from drydown.config.positions import KeyPath, line_of, lines_of
from drydown.errors import UserError

LARGEST = 256_000  # bytes
MOST = 20  # complaints told at once

LONGEST_SHOWN = 200  # characters of a key as it is shown
MOST_EXAMINED = 500  # of the faults that the model finds

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_ENDLESS_KEY = re.compile(
    r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){32}""",
)


class ConfigError(UserError):
    """The configuration cannot be used. The text has one line a fault."""


def load(path: Path) -> Site:
    """Read and check a configuration file. Raises ConfigError."""
    try:
        if path.is_dir():
            raise ConfigError(f"{path} is a folder; allowed: a TOML file")
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        raise ConfigError(f"{path} cannot be read: {error.strerror}") from None
    if len(content) > LARGEST:
        raise ConfigError(f"{path} is too large; allowed: {LARGEST // 1000} kB")
    try:
        text = content.decode()
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise ConfigError(f"{path} line {line}: this is not UTF-8; allowed: text saved as UTF-8") from None
    return parse(text, str(path))


def parse(text: str, source: str) -> Site:
    """Check the text of a configuration; `source` is what messages call it. Raises ConfigError."""
    document = _toml(text, source)
    if not document:
        raise ConfigError(
            f"{source} says nothing; start from a copy of deploy/boathouse.toml, and change that"
        )
    draft = draft_of(document)
    complaints = draft.complaints
    try:
        site = Site.model_validate(draft.data, strict=True)
    except ValidationError as error:
        complaints += complaints_of(error.errors(include_url=False)[:MOST_EXAMINED], draft)
    if complaints:
        raise ConfigError(_told(complaints, lines_of(text), source))
    return site


def _toml(text: str, source: str) -> dict[str, Any]:
    endless = _ENDLESS_KEY.search(text)
    if endless:  # tomllib would need time and memory by the square of its length
        at = text.count("\n", 0, endless.start()) + 1
        raise ConfigError(f"{source} line {at}: a key of more than 32 parts; allowed: 3")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise ConfigError(f"{source}: tables or arrays are nested too deeply; allowed: 8") from None
    except ValueError as error:
        found = re.fullmatch(r"(.*) \(at line (\d+), column (\d+)\)", str(error), re.DOTALL)
        if found:
            fault, line, column = found.groups()
            raise ConfigError(
                f"{source} line {line}: this is not TOML, at column {column}: {fault}"
            ) from None
        raise ConfigError(f"{source}: this is not TOML: {error}") from None


def _told(complaints: list[Complaint], lines: dict[KeyPath, int], source: str) -> str:
    placed = [(line_of(lines, complaint.path), complaint) for complaint in complaints]
    placed.sort(key=lambda pair: pair[0] or 0)
    told = [
        f"{source}{f' line {line}' if line else ''}: {_name(complaint.path)} {complaint.text}"
        for line, complaint in placed[:MOST]
    ]
    if len(placed) > MOST:
        told.append(f"{source}: and {len(placed) - MOST} or more faults like these")
    return "\n".join(told)


def _name(path: KeyPath) -> str:
    """A path as it is written in TOML, with places in arrays counted from 1."""
    name = ""
    for part in path:
        if isinstance(part, int):
            name += f"[{part + 1}]"
        else:
            name += "." * bool(name) + (
                part if _BARE_KEY.fullmatch(part) else json.dumps(part, ensure_ascii=not part.isprintable())
            )
    return name if len(name) <= LONGEST_SHOWN else name[: LONGEST_SHOWN - 1] + "…"
