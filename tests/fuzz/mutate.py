"""Makes wrong inputs out of right ones: the same ones from the same number, each unlike what anybody expects.

What is JSON (as a whole, or one of its lines) is mostly changed as a tree: another type, a number that is
huge, negative or none, text that is long or no Unicode, a key twice, branches moved or nested without end.
Everything is also changed word by word and byte by byte: flipped, cut off, repeated, put together from two.
"""

import json
import re
from collections.abc import Iterator, Sequence
from copy import deepcopy
from random import Random
from typing import Any

LARGEST = 200_000  # bytes of an input
_RAW = "@raw@"  # stands in a tree for what no tree can hold
_WORD = re.compile(rb'"[^"\n]*"|[-+.\w]+|[^\s\w]')

STRANGE: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 0.5, -0.0, 1e-320, 1e15, -1e15, 1e16, 1.7976931348623157e308, 2**31,
    2**53 - 1, 2**53, 2**63, -(2**63), 10**30, 10**400, "", " ", "\0", "a\nb", "é", "\ud800", "😀",
    "../../x", "x" * 300, "y" * 70_000, "1", "NaN", "drydown", "/", "+", "#", "%s%n{0}{x}", "<b>&amp;",
    "2026-11-26", [], {}, [[]], [{}], {"": ""}, [0] * 50,
)  # fmt: skip
RAW = (
    "NaN", "-Infinity", "Infinity", "1e999", "-1e999", "9" * 5000, "0." + "1" * 5000, "1E400", "-", "01",
    "'x'", "", "tru", '"\\ud800"', '"\\udc00\\ud800"', '"\\u0000"', '"\\x"', "[,]", "{}{}",
)  # fmt: skip
BYTES = (
    b"\0", b"\xff", b"\xc3(", b"\xed\xa0\x80", b"\xef\xbb\xbf", b"\xe2\x80\xa8", b"\n", b"\r\n", b"[", b"]",
    b"{", b"}", b",", b'"', b"\\", b"-", b"e9999", b"=", b"/", b"%00", b"'", b"#",
)  # fmt: skip


class Mutator:
    """An endless row of inputs made from seeds. `number` decides which."""

    def __init__(self, seeds: Sequence[bytes], number: int) -> None:
        self._seeds = list(seeds)
        self._trees = [_trees(seed) for seed in self._seeds]
        self._random = Random(number)

    def inputs(self, count: int) -> Iterator[bytes]:
        """So many of them, the seeds themselves first."""
        yield from self._seeds[:count]
        for _ in range(count - len(self._seeds)):
            yield self._one()

    def _one(self) -> bytes:
        at = self._random.randrange(len(self._seeds))
        told = self._seeds[at]
        if self._trees[at] and self._random.random() < 0.6:
            told = self._grown(at)
            if self._random.random() < 0.8:
                return told[:LARGEST]
        for _ in range(self._random.choice((1, 1, 1, 2, 5))):
            told = self._word(told) if self._random.random() < 0.4 else self._bytes(told)
        return told[:LARGEST]

    # Trees

    def _grown(self, at: int) -> bytes:
        """A seed with one of its lines that are JSON changed as a tree."""
        lines = self._seeds[at].split(b"\n") if self._trees[at].keys() != {-1} else [self._seeds[at]]
        place = self._random.choice(list(self._trees[at]))
        tree = json.loads(self._trees[at][place])
        for _ in range(self._random.choice((1, 1, 1, 2, 4))):
            tree = self._changed(tree)
        lines[place if place >= 0 else 0] = self._written(tree)
        return b"\n".join(lines)

    def _changed(self, tree: Any) -> Any:
        holders = [one for one in _nodes(tree) if one]
        if not holders or self._random.random() < 0.03:
            return self._value()
        holder = self._random.choice(holders)
        keys = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
        key = self._random.choice(keys)
        match self._random.randrange(10):
            case 0:
                del holder[key]
            case 1 if isinstance(holder, dict):
                holder[str(self._value())[:200]] = self._value()
            case 1:
                holder.insert(key, self._value())
            case 2 if isinstance(holder, dict):
                holder[self._random.choice(self._words())] = holder.pop(key)
            case 2:
                holder[key:] = holder[key:] * 3
            case 3:
                holder[key] = self._random.choice(list(_leaves(tree)) or [None])
            case 4:
                holder[key] = [holder[key]]
            case 5:
                holder[key] = _RAW
            case _:
                holder[key] = self._like(holder[key])
        return tree

    def _like(self, value: Any) -> Any:
        """Something strange, often of the same type."""
        if self._random.random() < 0.5 or isinstance(value, dict | list | None):
            return self._value()
        if isinstance(value, str):
            place = self._random.randrange(len(value) + 1)
            return value[:place] + str(self._random.choice(STRANGE))[:200] + value[place:]
        return self._random.choice((-value, value * 1000, -value // 10, value // 3, value + 2**31, not value))

    def _value(self) -> Any:
        strange = self._random.choice(STRANGE)
        if isinstance(strange, dict | list):
            return deepcopy(strange)  # it may be changed in its turn
        return _RAW if self._random.random() < 0.3 else strange

    def _words(self) -> list[str]:
        at = self._random.randrange(len(self._seeds))
        told = self._random.choice(list(self._trees[at].values()) or [b'"x"'])
        return [key for node in _nodes(json.loads(told)) if isinstance(node, dict) for key in node] or ["x"]

    def _written(self, tree: Any) -> bytes:
        text = json.dumps(tree, ensure_ascii=self._random.random() < 0.5, separators=(",", ":"))
        while f'"{_RAW}"' in text:
            text = text.replace(f'"{_RAW}"', self._raw(), 1)
        if self._random.random() < 0.05 and "{" in text:
            text = text.replace("{", f'{{"{self._random.choice(self._words())}":{self._raw()},', 1)
        return text.encode(errors="surrogatepass")

    def _raw(self) -> str:
        if self._random.random() < 0.7:
            return self._random.choice(RAW)
        deep = self._random.choice((10, 200, self._random.randrange(300, 1000), 3000, 50_000))
        opening, closing = self._random.choice((("[", "]"), ('{"a":', "}")))
        return opening * deep + "1" + closing * deep

    # Words and bytes

    def _word(self, told: bytes) -> bytes:
        words = list(_WORD.finditer(told))
        if not words:
            return self._bytes(told)
        start, end = self._random.choice(words).span()
        if self._random.random() < 0.3:
            fresh = self._random.choice(words).group()
        elif self._random.random() < 0.5:
            fresh = self._raw().encode()
        else:
            value = self._random.choice(STRANGE)
            fresh = json.dumps(value, ensure_ascii=False).encode(errors="surrogatepass")
        return told[:start] + fresh + told[end:]

    def _bytes(self, told: bytes) -> bytes:
        place = self._random.randrange(len(told) + 1)
        match self._random.randrange(6):
            case 0:
                return told[:place]
            case 1 if told:
                place = min(place, len(told) - 1)
                return (
                    told[:place] + bytes([told[place] ^ 1 << self._random.randrange(8)]) + told[place + 1 :]
                )
            case 2:
                other = self._random.choice(self._seeds)
                return told[:place] + other[self._random.randrange(len(other) + 1) :]
            case 3:
                return (
                    told[:place] + told[place : place + 40] * self._random.choice((2, 3, 200)) + told[place:]
                )
            case 4:
                return told[:place] + told[place + self._random.randrange(1, 20) :]
        return told[:place] + self._random.choice(BYTES) + told[place:]


def _trees(seed: bytes) -> dict[int, bytes]:
    """The JSON in it: all of it (-1), or its lines by their number."""
    if _is_tree(seed):
        return {-1: seed}
    return {number: line for number, line in enumerate(seed.split(b"\n")) if _is_tree(line)}


def _is_tree(text: bytes) -> bool:
    try:
        return isinstance(json.loads(text), dict | list)
    except ValueError:
        return False


def _nodes(tree: Any) -> Iterator[Any]:
    """Every object and array of a tree."""
    if isinstance(tree, dict | list):
        yield tree
        for branch in tree.values() if isinstance(tree, dict) else tree:
            yield from _nodes(branch)


def _leaves(tree: Any) -> Iterator[Any]:
    for node in _nodes(tree):
        for value in node.values() if isinstance(node, dict) else node:
            if not isinstance(value, dict | list):
                yield value
