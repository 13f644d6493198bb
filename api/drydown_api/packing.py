"""Answers that are packed where they are made, and not on their way out as others are."""

import gzip
import re
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from fastapi import Request
from fastapi.responses import Response, StreamingResponse

LIGHTLY = 1  # the level: to pack many numbers well takes longer than to find them
HEAD = b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x04\xff"
"""RFC 1952, 2.3.1: deflated, without a name or a time, fast, on no system that is known."""
END = b"\x03\x00"
"""RFC 1951, 3.2.3: a last block, with nothing in it."""
GZIP = re.compile(r"\s*gzip\s*(;\s*q=(?!0(\.0*)?\s*$).*)?", re.IGNORECASE)
"""RFC 9110, 12.5.3: a weight of 0 refuses it."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of a long answer, and the same packed so that another part can follow it."""

    plain: bytes
    packed: bytes


def piece(plain: bytes) -> Piece:
    """Pack it, on whatever thread made it."""
    packer = zlib.compressobj(LIGHTLY, wbits=-zlib.MAX_WBITS)
    return Piece(plain, packer.compress(plain) + packer.flush(zlib.Z_FULL_FLUSH))


def in_one(pieces: Sequence[Piece]) -> bytes:
    """All of them as one gzip member (RFC 1952), which is what browsers unpack whole."""
    plain = b"".join(one.plain for one in pieces)
    ending = zlib.crc32(plain).to_bytes(4, "little") + (len(plain) % 2**32).to_bytes(4, "little")
    return HEAD + b"".join(one.packed for one in pieces) + END + ending


def takes_packed(request: Request) -> bool:
    """Whether who asks can unpack what is sent."""
    return any(map(GZIP.fullmatch, request.headers.get("Accept-Encoding", "").split(",")))


def packed(request: Request, body: bytes) -> bytes:
    """A long body, for whom it helps."""
    return gzip.compress(body, LIGHTLY) if takes_packed(request) else body


def swift(request: Request, body: bytes, told: Mapping[str, str] = MappingProxyType({})) -> Response:
    """An answer that is `packed` already."""
    encoding = {"Content-Encoding": "gzip"} if takes_packed(request) else {}
    return Response(
        body, media_type="application/json", headers={"Vary": "Accept-Encoding", **told, **encoding}
    )


def flowing(request: Request, pieces: Iterable[str]) -> StreamingResponse:
    """A page of which every piece is sent as soon as it is there."""
    is_packed = takes_packed(request)
    encoding = {"Content-Encoding": "gzip"} if is_packed else {}
    sent = _packed_singly(pieces) if is_packed else (one.encode() for one in pieces)
    return StreamingResponse(sent, media_type="text/html", headers={"Vary": "Accept-Encoding", **encoding})


def _packed_singly(pieces: Iterable[str]) -> Iterator[bytes]:
    """One gzip member that can be unpacked up to the end of each piece."""
    packer = zlib.compressobj(wbits=16 + zlib.MAX_WBITS)
    for one in pieces:
        yield packer.compress(one.encode()) + packer.flush(zlib.Z_SYNC_FLUSH)
    yield packer.flush()
