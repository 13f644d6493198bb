"""Where each key of a TOML text stands: the line of every path, which `tomllib` does not tell.

Only for text that `tomllib` has accepted, so nothing is checked here again. A path is the keys and array
places that lead to a value: ("tank", 0, "fuel", "feedstock"). See https://toml.io/en/v1.0.0 for the syntax.
"""

import re
import tomllib
from bisect import bisect_right

KeyPath = tuple[str | int, ...]

DEEPEST = 12  # parts of a path that are followed

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}' r"|'''.*?'{3,5}" r'|"(?:\\.|[^"\\])*"' r"|'[^']*'",
    re.DOTALL,
)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_DOT = re.compile(r"[ \t]*\.[ \t]*")
_SCALAR = re.compile(r"[^,\]}#\n]*")


def line_of(lines: dict[KeyPath, int], path: KeyPath) -> int | None:
    """The line of a path, or of the nearest thing around it that has one; None for the whole text."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path)


def lines_of(text: str) -> dict[KeyPath, int]:
    """The line, counted from 1, on which each path of a valid TOML text is first named."""
    return _Scanner(text).scan()


class _Scanner:
    """Walks once through the text. Every method takes up at `_place` and leaves it after what it read."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._place = 0
        self._newlines = [found.start() for found in re.finditer("\n", text)]
        self._lines: dict[KeyPath, int] = {}
        self._counts: dict[KeyPath, int] = {}  # of the arrays of tables

    def scan(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        self._skip(_BLANK)
        while self._place < len(self._text):
            if self._text[self._place] == "[":
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)
        return self._lines

    def _skip(self, pattern: re.Pattern[str]) -> str:
        found = pattern.match(self._text, self._place)
        if found is None:
            return ""
        self._place = found.end()
        return found.group()

    def _note(self, path: KeyPath, place: int) -> None:
        self._lines.setdefault(path, bisect_right(self._newlines, place) + 1)

    def _header(self) -> KeyPath:
        begun = self._place
        brackets = 2 if self._text.startswith("[[", begun) else 1
        self._place += brackets
        self._skip(_BLANK)
        keys = self._key()
        self._skip(_BLANK)
        self._place += brackets
        path: KeyPath = ()
        for key in keys[:-1]:
            path = (*path, key)
            self._note(path, begun)
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        path = (*path, keys[-1])
        self._note(path, begun)
        if brackets == 2:
            self._counts[path] = self._counts.get(path, 0) + 1
            path = (*path, self._counts[path] - 1)
            self._note(path, begun)
        return path

    def _pair(self, table: KeyPath) -> None:
        begun = self._place
        path = table
        for key in self._key():
            path = (*path, key)
            self._note(path, begun)
        self._skip(_BLANK)
        self._place += 1  # the equals sign
        self._value(path)

    def _key(self) -> list[str]:
        keys: list[str] = []
        while True:
            if self._text[self._place] in "\"'":
                keys.append(tomllib.loads("key = " + self._skip(_STRING))["key"])
            else:
                keys.append(self._skip(_BARE_KEY))
            if not self._skip(_DOT):
                return keys[:DEEPEST]

    def _value(self, path: KeyPath) -> None:
        self._skip(_BLANK)
        self._note(path, self._place)
        match self._text[self._place]:
            case "[":
                self._array(path)
            case "{":
                self._inline_table(path)
            case '"' | "'":
                self._skip(_STRING)
            case _:
                self._skip(_SCALAR)

    def _array(self, path: KeyPath) -> None:
        self._place += 1
        index = 0
        while True:
            self._skip(_BLANK)
            if self._text[self._place] == "]":
                break
            if self._text[self._place] == ",":
                self._place += 1
                index += 1
            else:
                self._value((*path, index))
        self._place += 1

    def _inline_table(self, path: KeyPath) -> None:
        self._place += 1
        while True:
            self._skip(_BLANK)
            if self._text[self._place] == "}":
                break
            if self._text[self._place] == ",":
                self._place += 1
            else:
                self._pair(path)
        self._place += 1
