"""SenML against the text of RFC 8428 and against itself: packing and resolving are inverse."""

import json
import math
import time
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.bus.senml import Record, SenmlError, pack, resolve
from drydown.bus.senml_json import Limits, decode, decode_stream, encode, encode_stream

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


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        (7, "it is 7; allowed is an object"),
        ([], "it is []; allowed is an object"),
        ({"v": 1}, "it has no name; needed is n or bn"),
        ({"n": 5, "v": 1}, "n is 5; allowed is text"),
        ({"n": ["a"], "v": 1}, "n is ['a']; allowed is text"),
        ({"bn": None, "n": "a", "v": 1}, "bn is null; allowed is text"),
        ({"bn": "a" * 200, "n": "b" * 100, "v": 1}, "bn + n has 300 characters; allowed are 255"),
        (
            {"n": "fuel level", "v": 1},
            "the name bn + n is 'fuel level'; allowed are letters A–Z",
        ),
        ({"n": "a"}, "it has no value; needed is one of v, vb, vs, vd, or a sum s"),
        ({"n": "a", "v": 1, "vs": "x"}, "it has more than one value; allowed is one of v, vb, vs, vd"),
        ({"n": "a", "vb": True, "vd": ""}, "it has more than one value"),
        ({"n": "a", "v": True}, "v is true; allowed is a finite number"),
        ({"n": "a", "v": "1"}, "v is '1'; allowed is a finite number"),
        ({"n": "a", "v": None}, "v is null; allowed is a finite number"),
        ({"n": "a", "v": math.nan}, "v is nan; allowed is a finite number"),
        ({"n": "a", "v": -math.inf}, "v is -inf; allowed is a finite number"),
        ({"n": "a", "v": 10**400}, "v is 1000000000"),
        ({"n": "a", "bv": 1e308, "v": 1e308}, "bv + v is not finite"),
        ({"n": "a", "bs": 1e308, "s": 1e308}, "bs + s is not finite"),
        ({"n": "a", "v": 1, "bt": 1e308, "t": 1e308}, "bt + t is not finite"),
        ({"n": "a", "v": 1, "t": False}, "t is false; allowed is a finite number"),
        ({"n": "a", "v": 1, "bt": "now"}, "bt is 'now'; allowed is a finite number"),
        ({"n": "a", "v": 1, "s": []}, "s is []; allowed is a finite number"),
        ({"n": "a", "v": 1, "bs": {}}, "bs is {}; allowed is a finite number"),
        ({"n": "a", "v": 1, "ut": -1}, "ut is -1.0; allowed is 0 or more seconds"),
        ({"n": "a", "vb": 1}, "vb is 1; allowed are true and false"),
        ({"n": "a", "vb": "true"}, "vb is 'true'; allowed are true and false"),
        ({"n": "a", "vs": 5}, "vs is 5; allowed is text"),
        ({"n": "a", "vs": "x" * 10_001}, "vs has 10001 characters; allowed are 10000"),
        ({"n": "a", "vs": "\ud800"}, "vs has half of a surrogate pair; allowed is whole Unicode text"),
        ({"n": "a", "v": 1, "u": 5}, "u is 5; allowed is text"),
        ({"n": "a", "v": 1, "u": "x" * 65}, "u has 65 characters; allowed are 64"),
        ({"n": "a", "v": 1, "bu": False}, "bu is false; allowed is text"),
        ({"n": "a", "vd": "aGkgCg=="}, "vd is 'aGkgCg=='; allowed is base64 of the URL-safe alphabet"),
        ({"n": "a", "vd": "a+/b"}, "vd is 'a+/b'; allowed is base64 of the URL-safe alphabet"),
        ({"n": "a", "vd": "abcde"}, "vd is 'abcde'; allowed is base64 of the URL-safe alphabet"),
        ({"n": "a", "vd": 1}, "vd is 1; allowed is text"),
    ],
)
def test_a_wrong_record_is_refused_with_its_number_field_and_what_is_allowed(
    fields: object, told: str
) -> None:
    good = {"n": "a", "v": 1}
    with pytest.raises(SenmlError) as error:
        list(resolve([good, good, fields], NOW))
    assert str(error.value).startswith(f"record 3: {told}")
    assert len(str(error.value)) < 250


@pytest.mark.parametrize(
    ("payload", "told"),
    [
        (b"", "it begins with ''; allowed is an array of records"),
        (b"{}", "it is {}; allowed is an array of records"),
        (b"5", "it is 5; allowed is an array of records"),
        (b"[]", "there is no record; a pack has one or more"),
        (b"nonsense", "it begins with 'nonsense'; allowed is an array of records"),
        (b"\xff", "it is not UTF-8 (byte 1); allowed is JSON in UTF-8"),
        (b'[{"n":"a","v":NaN}]', "record 1: NaN stands in it; allowed are finite numbers"),
        (b'[{"n":"a","v":1},{"n":"a","v":-Infinity}]', "record 2: -Infinity stands in it"),
        (b'[{"n":"a","v":1e999}]', "record 1: v is inf; allowed is a finite number"),
        (b'[{"n":"a","v":' + b"9" * 5000 + b"}]", "record 1: it has a number of too many digits"),
        (b'[{"n":"a","v":1,"v":2}]', "record 1: 'v' stands in it more than once; allowed is once"),
        (b'[{"n":"a","v":1},{"n":"b","n":"b","v":2}]', "record 2: 'n' stands in it more than once"),
        (b'[{"n":"a","v":1},{"n":"b","v":', "record 2: it ends in the middle; is the rest cut off?"),
        (b'[{"n":"a","v":1},{"n":"b', "record 2: it ends in the middle; is the rest cut off?"),
        (b'[{"n":"a","v":1}', "it ends after record 1 without the closing bracket; is the rest cut off?"),
        (b'[{"n":"a","v":1},', "record 2: it ends in the middle; is the rest cut off?"),
        (b'[{"n":"a","v":1} {"n":"b","v":1}]', "after record 1 stands '{'; allowed are a comma and a ]"),
        (b'[{"n":"a","v":1}]]', "after record 1 and the closing bracket stands ']'"),
        (b'[{"n":"a","v":01}]', "record 1: it is not JSON (Expecting ',' delimiter at character"),
        (b'[{"n":"a",\'v\':1}]', "record 1: it is not JSON (Expecting property name"),
        (b'[{"n":"a\n"}]', "record 1: it is not JSON (Invalid control character at character 9)"),
        (b"[" * 100_000, "record 1: it is nested too deeply; allowed is a flat object"),
        (b'[{"a":' * 100_000, "record 1: it is nested too deeply; allowed is a flat object"),
        (b" " * 1_000_001, "it has 1000001 bytes; allowed are 1000000"),
        (b'[{"n":"a","v":1}' + b',{"v":1}' * 50_000 + b"]", "it has 50001 records; allowed are 50000"),
    ],
)
def test_what_is_no_pack_is_refused_in_one_sentence(payload: bytes, told: str) -> None:
    with pytest.raises(SenmlError) as error:
        decode(payload, NOW)
    assert str(error.value).startswith(told)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("start", [b'[{"bn":', b'[{"n":', b'[{"n":"a","v":'])
def test_a_value_of_any_depth_is_refused_in_one_short_sentence(start: bytes) -> None:
    for depth in range(1, 1100):  # at some depth it is read and could not be shown whole
        with pytest.raises(SenmlError) as error:
            decode(start + b"[" * depth + b"]" * depth + b"}]", NOW)
        assert len(str(error.value)) < 120


@pytest.mark.parametrize("end", [b"", b"\n", b"\r\n", b" \n\n"])
def test_a_pack_cut_anywhere_is_called_cut_off(end: bytes) -> None:
    whole = b'[{"n":"a","v":-1.5e+3},\n {"n":"b\\u0041\\n","vb":true,"s":null},{"n":"c","vb":false}]'
    for length in range(1, len(whole)):
        with pytest.raises(SenmlError, match="is the rest cut off"):
            decode(whole[:length] + end, NOW)


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ([], "there is no record"),
        ([b"[", b"", b"]"], "there is no record"),
        ([b'{"n":"a","v":1},{"n":"b","v":1}'], "record 1: it is not JSON (Extra data"),
        ([b'{"n":"a","v":1}', b'{"n":"b",'], "record 2: it ends in the middle"),
        ([b'{"n":"a","v":1}', b"[", b'{"n":"b","v":1}'], "record 2: it ends in the middle"),
        ([b'[{"n":"a","v":1}]'], "record 1: it is not JSON (Extra data"),
        ([b'{"n":"a","v":1}', b"]", b'{"n":"b","v":1}'], "after record 1 and the closing bracket stands"),
        ([b'{"n":"a","v":1}', b"\xff"], "record 2 is not UTF-8 (byte 1)"),
        ([b'{"n":"a","v":1}', b" " * 100_001], "record 2: its line has 100001 bytes; allowed are 100000"),
        ([b'{"n":"a","v":1,"x":' + b"[" * 90_000], "record 1: it is nested too deeply"),
    ],
)
def test_what_is_no_stream_is_refused_in_one_sentence(lines: list[bytes], told: str) -> None:
    with pytest.raises(SenmlError) as error:
        list(decode_stream(lines, NOW))
    assert str(error.value).startswith(told)


def test_a_stream_gives_each_record_before_the_next_has_come() -> None:
    def lines() -> Iterator[bytes]:
        yield b'[{"n":"a","v":1},\r\n'
        came.append("second")
        yield b'{"n":"b","v":2}]'

    came: list[str] = []
    stream = decode_stream(lines(), NOW)
    came.append(next(stream).name)
    with pytest.raises(SenmlError, match="record 2: it is not JSON"):
        next(stream)
    assert came == ["a", "second"]


def test_a_stream_has_a_limit_to_its_records() -> None:
    with pytest.raises(SenmlError, match="it has more than the 2 records that are allowed"):
        list(decode_stream([b'{"n":"a","v":1}'] * 3, NOW, Limits(size=1000, records=2)))


@pytest.mark.parametrize(
    ("record", "told"),
    [
        (Record("heron", 2e9, 1.0), "the name 'heron' does not begin with 'boathouse/'"),
        (Record("boathouse/a b", 2e9, 1.0), "the name bn + n is 'boathouse/a b'; allowed are"),
        (Record("boathouse/a", 5.0, 1.0), "its time is 5.0; allowed is Unix time from 268435456 on"),
        (Record("boathouse/a", math.nan, 1.0), "its time is nan; allowed is Unix time"),
        (Record("boathouse/a", math.inf, 1.0), "t is inf; allowed is a finite number"),
        (Record("boathouse/a", 2e9, math.nan), "v is nan; allowed is a finite number"),
        (Record("boathouse/a", 2e9, math.inf), "v is inf; allowed is a finite number"),
        (Record("boathouse/a", 2e9, None), "it has no value"),
        (Record("boathouse/a", 2e9, "\ud800"), "vs has half of a surrogate pair"),
        (Record("boathouse/a", 2e9, 1.0, "x" * 65), "u has 65 characters"),
        (Record("boathouse/a", 2e9, 1.0, update_time=-1.0), "ut is -1.0; allowed is 0 or more seconds"),
        (Record("boathouse/a", 2e9, 2**53 + 1), "its value 9007199254740993 has no exact form in SenML"),
    ],
)
def test_what_senml_cannot_hold_is_not_written(record: Record, told: str) -> None:
    with pytest.raises(SenmlError) as error:
        encode([Record("boathouse/x", 2e9, 1.0), record], "boathouse/")
    assert str(error.value).startswith(f"record 2: {told}")


def test_a_pack_is_compact() -> None:
    records = [
        Record("boathouse/heron/fuel/level", 1789200000.0, 0.5, "m"),
        Record("boathouse/heron/blower/running", 1789200000.0, True),
        Record("boathouse/heron/fuel/level", 1789200000.25, 0.25, "m"),
    ]
    assert encode(records, "boathouse/heron/") == (
        b'[{"bn":"boathouse/heron/","bt":1789200000,"n":"fuel/level","u":"m","v":0.5},'
        b'{"n":"blower/running","vb":true},{"t":0.25,"n":"fuel/level","u":"m","v":0.25}]'
    )


@settings(max_examples=500)
@given(st.data())
def test_damage_anywhere_gives_records_that_can_be_written_again_or_a_sentence(data: st.DataObject) -> None:
    originals = data.draw(st.lists(records, min_size=1, max_size=4))
    payload = bytearray(encode(originals))
    bits = st.one_of(
        st.binary(max_size=4), st.sampled_from([b'"', b"{", b"}", b",", b"1e9", b"null", b'"bver":'])
    )
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.integers(0, len(payload)))
        payload[place : place + data.draw(st.integers(0, 4))] = data.draw(bits)
    try:
        found = decode(bytes(payload), NOW)
    except SenmlError as error:
        assert "\n" not in str(error)
    else:
        kept = [record for record in found if record.time >= 2**28]
        assert not kept or decode(encode(kept), NOW) == kept


def test_reading_and_writing_are_fast() -> None:
    many = [
        Record(f"boathouse/heron/{name}", 1789200000.0 + 10 * step, 20.0 + step / 7, "Cel")
        for step in range(2000)
        for name in ("fuel/temperature", "air/temperature", "blower/discharge_temperature")
    ]
    payload = encode(many, "boathouse/heron/")
    took = []
    for _ in range(3):
        began = time.process_time()
        again = decode(payload, NOW)
        took.append(time.process_time() - began)
    assert again == many
    assert len(many) / min(took) > 1e5  # records/s


@pytest.mark.parametrize(
    ("value", "said"),
    [(None, "v is null;"), (True, "v is true;"), (False, "v is false;"), ("x", "v is 'x';")],
)
def test_what_is_wrong_is_shown_as_the_file_has_it(value: object, said: str) -> None:
    with pytest.raises(SenmlError, match=said):
        decode(json.dumps([{"n": "fuel/temperature", "v": value}]).encode(), 0.0)
