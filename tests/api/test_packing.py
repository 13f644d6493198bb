"""Long answers are packed piece by piece, and unpacked as one by whoever reads gzip."""

import gzip
import zlib

from hypothesis import given
from hypothesis import strategies as st

from drydown_api.packing import in_one, piece


@given(st.lists(st.binary(max_size=3000) | st.just(b"0.25," * 20_000), max_size=4))
def test_pieces_are_one_whole_for_every_reader(parts: list[bytes]) -> None:
    packed = in_one([piece(part) for part in parts])
    assert gzip.decompress(packed) == b"".join(parts)
    reader = zlib.decompressobj(wbits=31)
    assert reader.decompress(packed) == b"".join(parts)
    assert reader.eof and not reader.unused_data, "one member, after which browsers stop"
