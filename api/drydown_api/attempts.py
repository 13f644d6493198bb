"""Limits how often a wrong token may be tried. Pure: time comes in."""

from collections import OrderedDict
from hashlib import sha256
from typing import NamedTuple

FREE = 5  # wrong tries of an address that cost nothing: people mistype
FIRST_WAIT, LONGEST_WAIT = 2.0, 900.0  # s; the wait doubles with every further try
FORGOTTEN = 3600.0  # s after which an address begins anew
REMEMBERED = 1000  # addresses, so that memory is bounded


class Wrong(NamedTuple):
    """What is remembered of an address."""

    times: int
    last: float
    tried: bytes  # hash of the last token


class Attempts:
    """Remembers who was wrong and how often. Times in s on any steady clock.

    The same wrong token again costs nothing: a page with a revoked one asks and asks, and guesses nothing.
    """

    def __init__(self) -> None:
        self._wrong: OrderedDict[str, Wrong] = OrderedDict()

    def wait(self, now: float, address: str) -> float:
        """How long an address has to wait before it may try again, in s; 0 when it may."""
        wrong = self._wrong.get(address)
        if wrong is None or wrong.times < FREE or now - wrong.last > FORGOTTEN:
            return 0.0
        pause = min(LONGEST_WAIT, FIRST_WAIT * 2.0 ** min(wrong.times - FREE, 20))
        return min(LONGEST_WAIT, max(0.0, wrong.last + pause - now))  # a sum of floats may be a hair more

    def failed(self, now: float, address: str, secret: str) -> None:
        """An address was wrong once more."""
        tried = sha256(secret.encode("utf-8", "surrogateescape")).digest()
        wrong = self._wrong.pop(address, Wrong(0, now, b""))
        if wrong.tried != tried:
            fresh = now - wrong.last > FORGOTTEN
            wrong = Wrong(1 if fresh else wrong.times + 1, now, tried)
        self._wrong[address] = wrong
        if len(self._wrong) > REMEMBERED:
            self._wrong.popitem(last=False)

    def succeeded(self, address: str) -> None:
        """An address was right: its mistakes are forgotten."""
        self._wrong.pop(address, None)
