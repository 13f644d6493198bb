"""Readings from other boards: what is accepted, what is refused, and what is said of it."""

import json
import tracemalloc
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.probes import kinds
from drydown.probes.mqtt_in import BoardProbe, Boards, Message, RefusedError, accept
from drydown.quantities import MEASURED
from drydown.reading import Quality, Reading

NOW = 1_789_200_000.0  # Unix s
TOPIC = "drydown/boathouse/heron/probe/shed-air"
AIR = [{"n": "air/temperature", "u": "Cel", "v": 11.5}, {"n": "air/humidity", "u": "%RH", "v": 54.0}]


def message(records: Any, topic: str = TOPIC, is_retained: bool = False) -> Message:
    return Message(topic, json.dumps(records).encode(), is_retained)


def test_a_pack_of_a_board() -> None:
    tank, sender, readings = accept(message(AIR), "boathouse", NOW)
    assert (tank, sender) == ("heron", "shed-air")
    assert readings == [Reading("air/temperature", NOW, 284.65), Reading("air/humidity", NOW, 0.54)]


def test_names_may_be_whole_and_others_are_ignored() -> None:
    records = [
        {"bn": "boathouse/heron/", "n": "blower/running", "vb": True},
        {"n": "battery", "u": "V", "v": 3.9},
        {"bn": "boathouse/plover/", "n": "blower/running", "vb": False},
    ]
    assert accept(message(records), "boathouse", NOW)[2] == [Reading("blower/running", NOW, True)]


@pytest.mark.parametrize(("time", "age"), [(-4.0, 4.0), (NOW - 4.0, 4.0), (NOW + 2.0, 0.0), (0, 0.0)])
def test_age(time: float, age: float) -> None:
    # RFC 8428 section 4.5.3: below 2**28 a time is relative to now
    (reading,) = accept(message([AIR[0] | {"t": time}]), "boathouse", NOW)[2]
    assert NOW - reading.time == age


def test_a_board_may_say_itself_that_a_reading_is_bad() -> None:
    records = [{"n": "air/temperature/quality", "vs": "bad: its wire is broken"}]
    expected = Reading("air/temperature", NOW, None, Quality.BAD, "its wire is broken")
    assert accept(message(records), "boathouse", NOW)[2] == [expected]


@pytest.mark.parametrize(
    ("records", "words"),
    [
        ({"n": "air/temperature"}, "not SenML"),
        ([], "not SenML"),
        ([{"n": "air/temperature", "u": "K", "v": 284.65}], "u is 'K'; allowed is 'Cel'"),
        ([{"n": "air/temperature", "v": 11.5}], "u is null; allowed is 'Cel'"),
        ([{"n": "air/temperature", "u": "Cel", "vs": "warm"}], "allowed is v, a number"),
        ([{"n": "air/temperature", "u": "Cel", "vb": True}], "allowed is v, a number"),
        ([{"n": "blower/running", "v": 1}], "allowed is vb, true or false"),
        ([AIR[0] | {"t": NOW + 60}], "60 s in the future"),
        ([AIR[0] | {"t": NOW - 4000}], "4000 s old"),
        ([AIR[0]] * 201, "201 records"),
        ([{"n": "x" * 30_000, "v": 1}], "bytes; allowed are 20000"),
        ([AIR[0] | {"new_": 1}], "new_"),
    ],
)
def test_refusals(records: Any, words: str) -> None:
    with pytest.raises(RefusedError) as refused:
        accept(message(records), "boathouse", NOW)
    assert words in str(refused.value)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "1e999", "1" * 400])
def test_numbers_that_are_none(number: str) -> None:
    payload = b'[{"n":"air/temperature","u":"Cel","v":%s}]' % number.encode()
    with pytest.raises(RefusedError):
        accept(Message(TOPIC, payload), "boathouse", NOW)


@pytest.mark.parametrize(
    "topic", ["drydown/elsewhere/heron/probe/shed-air", "drydown/boathouse/heron/readings", "x", ""]
)
def test_other_topics(topic: str) -> None:
    with pytest.raises(RefusedError, match="topic"):
        accept(message(AIR, topic), "boathouse", NOW)


def test_retained_messages() -> None:
    with pytest.raises(RefusedError, match="retain"):
        accept(message(AIR, is_retained=True), "boathouse", NOW)


@pytest.fixture
def boards() -> Boards:
    return Boards("boathouse")


@pytest.fixture
def probe(boards: Boards) -> BoardProbe:
    return BoardProbe("air/temperature", "heron", "shed-air", 30.0, boards)


def read(probe: BoardProbe, now: float) -> Reading:
    found = probe.read(now)
    assert found is not None
    return found


def test_the_last_value_is_kept_with_the_time_it_was_measured(boards: Boards, probe: BoardProbe) -> None:
    assert boards.receive(message([AIR[0] | {"t": -3}]), 100.0, NOW) is None
    expected = Reading("air/temperature", 97.0, 284.65)
    assert probe.read(101.0) == expected
    assert probe.read(127.0) == expected


def test_it_is_absent_after_its_longest_age(boards: Boards, probe: BoardProbe) -> None:
    boards.receive(message(AIR), 100.0, NOW)
    assert read(probe, 130.0).value is not None
    absent = read(probe, 131.0)
    assert (absent.value, absent.quality, absent.time) == (None, Quality.BAD, 131.0)
    assert "board shed-air has not sent air/temperature for 31 s" in absent.reason


def test_the_first_message_has_its_longest_age_to_come(probe: BoardProbe) -> None:
    assert probe.read(100.0) is None
    assert probe.read(130.0) is None
    assert "has not sent air/temperature for 31 s" in read(probe, 131.0).reason


def test_a_refusal_is_told_where_the_value_is_missed(boards: Boards, probe: BoardProbe) -> None:
    said = boards.receive(message([AIR[0] | {"u": "K"}]), 100.0, NOW)
    assert said is not None
    assert said.startswith(f"{TOPIC}: it is not SenML of this tank: ")
    assert said.endswith("u is 'K'; allowed is 'Cel'")
    assert probe.read(100.0) is None
    assert "its last message was refused, because it is not SenML of this tank" in read(probe, 131.0).reason
    boards.receive(message(AIR), 132.0, NOW)
    assert read(probe, 132.0).value is not None
    assert "power" in read(probe, 200.0).reason


def test_older_readings_do_not_replace_newer_ones(boards: Boards, probe: BoardProbe) -> None:
    boards.receive(message(AIR), 100.0, NOW)
    boards.receive(message([AIR[0] | {"t": -5, "v": 50.0}]), 101.0, NOW)
    assert read(probe, 101.0).time == 100.0


def test_strangers_are_not_kept(boards: Boards, probe: BoardProbe) -> None:
    for number in range(100):
        boards.receive(message(AIR, f"drydown/boathouse/heron/probe/stranger-{number}"), 100.0, NOW)
        boards.receive(message("bad", f"drydown/boathouse/heron/probe/stranger-{number}"), 100.0, NOW)
    assert probe.read(100.0) is None
    assert boards.refusal("heron", "stranger-1") == ""
    with pytest.raises(KeyError):
        boards.latest("heron", "stranger-1", "air/temperature")


def flood(boards: Boards, seconds: float, rate: float, start: float = 100.0) -> float:
    """A second goes by in looks as the watcher takes them; the time after it."""
    for number in range(round(seconds * rate)):
        now = start + number / rate
        boards.receive(message([AIR[0] | {"v": number % 50}]), now, NOW)
    return start + seconds


def test_a_flood_is_told_once_and_so_is_its_end(boards: Boards, probe: BoardProbe) -> None:
    told = []
    for second in range(120):
        now = 100.0 + second
        flood(boards, 1.0, 200.0 if 20 <= second < 60 else 1.0, now)
        told.append(boards.trouble("heron", now + 1.0))
    changes = [second for second in range(1, 120) if bool(told[second]) is not bool(told[second - 1])]
    assert changes == [20, 60 + kinds.CALM - 1]
    assert told[30].startswith("board shed-air floods: more than 20 messages a second")
    assert read(probe, 220.0).value is not None


def test_of_a_flood_no_more_is_read_than_is_allowed(boards: Boards, probe: BoardProbe) -> None:
    times = []
    for number in range(5000):
        now = 100.0 + number / 1000
        boards.receive(message([AIR[0] | {"v": float(number % 50)}]), now, NOW)
        times.append(read(probe, now).time)
    assert len(set(times)) <= kinds.BURST + 5 * kinds.RATE


def test_a_sender_who_floods_badly_is_not_listened_to_for_a_while(boards: Boards, probe: BoardProbe) -> None:
    assert probe.name
    assert boards.welcome("heron", 100.0) == {"shed-air"}
    flood(boards, 1.0, 1000.0)
    assert boards.welcome("heron", 101.0) == frozenset()
    assert boards.welcome("heron", 101.0 + kinds.MUTED) == {"shed-air"}
    assert boards.welcome("plover", 101.0) == frozenset()


def test_a_steady_board_never_floods(boards: Boards, probe: BoardProbe) -> None:
    assert probe.name
    now = flood(boards, 60.0, kinds.RATE)
    assert boards.trouble("heron", now) == ""
    assert boards.welcome("heron", now) == {"shed-air"}


def test_a_liar_is_named_with_what_is_wrong_and_one_slip_is_no_lie(boards: Boards, probe: BoardProbe) -> None:
    assert probe.name
    wrong = message([AIR[0] | {"u": "K"}])
    logged = [boards.receive(wrong, 100.0 + second, NOW) for second in range(3)]
    assert [line is not None for line in logged] == [True, False, False], "the log is not flooded either"
    told = boards.trouble("heron", 102.0)
    assert told.startswith("messages of board shed-air cannot be used: it is not SenML of this tank: ")
    assert told.endswith("u is 'K'; allowed is 'Cel'")
    assert boards.trouble("heron", 100.0 + kinds.LIES_WITHIN) == ""
    boards.receive(wrong, 300.0, NOW)
    assert boards.trouble("heron", 300.0) == ""


def test_who_lies_now_and_then_is_a_liar(boards: Boards, probe: BoardProbe) -> None:
    assert probe.name
    for second in range(10):
        boards.receive(message(AIR if second % 2 else "no"), 100.0 + second, NOW)
    assert "messages of board shed-air cannot be used" in boards.trouble("heron", 110.0)


def test_memory_does_not_grow_with_what_comes(boards: Boards, probe: BoardProbe) -> None:
    assert probe.name
    flood(boards, 10.0, 500.0)
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    for number in range(5000):
        topic = f"drydown/boathouse/heron/probe/{number}"
        boards.receive(Message(topic, b"x" * 5000), 110.0 + number / 500, NOW)
        boards.receive(Message(TOPIC, b"x" * 5000), 110.0 + number / 500, NOW)
    grown = tracemalloc.get_traced_memory()[0] - before
    tracemalloc.stop()
    assert grown < 50_000


@given(
    st.binary(max_size=300)
    | st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=8) | st.sampled_from(sorted(MEASURED)),
        lambda inner: (
            st.lists(inner, max_size=4)
            | st.dictionaries(
                st.sampled_from(["n", "bn", "v", "vb", "vs", "u", "t", "bt", "bver", "x_"]), inner, max_size=5
            )
        ),
        max_leaves=12,
    ).map(lambda thing: json.dumps(thing).encode())
)
def test_whatever_comes_is_taken_or_refused(payload: bytes) -> None:
    boards = Boards("boathouse")
    boards.expect("heron", "shed-air", "air/temperature")
    said = boards.receive(Message(TOPIC, payload), 100.0, NOW)
    latest = boards.latest("heron", "shed-air", "air/temperature")
    assert said is None or latest is None
    assert latest is None or isinstance(latest.value, float) or latest.quality is Quality.BAD
