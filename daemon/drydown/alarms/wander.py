"""How far bubbles alone can let the level of a tank fall: a surge of the blower is no leak.

More air holds the fuel up further, and how much it holds wanders by itself. What wandered in this stretch of
bubbling, two and a half times over, is taken for what may come; until enough of it was seen, a large part of
the gas itself.
"""

from collections import deque

EVERY = 60.0  # s between two points
LENGTH = 8  # points over which a fall is taken: what falls for longer is slow enough to be seen otherwise
BEFORE = 600.0  # s: what fell more lately may be the leak itself
SETTLES = 480.0  # s of bubbling in which the level falls by more than it wanders: bubbles grow finer
SEEN = 1500.0  # s of bubbling after which it is known how it wanders
MARGIN = 2.5
LEAST, MOST = 0.10, 0.40  # of the gas; the most was 0.29 in fifty runs with surges of a seventh of the air

LIFTED = 30.0  # s until bubbles have lifted the fuel; in 200 simulated runs it rose by 0.01 m at most then
FOAM = 0.04  # m above that; surges and wandering bubbles came to less than 0.02 m in fifty runs
LATELY = 300.0  # s in which foam rises so far
STANDS = 900.0  # s after which it is no foam, but fuel that was poured in


class Wander:
    """One tank's. Volumes in m³, times in s."""

    def __init__(self) -> None:
        self._began: float | None = None
        self._points: deque[tuple[float, float]] = deque(maxlen=LENGTH + 1)
        self._falls: deque[tuple[float, float]] = deque()
        self._most = 0.0  # of the falls that are old enough

    def explained(self, time: float, running: bool, volume: float, gas: float) -> float:
        """Take in a volume of fuel and the gas in it; by how much bubbles alone may have let it fall."""
        if not running:
            self._forget()
            return 0.0
        if self._began is None:
            self._began = time
        if time - self._began < SETTLES:
            return MOST * gas
        if not self._points or time - self._points[-1][0] >= EVERY:
            self._points.append((time, volume))
            self._falls.append((time, max(before for _, before in self._points) - volume))
        while self._falls and time - self._falls[0][0] > BEFORE:
            self._most = max(self._most, self._falls.popleft()[1])
        if time - self._began < SEEN:
            return MOST * gas
        return min(max(MARGIN * self._most, LEAST * gas), MOST * gas)

    def _forget(self) -> None:
        self._began, self._most = None, 0.0
        self._points.clear()
        self._falls.clear()


class Crest:
    """How high bubbling fuel has stood in this stretch until some minutes ago, so that foam shows. In m."""

    def __init__(self) -> None:
        self._began: float | None = None
        self._crest: float | None = None
        self._recent: deque[tuple[float, float]] = deque()
        self._above: float | None = None  # since when it stands far higher

    def rise(self, time: float, running: bool, level: float) -> float:
        """Take in a level; how far it stands above the crest, 0 while that is not known."""
        if not running:
            self._began = self._crest = self._above = None
            self._recent.clear()
            return 0.0
        if self._began is None:
            self._began = time
        if time - self._began < LIFTED:
            return 0.0
        crest = level if self._crest is None else self._crest
        self._recent.append((time, level))
        rise = max(0.0, level - crest)
        self._above = None if rise < FOAM else self._above or time
        if self._above is None or time - self._above > STANDS:
            while time - self._recent[0][0] > LATELY:
                crest = max(crest, self._recent.popleft()[1])
        self._crest = crest
        return rise
