"""Which of several thermometers somebody is warming: pure, temperatures in, a name out."""

from collections import deque
from collections.abc import Mapping

WINDOW = 8.0  # s over which a rise is looked at; a hand warms a probe by some kelvin in that time
RISE = 0.8  # K by which it must have warmed: a room warms by less than a tenth of that
LEAD = 2.0  # times the rise of any other
COOLING = 0.2  # K below its warmest in the window: nobody touches it any more
AT_REST = 0.3  # K; a probe that rises by less may be touched, and named, again


class Warming:
    """Follows all thermometers, and names the one that warms fastest when that is beyond doubt."""

    def __init__(self) -> None:
        self._past: dict[str, deque[tuple[float, float]]] = {}
        self._held: set[str] = set()  # named, and still warming

    def observe(self, now: float, temperatures: Mapping[str, float]) -> str | None:
        """Take the latest readings (s, and °C or K by serial); says who is touched, once a touch."""
        for serial, temperature in temperatures.items():
            self._past.setdefault(serial, deque()).append((now, temperature))
        for past in self._past.values():
            while past and past[0][0] < now - WINDOW:
                past.popleft()
        rises = self.rises()
        self._held = {serial for serial in self._held if rises.get(serial, 0.0) >= AT_REST}
        first, second = (sorted(rises.items(), key=lambda one: one[1], reverse=True) + [("", 0.0)] * 2)[:2]
        if first[1] < RISE or first[1] < LEAD * second[1] or first[0] in self._held:
            return None
        self._held.add(first[0])
        return first[0]

    def rises(self) -> dict[str, float]:
        """By how much (K) each has warmed within the window; 0 when it cools."""
        return {serial: _rise([value for _, value in past]) for serial, past in self._past.items() if past}


def _rise(values: list[float]) -> float:
    latest = values[-1]
    return 0.0 if latest < max(values) - COOLING else latest - min(values)
