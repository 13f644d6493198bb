"""What goes over the wire comes out as the rows that went in."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.bus import intake, wire
from drydown.bus.records import QUANTITIES
from drydown.bus.spool import EVENT, SERIES, Message
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.quantities import DERIVED, MEASURED, Quantity
from drydown.reading import Quality, Reading
from drydown.timeline import GREATEST, Mark, mark_of

BASE = "boathouse/heron/"
WALL = 1_789_200_000.0


def to_unix(time: float) -> float:
    return time + WALL


def packed(*bodies: bytes, first: int = 0, last: int = 1) -> bytes:
    return wire.payload(Message("t", bodies, SERIES, False, first, last), BASE)


def test_a_pack_is_senml_with_the_numbers_it_covers() -> None:
    sent = [Reading("fuel/temperature", 1.0, 306.4625), Reading("blower/running", 1.25, True)]
    body = wire.readings(sent, to_unix)
    assert json.loads(packed(body, first=7, last=8)) == [
        {"bn": BASE, "n": "batch", "v": 8},
        {"n": "batch/first", "v": 7},
        {"bt": WALL + 1, "n": "fuel/temperature", "u": "Cel", "v": 33.3125},
        {"t": 0.25, "n": "blower/running", "vb": True},
    ]


def test_a_reading_that_is_not_good_brings_its_reason() -> None:
    reading = Reading("fuel/temperature", 0.0, 358.15, Quality.BAD, "85.0 is the value after power-on")
    pack = intake.pack(packed(wire.readings([reading], to_unix)), BASE)
    assert pack.rows == [("fuel/temperature", "Cel", "number", 1_789_200_000_000, 85.0, None)]
    assert pack.judgements == [
        intake.Judgement("fuel/temperature", 1_789_200_000_000, "bad", "85.0 is the value after power-on")
    ]


@pytest.mark.parametrize("value", [None, math.nan, math.inf])
def test_a_reading_without_a_value_is_still_told(value: float | None) -> None:
    reading = Reading("fuel/level", 0.0, value, Quality.BAD, "no answer")
    pack = intake.pack(packed(wire.readings([reading], to_unix)), BASE)
    assert pack.rows == []
    assert [judged.reason for judged in pack.judgements] == ["no answer"]


@given(
    st.lists(
        st.tuples(
            st.sampled_from([q for q in (MEASURED | DERIVED).values() if not q.is_boolean]),
            st.floats(-1e6, 1e6),
            st.floats(0, 1e6),
        ),
        min_size=1,
        max_size=20,
    )
)
def test_values_and_times_survive_the_wire(drawn: list[tuple[Quantity, float, float]]) -> None:
    sent = [Reading(quantity.name, time, value) for quantity, value, time in drawn]
    rows = intake.pack(packed(wire.readings(sent, to_unix)), BASE).rows
    for reading, (name, unit, kind, time, value, text) in zip(sent, rows, strict=True):
        quantity = QUANTITIES[reading.name]
        assert (name, unit, kind, text) == (reading.name, quantity.unit, "number", None)
        assert time == pytest.approx(to_unix(reading.time) * 1000, abs=1.01)
        assert reading.value is not None
        assert value == pytest.approx(quantity.from_si(reading.value), rel=1e-8, abs=1e-8)


def test_an_estimate_leaves_out_what_it_cannot_tell() -> None:
    belief = Estimate(
        60.0, 60.0, Spread(0.02, 0.01, 0.04), None, None, None, None, Spread(7200.0, 3600.0, 9000.0),
        False, Verdict.DRYING,
    )  # fmt: skip
    rows = intake.pack(packed(wire.estimate(belief, to_unix)), BASE).rows
    assert {row[0]: row[4] if row[5] is None else row[5] for row in rows} == {
        "estimate/verdict": "drying",
        "estimate/methanol_done": False,
        "estimate/run_time": 60,
        "estimate/methanol": 0.02,
        "estimate/methanol/low": 0.01,
        "estimate/methanol/high": 0.04,
        "estimate/dry_at": WALL + 7200,
        "estimate/dry_at/low": WALL + 3600,
        "estimate/dry_at/high": WALL + 9000,
    }


def test_packs_that_share_a_message_keep_their_times() -> None:
    bodies = [wire.readings([Reading("fuel/level", at, 0.5)], to_unix) for at in (1.0, 2.5)]
    assert [row[3] for row in intake.pack(packed(*bodies), BASE).rows] == [1789200001000, 1789200002500]


def test_an_event_is_the_same_happening_whatever_batch_it_comes_in() -> None:
    body = {"kind": "alarm", "time": WALL, "alarm": "vent-closed", "change": "raised"}
    keys = set()
    for number in (1, 9):
        payload = wire.payload(Message("t", (wire.event(body),), EVENT, True, number, number), BASE)
        event = intake.happening(payload, "heron")
        assert (event.first, event.last, json.loads(event.body)) == (number, number, body)
        keys.add(event.key)
    assert len(keys) == 1
    other = wire.payload(Message("t", (wire.event(body | {"change": "returned"}),), EVENT, True, 2, 2), BASE)
    assert intake.happening(other, "heron").key not in keys


def test_what_people_tell_at_once_is_told_apart() -> None:
    def key(**told: object) -> str:
        body = {
            "kind": "command",
            "time": WALL,
            "command": "entry",
            "entry": "checked",
            "who": "Wren",
            **told,
        }
        return intake.happening(json.dumps(body).encode(), "heron").key

    keys = {key(values={"item": item}) for item in ("drain-closed", "no-flame", "drain-closed")}
    assert len(keys) == 2


@pytest.mark.parametrize(
    ("payload", "told"),
    [
        (b"", "not JSON"),
        (b"\xff\xfe", "not JSON"),
        (b"[" * 100_000, "not JSON"),
        (b"[" + b" " * intake.LARGEST + b"]", "bytes are more"),
        (b'[{"bn":"boathouse/heron/","n":"x","v":NaN}]', "NaN"),
        (b"{}", "array of records"),
        (b"[]", "array of records"),
        (b"[1]", "array of records"),
        (b'[{"n":"fuel/level","v":1}]', "base name"),
        (b'[{"bn":"boathouse/plover/","n":"fuel/level","v":1}]', "base name"),
        (b'[{"bn":"boathouse/heron/","n":"batch","v":-1}]', "batch number"),
        (b'[{"bn":"boathouse/heron/","n":"batch","v":1.5}]', "batch number"),
    ],
)
def test_what_is_no_pack_is_refused_with_a_reason(payload: bytes, told: str) -> None:
    with pytest.raises(intake.UnreadableError, match=told):
        intake.pack(payload, BASE)


def test_a_pack_whose_number_is_followed_by_no_record_is_read_all_the_same() -> None:
    pack = intake.pack(json.dumps([{"bn": BASE, "n": "batch", "v": 3}, 5]).encode(), BASE)
    assert (pack.first, pack.last, pack.rows, pack.refused) == (0, 3, [], ["5"])


def test_readings_that_come_to_nothing_still_make_a_pack() -> None:
    body = wire.readings([Reading("room/enter_after", 0.0, math.inf)], to_unix)
    assert body == b""
    good = wire.readings([Reading("fuel/level", 0.0, 0.5)], to_unix)
    for bodies, names in (((), []), ((body,), []), ((body, good, body), ["fuel/level"])):
        pack = intake.pack(packed(*bodies, last=4), BASE)
        assert (pack.last, [row[0] for row in pack.rows], pack.refused) == (4, names, [])


@pytest.mark.parametrize(
    "record",
    [
        {"v": 1},
        {"n": ["fuel"], "v": 1},
        {"n": "fuel/level"},
        {"n": "fuel/level", "v": "1"},
        {"n": "fuel/level", "v": True},
        {"n": "fuel/level", "v": 1e300},
        {"n": "fuel/level", "v": 1, "t": "now"},
        {"n": "fuel/level", "v": 1, "t": 1e306},
        {"n": "fuel/level", "v": 1, "t": 1e25},  # more milliseconds than the store can hold
        {"n": "fuel/level", "vs": 5},
        7,
    ],
)
def test_a_wrong_record_is_left_out_and_the_rest_is_kept(record: object) -> None:
    head = {"bn": BASE, "n": "batch", "v": 3}
    good = {"bt": WALL, "n": "fuel/level", "v": 0.5}
    pack = intake.pack(json.dumps([head, good, record]).encode(), BASE)
    assert [row[0] for row in pack.rows] == ["fuel/level"]
    assert len(pack.refused) == 1
    assert pack.last == 3


KEYS = st.sampled_from(["bn", "n", "v", "vs", "vb", "t", "bt", "kind", "time", "batch"])
JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=5) | st.dictionaries(KEYS, inner, max_size=5),
)


@given(st.binary(max_size=200) | JSON.map(lambda thing: json.dumps(thing).encode()))
def test_any_bytes_are_read_or_refused(payload: bytes) -> None:
    for read in (lambda: intake.pack(payload, BASE), lambda: intake.happening(payload, "heron")):
        try:
            read()
        except intake.UnreadableError as error:
            assert str(error)


def test_an_event_of_any_depth_is_refused_in_words() -> None:
    """Python reads JSON of a little more levels than it writes."""
    for depth in range(intake.DEEPEST, 1000, 5):
        more = "[" * depth + "]" * depth
        said = f'{{"kind": "command", "command": "entry", "time": {WALL}, "more": {more}}}'
        with pytest.raises(intake.UnreadableError):
            intake.happening(said.encode(), "heron")


def test_each_part_of_a_message_keeps_the_clock_that_labelled_it() -> None:
    marks = [Mark("first", 1_735_689_600_000, 100, 0, False), Mark("first", 1_789_200_000_000, 2000, 0, True)]
    bodies = [
        wire.readings([Reading("fuel/level", 1.0, 0.5, Quality.DOUBTFUL, "jumps")], to_unix, mark)
        for mark in marks
    ]
    pack = intake.pack(packed(*bodies), BASE)
    assert [part.mark for part in pack.parts] == marks
    assert [(len(part.rows), len(part.judgements)) for part in pack.parts] == [(1, 1), (1, 1)]
    assert pack.refused == []


@given(
    st.builds(
        Mark,
        st.from_regex(r"[0-9a-f]{1,36}", fullmatch=True),
        *[st.integers(-GREATEST, GREATEST)] * 3,
        st.booleans(),
    )
)
def test_a_mark_is_read_as_it_was_written(mark: Mark) -> None:
    assert mark_of(str(mark)) == mark


@pytest.mark.parametrize(
    "text", ["", "first", "first 1 2 3", "first 1 2 3 maybe", "first 1 2 x sure", f"b {10**16} 0 0 sure"]
)
def test_what_is_no_mark_costs_no_reading_and_no_crash(text: str) -> None:
    sent = [{"bn": BASE, "n": "batch/clock", "vs": text}, {"n": "fuel/level", "t": WALL, "v": 0.5, "u": "m"}]
    pack = intake.pack(json.dumps(sent).encode(), BASE)
    assert [part.mark for part in pack.parts] == [None]
    assert len(pack.refused) == 1
    with pytest.raises(intake.UnreadableError, match="clock"):
        intake.happening(json.dumps({"kind": "x", "time": WALL, "clock": text}).encode(), "heron")
