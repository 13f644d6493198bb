"""Long answers are packed piece by piece, and unpacked as one by whoever reads gzip."""

import gzip
import zlib

import pytest
from fastapi import Request
from hypothesis import given
from hypothesis import strategies as st

from drydown_api.packing import in_one, piece, takes_packed


@given(st.lists(st.binary(max_size=3000) | st.just(b"0.25," * 20_000), max_size=4))
def test_pieces_are_one_whole_for_every_reader(parts: list[bytes]) -> None:
    packed = in_one([piece(part) for part in parts])
    assert gzip.decompress(packed) == b"".join(parts)
    reader = zlib.decompressobj(wbits=31)
    assert reader.decompress(packed) == b"".join(parts)
    assert reader.eof and not reader.unused_data, "one member, after which browsers stop"


@pytest.mark.parametrize(
    ("asked", "takes"),
    [
        ("gzip, deflate, br, zstd", True),
        ("br;q=1.0, GZIP;q=0.8", True),
        ("gzip ; q=0.001", True),
        ("gzip;q=0", False),
        ("br, gzip; q=0.000 ", False),
        ("identity", False),
        ("", False),
    ],
)
def test_who_refuses_gzip_does_not_get_it(asked: str, takes: bool) -> None:
    """RFC 9110, 12.4.2 and 12.5.3."""
    headers = [(b"accept-encoding", asked.encode())]
    assert takes_packed(Request({"type": "http", "headers": headers})) == takes
