"""Messages that come twice, late and in disorder leave the store as if each had come once in its turn."""

from collections.abc import Iterable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.bus import wire
from drydown.bus.spool import EVENT, SERIES, Entry, Spool
from drydown.bus.topics import TankTopics
from drydown.reading import Quality, Reading
from drydown.record import Recorder
from drydown.store.read import StoreReader
from drydown.timeline import Mark

TOPICS = TankTopics("boathouse", "heron")
WALL = 1_789_200_000.0
COUNT = 40
WINDOW = 8  # places that a message may be late

Said = tuple[str, bytes]


def messages() -> list[Said]:
    """Readings, some of them doubtful, and events, one to a message; the clock is set on the way."""
    spool = Spool()
    made: list[Said] = []
    for number in range(COUNT):
        is_set = number >= COUNT // 2  # the clock was 5 s slow until then
        at = number * 1000 if is_set else 0
        mark = Mark("start", round(WALL * 1000) + (5000 if is_set else 0), at, 0, is_set)
        offset = mark.offset / 1000
        if number % 5 == 4:
            body = {"kind": "store", "time": offset + number, "message": f"step {number}"}
            spool.add(Entry(TOPICS.run, wire.event(body, mark), EVENT))
        else:
            quality = (Quality.DOUBTFUL, "it jumps") if number % 3 == 0 else (Quality.GOOD, "")
            reading = Reading("fuel/level", float(number), number / 100, *quality)
            body_of = wire.readings([reading], offset.__add__, mark)
            spool.add(Entry(TOPICS.readings, body_of, SERIES))
        message = spool.take()
        assert message
        made.append((message.topic, wire.payload(message, TOPICS.base_name)))
    return made


SENT = messages()


def recorded(taken: Iterable[Said]) -> tuple[list[Any], list[Any]]:
    """Every reading and event that the store holds, once what the cursor has not passed was sent again."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "store"
        with closing(Recorder(path, 90.0)) as recorder:
            for topic, payload in taken:
                recorder.take(topic, payload, is_live=True)
            recorder.commit()
            for topic, payload in SENT[recorder.committed.get(TOPICS.tank, 0) :]:
                recorder.take(topic, payload, is_live=True)
            recorder.commit()
            assert recorder.committed == {TOPICS.tank: COUNT}
            assert not recorder.gaps
        with StoreReader(path) as reader:
            rows = [(s.name, s.time, s.value, s.quality, s.reason) for s in reader.samples("heron", 0, 1e11)]
            events = [(e.time, e.kind, e.body) for e in reader.events("heron", 0, 1e11)]
    return rows, events


IN_TURN = recorded(SENT)

late = st.floats(0, WINDOW)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(late, min_size=COUNT, max_size=COUNT),
    st.lists(st.tuples(st.integers(0, COUNT - 1), st.floats(0, 2 * WINDOW)), max_size=COUNT),
)
def test_disorder_and_doubles_change_nothing(delays: list[float], again: list[tuple[int, float]]) -> None:
    arriving = [*enumerate(delays), *again]
    order = sorted(arriving, key=lambda one: one[0] + one[1])
    assert recorded(SENT[number] for number, _ in order) == IN_TURN


def test_in_turn_everything_is_there_as_the_clock_that_was_set_has_it() -> None:
    rows, events = IN_TURN
    times = sorted(round(time - WALL) for time in [row[1] for row in rows] + [event[0] for event in events])
    assert times == [number + 5 for number in range(COUNT)]
