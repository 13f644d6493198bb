"""Answers that are packed where they are made, and not on their way out as others are."""

import gzip
from collections.abc import Mapping
from types import MappingProxyType

from fastapi import Request
from fastapi.responses import Response


def takes_packed(request: Request) -> bool:
    """Whether who asks can unpack what is sent."""
    return "gzip" in request.headers.get("Accept-Encoding", "")


def packed(request: Request, body: bytes) -> bytes:
    """Many numbers: packed here, and lightly, because packing them well takes longer than finding them."""
    return gzip.compress(body, 1) if takes_packed(request) else body


def swift(request: Request, body: bytes, told: Mapping[str, str] = MappingProxyType({})) -> Response:
    """An answer that is `packed` already."""
    encoding = {"Content-Encoding": "gzip"} if takes_packed(request) else {}
    return Response(
        body, media_type="application/json", headers={"Vary": "Accept-Encoding", **told, **encoding}
    )
