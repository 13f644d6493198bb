"""SenML against the text of RFC 8428 and against itself: packing and resolving are inverse."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.bus.senml import Record, SenmlError, pack, resolve
from drydown.bus.senml_json import decode, decode_stream, encode, encode_stream

NOW = 1789200000.0

names = st.from_regex(r"[A-Za-z0-9][-A-Za-z0-9:./_]{0,60}", fullmatch=True)
finite = st.floats(allow_nan=False, allow_infinity=False)
times = st.one_of(
    st.floats(min_value=2.0**28, max_value=1e11),
    st.integers(1_700_000_000_000, 1_700_000_009_999).map(lambda milliseconds: milliseconds / 1000),
)
texts = st.text(max_size=40).filter(
    lambda text: text.isascii() or text.encode(errors="ignore").decode() == text
)
values = st.one_of(finite, st.booleans(), texts, st.binary(max_size=40))
records = st.builds(
    Record,
    name=names,
    time=times,
    value=values,
    unit=st.none() | st.sampled_from(["Cel", "m", "%RH", "/"]),
    sum=st.none() | finite,
    update_time=st.none() | st.floats(min_value=0, allow_infinity=False),
)


@given(st.lists(records, min_size=1), st.sampled_from(["", "boathouse/heron/", "urn:dev:ow:"]))
def test_resolving_a_pack_gives_what_was_packed(originals: list[Record], base_name: str) -> None:
    named = [Record(base_name + r.name, r.time, r.value, r.unit, r.sum, r.update_time) for r in originals]
    again = list(resolve(pack(named, base_name), now=math.nan))
    assert again == named
    assert [type(r.value) for r in again] == [type(r.value) for r in named]
    assert list(decode_stream(encode_stream(named, base_name), now=math.nan)) == named
    assert decode(encode(named, base_name), now=math.nan) == sorted(named, key=lambda record: record.time)


def test_version_above_10_is_refused() -> None:
    with pytest.raises(SenmlError, match=r"record 1: bver is 11; allowed is a whole number from 1 to 10"):
        decode(b'[{"bver":11,"n":"a","v":1}]', NOW)
