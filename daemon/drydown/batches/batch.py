"""A batch's file, put together from what was recorded between its filling and the next one's."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from drydown.estimate.result import Spread
from drydown.quality.results import Result, results_of
from drydown.run.movement import LevelKind

OUT = (LevelKind.DRAW, LevelKind.DRAIN, LevelKind.LEAK)
NONE = Spread(0.0, 0.0, 0.0)

Line = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Moved:
    """What the level said came in or went out: at (Unix s), and m³ at 15 °C with its range."""

    time: float
    kind: LevelKind
    volume: Spread


@dataclass(frozen=True, slots=True)
class Drained:
    """What somebody saw come out of the drain, and how much (m³) where they said so."""

    time: float
    seen: str
    volume: float | None
    who: str


@dataclass(frozen=True, slots=True)
class Sent:
    """Where fuel went, by somebody's word: m³, and a name."""

    time: float
    volume: float
    to: str
    who: str


@dataclass(frozen=True, slots=True)
class Batch:
    """One of them, from its filling to the next one's (`until`; None for the last). Energy in J."""

    start: float
    until: float | None
    moved: tuple[Moved, ...]
    drained: tuple[Drained, ...]
    sent: tuple[Sent, ...]
    tests: tuple[Result, ...]
    released: tuple[tuple[float, str], ...]
    run_time: float
    energy: float | None

    def volume(self, kind: LevelKind) -> Spread:
        """All that moved so, m³ at 15 °C. The ends are taken to go together: a gauge errs alike each time."""
        found = [one.volume for one in self.moved if one.kind is kind]
        return Spread(*(sum(getattr(one, end) for one in found) for end in ("median", "low", "high")))

    @property
    def sent_volume(self) -> float:
        """All that people say where it went, m³."""
        return sum(one.volume for one in self.sent)

    @property
    def unaccounted(self) -> float | None:
        """What was drawn by the level and nobody said where it went, m³; None where nothing was drawn."""
        drawn = self.volume(LevelKind.DRAW).median
        return max(0.0, drawn - self.sent_volume) if drawn > 0.0 else None

    def cost(self, price: float) -> float | None:
        """What the blower's electricity cost at a price by the kWh; None where its power is not known."""
        return None if self.energy is None else self.energy / 3.6e6 * price


def batch_of(
    start: float, until: float | None, lines: Iterable[Line], run_time: float, power: float | None
) -> Batch:
    """From the recorded lines of the span; `run_time` is the blower's in s, `power` (W) where it is known."""
    told = list(lines)
    commands = [line for line in told if line["kind"] == "command"]
    entries = [line for line in commands if line["command"] == "entry"]
    return Batch(
        start=start,
        until=until,
        moved=tuple(
            Moved(line["time"], LevelKind(line["level"]), Spread(**line["volume"]))
            for line in told
            if line["kind"] == "level"
        ),
        drained=tuple(
            Drained(line["time"], line["values"]["seen"], line["values"].get("volume"), line["who"])
            for line in _of(entries, "drained")
        ),
        sent=tuple(
            Sent(line["time"], line["values"]["volume"], line["values"]["to"], line["who"])
            for line in _of(entries, "sent")
        ),
        tests=results_of(commands),
        released=tuple((line["time"], line["who"]) for line in _of(entries, "released")),
        run_time=run_time,
        energy=None if power is None else power * run_time,
    )


def spans(starts: Sequence[float]) -> list[tuple[float, float | None]]:
    """From each start, in order, to the next; the last has no end."""
    return list(zip(starts, [*starts[1:], None], strict=True)) if starts else []


def _of(entries: Iterable[Line], kind: str) -> list[Line]:
    return [line for line in entries if line["entry"] == kind]
