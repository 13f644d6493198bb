"""Right messages on the broker, made by the house's own writers: a line of topic, then the payload."""

from functools import cache
from pathlib import Path

from drydown.bus import wire
from drydown.bus.spool import EVENT, SERIES, Message
from drydown.bus.topics import TankTopics
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.reading import Quality, Reading
from drydown.timeline import Mark

SEEDS = Path(__file__).with_name("seeds")
TOPICS = TankTopics("boathouse", "heron")
START = 1_789_200_000.0  # Unix s, when the run of the events began
MARK = Mark("3f1a", 1_789_199_000_000, 5_000, 0, True)


def addressed(topic: str, payload: bytes) -> bytes:
    """The two as one input."""
    return topic.encode() + b"\n" + payload


def parted(message: bytes) -> tuple[str, bytes]:
    """The inverse for any bytes, with a topic as a broker lets it through (MQTT 3.1.1, 1.5.3 and 4.7)."""
    topic, _, payload = message.partition(b"\n")
    text = topic[:65_535].decode(errors="replace")
    return "".join(one for one in text if one not in "\0+#") or "x", payload


@cache
def recorded() -> tuple[bytes, ...]:
    """What a watcher says: packs with their numbers and clocks, and every kind of event."""
    numbers = iter(range(1, 1000))
    made = [_message(TOPICS.readings, SERIES, body, next(numbers)) for body in _packs()]
    for line in (SEEDS / "events.jsonl").read_bytes().splitlines():
        topic = TOPICS.alarm("keep-out") if b'"kind":"alarm"' in line else TOPICS.run
        made.append(_message(topic, EVENT, line[1:-1], next(numbers)))
    made.append(
        _message(TOPICS.run, EVENT, wire.event({"kind": "stage", "time": START}, MARK), next(numbers))
    )
    return tuple(made)


def senml() -> list[bytes]:
    """What another board sends, in three ways."""
    return (SEEDS / "messages.senml").read_bytes().splitlines()


def _packs() -> list[bytes]:
    readings = [
        Reading("fuel/temperature", START, 298.15),
        Reading("fuel/level", START, 0.6),
        Reading("blower/running", START, True),
        Reading("air/humidity", START + 1, 0.5, Quality.DOUBTFUL, "it stands still"),
        Reading("air/temperature", START + 2, None, Quality.BAD, "no answer"),
        Reading("blower/run_time", START + 3, 10.0),
    ]
    some = Spread(0.002, 0.001, 0.003)
    later = Spread(START + 3600, START + 3000, START + 4000)
    belief = Estimate(START + 60, 50.0, some, some, some, some, later, later, False, Verdict.DRYING)
    return [
        wire.readings(readings, float),
        wire.readings(readings, float, MARK),
        wire.estimate(belief, float, MARK),
    ]


def _message(topic: str, kind: str, body: bytes, number: int) -> bytes:
    message = Message(topic, (body,), kind, False, number, number)
    return addressed(topic, wire.payload(message, TOPICS.base_name))
