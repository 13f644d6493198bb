"""Gathers readings into means over about a minute, the rows of history that the fit works on."""

from dataclasses import dataclass

from drydown.estimate.inputs import Sample

NAN = float("nan")


@dataclass(frozen=True, slots=True)
class Minute:
    """Means over one interval; NaN where nothing was read."""

    end: float  # s, on the core's clock
    length: float  # s
    running: bool
    fuel: float
    volume: float
    discharge: float
    air: float
    humidity: float


COLDEST, HOTTEST = 235.0, 348.0  # K, no fuel in this trade; methanol would boil off at once
LIMITS = ((0.0, 1e3), (230.0, 470.0), (220.0, 345.0), (0.0, 1.1))  # m³, K, K, share: beyond is no reading
LONGEST_BRIDGE = 45.0  # s between two readings of the fuel that are joined by a straight line


class Gatherer:
    """Gathers readings until it is asked for their means. A switch of the blower closes an interval too."""

    __slots__ = (
        "_area",
        "_begun",
        "_closed",
        "_counts",
        "_fuel",
        "_seen",
        "_sums",
        "_told",
        "_when",
        "running",
    )

    def __init__(self) -> None:
        self._begun: float | None = None
        self._closed: list[Minute] = []
        self._fuel, self._when = NAN, -1e18  # the last fuel reading
        self._area = self._seen = 0.0
        self._sums = [0.0] * 4
        self._counts = [0] * 4
        self._told = 1e18  # when the blower was last told of
        self.running = False

    def add(self, now: float, sample: Sample) -> None:
        """Takes one moment's readings."""
        if self._begun is None:
            self._begun = now
        fuel = sample.fuel_temperature
        if fuel is not None and COLDEST < fuel < HOTTEST:
            span = now - self._when
            if 0.0 < span <= LONGEST_BRIDGE:
                self._area += 0.5 * (fuel + self._fuel) * span
                self._seen += span
            self._fuel, self._when = fuel, now
        running = sample.running
        if running is not None:
            if running != self.running:
                lost = now - self._told  # it switched somewhere in a gap: half way, for want of better
                self._close(now if lost <= LONGEST_BRIDGE else now - 0.5 * lost)
                self.running = running
            self._told = now
        sums, counts = self._sums, self._counts
        values = (
            sample.level_volume,
            sample.discharge_temperature,
            sample.air_temperature,
            sample.air_humidity,
        )
        for i, value in enumerate(values):
            if value is not None and LIMITS[i][0] <= value <= LIMITS[i][1]:
                sums[i] += value
                counts[i] += 1

    def take(self, now: float) -> list[Minute]:
        """The means of the intervals since the last call, oldest first."""
        self._close(now)
        closed, self._closed = self._closed, []
        return closed

    def _close(self, now: float) -> None:
        if self._begun is None or now - self._begun < 1.0:
            return
        fuel = self._area / self._seen if self._seen > 0.3 * (now - self._begun) else NAN
        means = [s / n if n else NAN for s, n in zip(self._sums, self._counts, strict=True)]
        self._closed.append(Minute(now, now - self._begun, self.running, fuel, *means))
        self._begun = now
        self._area = self._seen = 0.0
        self._sums, self._counts = [0.0] * 4, [0] * 4
