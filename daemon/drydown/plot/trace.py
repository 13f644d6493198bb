"""What of a run is drawn: its report, and the courses of what was read and worked out, thinned for it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from drydown.effects import AlarmChanged, Change, Conditioned, Derived, Effect, Priority
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.quantities import ZERO_CELSIUS
from drydown.reading import Quality, Reading
from drydown.run.report import RunReport, gather
from drydown.run.room_peaks import ENDS
from drydown.texts.sheets import SHEETS

Course = list[list[tuple[float, float]]]
"""Stretches of (time, value); between two of them nothing is known."""

Ranges = list[list[tuple[float, Spread]]]
"""The same for ranges."""

SILENCE = 180.0  # s without a word after which a course has a gap
MOST_POINTS = 600  # of a course

UNKNOWN = str(Verdict.UNKNOWN)

TEMPERATURES = (
    "fuel/temperature",
    "air/temperature",
    "blower/discharge_temperature",
    "blower/motor_temperature",
)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Something that held from one time to another (s)."""

    start: float
    end: float
    what: str


@dataclass(frozen=True, slots=True)
class Standing:
    """An alarm from when it was raised until it returned, or the run ended (`end` in s)."""

    start: float
    end: float
    priority: Priority
    title: str


@dataclass(frozen=True, slots=True)
class Trace:
    """A run ready to draw. Times in Unix s; temperatures in °C, all else in SI units."""

    report: RunReport
    temperatures: dict[str, Course]
    methanol: Ranges
    water: Ranges
    floor: Ranges
    room: Ranges
    stages: list[Stretch]
    verdicts: list[Stretch]
    running: list[Stretch]
    alarms: list[Standing]

    @property
    def is_empty(self) -> bool:
        """Whether nothing was read at all."""
        return self.report.last == 0.0


def trace(effects: Iterable[Effect]) -> Trace:
    """Go through a run's effects, whose times are Unix times."""
    effects = list(effects)
    report = gather(effects)
    readings = _by_name(effects)
    temperatures = {
        name: course
        for name in TEMPERATURES
        if (course := _course(readings.get(name, ()), report.last - report.first))
    }
    verdicts = [(one.time, str(one.verdict)) for one in report.estimates]
    return Trace(
        report,
        temperatures,
        methanol=_believed(report.estimates, "methanol"),
        water=_believed(report.estimates, "water"),
        floor=_believed(report.estimates, "water_floor"),
        room=_parted(_room(readings)),
        stages=_until_next([(stage.time, str(stage.stage)) for stage in report.stages], report.last),
        verdicts=_until_next(_with_silences(verdicts), report.last),
        running=_running(readings.get("blower/running", ()), report.last),
        alarms=_alarms(report),
    )


def _by_name(effects: Iterable[Effect]) -> dict[str, list[Reading]]:
    found: dict[str, list[Reading]] = {}
    for effect in effects:
        if isinstance(effect, Conditioned | Derived):
            found.setdefault(effect.reading.name, []).append(effect.reading)
    return found


def _course(readings: Sequence[Reading], span: float) -> Course:
    """Means over short spells, so that a long run does not make a long picture."""
    spell = max(span / MOST_POINTS, 1e-3)
    stretches: Course = [[]]
    for _, together in groupby(readings, key=lambda reading: (reading.time // spell, _is_good(reading))):
        several = list(together)
        time = sum(reading.time for reading in several) / len(several)
        values = [reading.value for reading in several if reading.value is not None]
        before = stretches[-1][-1][0] if stretches[-1] else time
        if not _is_good(several[0]) or time - before > SILENCE:
            stretches.append([])
        if _is_good(several[0]):
            stretches[-1].append((time, sum(values) / len(values) - ZERO_CELSIUS))
    return [stretch for stretch in stretches if stretch]


def _is_good(reading: Reading) -> bool:
    return reading.quality is Quality.GOOD and reading.value is not None


def _believed(estimates: Iterable[Estimate], name: str) -> Ranges:
    return _parted([(one.time, getattr(one, name)) for one in estimates])


def _room(readings: dict[str, list[Reading]]) -> list[tuple[float, Spread | None]]:
    ends: dict[float, dict[str, float | None]] = {}
    for tail, end in {"": "median", **ENDS}.items():
        for reading in readings.get(f"room/methanol{tail}", ()):
            ends.setdefault(reading.time, {})[end] = reading.value
    return [(time, _whole(found)) for time, found in sorted(ends.items())]


def _whole(ends: dict[str, float | None]) -> Spread | None:
    known = {end: float(value) for end, value in ends.items() if value is not None}
    return Spread(**known) if len(known) == 3 else None


def _parted(ranges: Sequence[tuple[float, Spread | None]]) -> Ranges:
    stretches: Ranges = [[]]
    for time, spread in ranges:
        before = stretches[-1][-1][0] if stretches[-1] else time
        if spread is None or time - before > SILENCE:
            stretches.append([])
        if spread is not None:
            stretches[-1].append((time, spread))
    return [stretch for stretch in stretches if stretch]


def _until_next(happenings: Sequence[tuple[float, str]], last: float) -> list[Stretch]:
    following = [*happenings[1:], (last, "")]
    whole = [Stretch(time, end, what) for (time, what), (end, _) in zip(happenings, following, strict=False)]
    joined: list[Stretch] = []
    for what, same in groupby(whole, key=lambda stretch: stretch.what):
        several = list(same)
        if several[-1].end > several[0].start:
            joined.append(Stretch(several[0].start, several[-1].end, what))
    return joined


def _running(readings: Sequence[Reading], last: float) -> list[Stretch]:
    said = [(one.time, ("on" if one.value else "off") if _is_good(one) else UNKNOWN) for one in readings]
    return [stretch for stretch in _until_next(_with_silences(said), last) if stretch.what != "off"]


def _with_silences(happenings: Sequence[tuple[float, str]]) -> list[tuple[float, str]]:
    """Where nothing is said for long, nothing is known from the last word on."""
    said: list[tuple[float, str]] = []
    for time, what in happenings:
        if said and time - said[-1][0] > SILENCE:
            said.append((said[-1][0], UNKNOWN))
        said.append((time, what))
    return said


def _alarms(report: RunReport) -> list[Standing]:
    return list(_standing(report.alarms, report.last))


def _standing(changes: Sequence[AlarmChanged], last: float) -> Iterator[Standing]:
    for i, raised in enumerate(changes):
        if raised.change is not Change.RAISED:
            continue
        after = (later for later in changes[i + 1 :] if later.alarm == raised.alarm)
        end = next((later.time for later in after if later.change in (Change.RETURNED, Change.RAISED)), last)
        yield Standing(raised.time, end, raised.priority, SHEETS[raised.alarm, raised.cause].title)
