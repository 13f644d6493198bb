"""Long answers kept in memory and in browsers, each with what tells whether it is still true."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from hashlib import blake2b
from threading import Lock

from fastapi import Request
from fastapi.responses import Response

MOST = 3_000_000  # bytes, so that looking back at many runs does not make the process grow


class KeptAnswers:
    """The answers that were asked for last, by what was asked; the oldest go when there is no room."""

    def __init__(self) -> None:
        self._lock = Lock()  # routes run on threads
        self._kept: OrderedDict[Hashable, tuple[str, bytes]] = OrderedDict()

    def get(self, asked: Hashable, tag: str, make: Callable[[], bytes]) -> bytes:
        """The answer that bears this tag, made where it is not there yet."""
        with self._lock:
            found = self._kept.get(asked)
        kept = found if found is not None and found[0] == tag else (tag, make())
        with self._lock:
            self._kept[asked] = kept
            self._kept.move_to_end(asked)
            while len(self._kept) > 1 and sum(len(body) for _, body in self._kept.values()) > MOST:
                self._kept.popitem(last=False)
        return kept[1]


def tag_of(fingerprint: object) -> str:
    """A strong entity tag (RFC 9110, 8.8.3)."""
    return f'"{blake2b(repr(fingerprint).encode(), digest_size=12).hexdigest()}"'


def is_known(request: Request, tag: str) -> bool:
    """Whether who asks has the answer of this tag already."""
    told = request.headers.get("If-None-Match", "")
    return told == "*" or tag in (one.strip().removeprefix("W/") for one in told.split(","))


def unchanged(tag: str) -> Response:
    """That what is known is still true."""
    return Response(status_code=304, headers=headers(tag))


def headers(tag: str) -> dict[str, str]:
    """For an answer that may be kept, but not used before asking whether it is still true."""
    return {"ETag": tag, "Cache-Control": "private, no-cache", "Vary": "Accept-Encoding"}
