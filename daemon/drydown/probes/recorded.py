"""The probes of a recorded run, played at its own pace from the first reading on."""

import threading
from bisect import bisect_right
from dataclasses import dataclass
from operator import attrgetter
from pathlib import Path

from drydown.bus.senml import Record, SenmlError
from drydown.bus.senml_json import FILE, decode, decode_stream
from drydown.probes.probe import no_value
from drydown.quantities import MEASURED
from drydown.reading import Reading


class RecordingError(Exception):
    """A file that cannot be played; the text names it, and says why."""


@dataclass(frozen=True, slots=True)
class Series:
    """One quantity: times in s since the recording's first reading, rising, and values in SI units."""

    times: list[float]
    values: list[float | bool]


def load(path: Path, tank: str) -> dict[str, Series]:
    """What a recording (.senml, or .sensml with a record a line) holds of a tank, by quantity.

    The tank is the middle of a record's name, SITE/TANK/quantity. A recording of a single tank is taken
    whatever that tank is called. Raises RecordingError.
    """
    tanks: dict[str, list[Record]] = {}
    for record in _records(path):
        _, _, rest = record.name.partition("/")
        whose, _, name = rest.partition("/")
        if name in MEASURED:
            tanks.setdefault(whose, []).append(record)
    if tank not in tanks and len(tanks) != 1:
        held = f"of the tanks {', '.join(tanks)}" if tanks else "of no tank"
        raise RecordingError(f"{path} holds readings {held}, and none of {tank}")
    records = sorted(tanks.get(tank) or next(iter(tanks.values())), key=attrgetter("time"))
    series: dict[str, Series] = {}
    for record in records:
        _add(series, record, records[0].time, path)
    return series


def _records(path: Path) -> list[Record]:
    try:
        if path.suffix == ".sensml":
            with path.open("rb") as lines:
                return list(decode_stream(lines, 0.0))
        if path.stat().st_size > FILE.size:
            raise RecordingError(f"{path} has more than {FILE.size} bytes, which is too much for one run")
        return decode(path.read_bytes(), 0.0, FILE)
    except OSError as error:
        raise RecordingError(f"{path} cannot be read: {error.strerror}") from error
    except SenmlError as error:
        raise RecordingError(f"{path}: {error}") from error


def _add(series: dict[str, Series], record: Record, start: float, path: Path) -> None:
    quantity = MEASURED[record.name.split("/", 2)[2]]
    value = record.value
    if isinstance(value, bool) is not quantity.is_boolean or not isinstance(value, bool | float):
        kind = "true or false" if quantity.is_boolean else "a number"
        raise RecordingError(f"{path}: {record.name} is not {kind} at {record.time:.0f}")
    if not quantity.is_boolean and record.unit != quantity.unit:
        raise RecordingError(f"{path}: {record.name} has the unit {record.unit}; allowed is {quantity.unit}")
    own = series.setdefault(quantity.name, Series([], []))
    own.times.append(record.time - start)
    own.values.append(value if quantity.is_boolean else quantity.to_si(value))


class Player:
    """A recording that begins when the first of its probes is read. Safe to share between threads."""

    def __init__(self, path: Path, tank: str) -> None:
        """Raises RecordingError."""
        self.path = path
        self.series = load(path, tank)
        self.length = max(series.times[-1] for series in self.series.values())
        self._lock = threading.Lock()
        self._begun: float | None = None

    def begun(self, now: float) -> float:
        """When it began, on the core's clock: now, if it had not."""
        with self._lock:
            if self._begun is None:
                self._begun = now
            return self._begun


class RecordedProbe:
    """One quantity of a recording."""

    def __init__(self, name: str, player: Player) -> None:
        self._name = name
        self._player = player

    @property
    def name(self) -> str:
        return self._name

    def describe(self) -> str:
        return f"recorded run {self._player.path.name}"

    def read(self, now: float) -> Reading:
        """The last reading up to this point of the run, with the time that it has in this playing."""
        begun = self._player.begun(now)
        series = self._player.series.get(self._name)
        if series is None:
            return no_value(
                self._name, now, f"{self._player.path.name} holds no {self._name}: remove this probe"
            )
        passed = now - begun
        latest = bisect_right(series.times, passed) - 1
        if passed > self._player.length + 60.0:
            return no_value(self._name, now, f"the run in {self._player.path.name} has ended: start it again")
        if latest < 0:
            return no_value(
                self._name, now, f"{self._name} begins {series.times[0]:.0f} s into the recorded run"
            )
        return Reading(self._name, begun + series.times[latest], series.values[latest])
