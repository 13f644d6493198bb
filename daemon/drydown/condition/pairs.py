"""Probes that must agree because of where they are: the one way to see a probe that lies constantly.

At rest each temperature goes towards that of the air. With one time constant τ that gives, for any course of
the air, mean(T − T_air) = −τ · (change of T) / (length of time): so however warm a tank was and whatever the
weather does, the mean difference of two probes is bounded by what the slower one changed meanwhile, and the
rest is error. The mean lags by as long as it is taken over; nothing else is smoothed.

A tank that something keeps warm, or that is being filled, is not at rest, and nothing is said of it.
"""

import math
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field

from drydown.condition import kinds, table
from drydown.condition.table import Pair
from drydown.condition.words import said_difference
from drydown.config import model

AIR, DISCHARGE, LEVEL = "air/temperature", "blower/discharge_temperature", "fuel/level"
WATCHED = frozenset({LEVEL, *(name for pair in table.PAIRS for name in (pair.slow, pair.other))})


@dataclass(slots=True)
class _Spell:
    """The differences of a pair over a small part of its window."""

    began: float
    first: float  # of the slow one, K
    total: float = 0.0
    count: int = 0


@dataclass(slots=True)
class _Rest:
    """A pair at rest so far."""

    spells: deque[_Spell] = field(default_factory=deque)
    agrees: bool | None = None  # None: it cannot be told yet
    apart: float = 0.0  # K that the slow one reads above the other, on average

    def add(self, pair: Pair, time: float, slow: float, other: float) -> None:
        length = pair.window / table.SPELLS
        spells = self.spells
        if not spells or time - spells[-1].began >= length:
            if spells and time - spells[-1].began > 2 * length:
                spells.clear()
            spells.append(_Spell(time, slow))
        spells[-1].total += slow - other
        spells[-1].count += 1
        while time - spells[0].began > pair.window:
            spells.popleft()

    def judge(self, pair: Pair, time: float, slow: float, tolerance: float) -> None:
        spells = self.spells
        length = time - spells[0].began
        if length < pair.window * (1 - 1 / table.SPELLS):
            return
        self.apart = sum(spell.total for spell in spells) / sum(spell.count for spell in spells)
        trails = -pair.slowness * (slow - spells[0].first) / length
        if self.apart > pair.kept_warm:
            self.agrees = None
        elif not min(trails, 0.0) - tolerance <= self.apart <= max(trails, 0.0) + tolerance:
            self.agrees = False
        elif max(abs(trails), abs(self.apart)) <= tolerance:  # else too much is allowed for to prove anything
            self.agrees = True


class Pairs:
    """What is known of a tank's pairs."""

    def __init__(self, probes: Mapping[str, model.Probe]) -> None:
        self._errors = {name: table.sensor_of(probes.get(name)).error for name in WATCHED - {LEVEL}}
        self._latest: dict[str, tuple[float, float]] = {}
        self._rests = {pair: _Rest() for pair in table.PAIRS}
        self._rest_level: float | None = None
        self._resting_since: float | None = None
        self._blowing_since: float | None = None
        self._cold_since: float | None = None
        self._next = -math.inf
        self._doubts: dict[str, kinds.Verdict] = {}

    def switched(self, time: float, running: bool | None) -> None:
        """The blower runs, rests, or nobody knows."""
        if running is not False:
            self._resting_since, self._rest_level = None, None
        elif self._resting_since is None:
            self._resting_since = time
        if not running:
            self._blowing_since = self._cold_since = None
        elif self._blowing_since is None:
            self._blowing_since = time
            for rest in self._rests.values():
                rest.spells.clear()  # but what was found stays, until another rest says otherwise

    def observe(self, name: str, time: float, value: float) -> None:
        """Take in a value that nothing else speaks against."""
        if name not in WATCHED:
            return
        self._latest[name] = time, value
        if time >= self._next:
            self._next = time + table.SAMPLED
            self._look(time)

    def doubt(self, name: str) -> kinds.Verdict | None:
        """What speaks against a quantity's readings now."""
        return self._doubts.get(name) if self._doubts else None

    @property
    def reason(self) -> str:
        """Which probes contradict each other, in words; empty when none do."""
        return "; ".join(f"{name}: {reason}" for name, (_, reason) in sorted(self._doubts.items()))

    def _look(self, time: float) -> None:
        if self._resting_since is not None:
            for pair, rest in self._rests.items():
                self._rest(time, pair, rest)
        self._doubts = self._apart()
        cold = self._cold(time)
        if cold:
            self._doubts.setdefault(AIR, cold)
            self._doubts.setdefault(DISCHARGE, cold)

    def _rest(self, time: float, pair: Pair, rest: _Rest) -> None:
        slow, other = self._fresh(pair.slow, time), self._fresh(pair.other, time)
        if slow is None or other is None or time - (self._resting_since or 0.0) < pair.settles:
            return
        if pair.slow == table.FUEL and self._is_filled(time):
            rest.spells.clear()
        rest.add(pair, time, slow, other)
        rest.judge(pair, time, slow, self._tolerance(pair.slow, pair.other))

    def _is_filled(self, time: float) -> bool:
        """Whether fuel came or went since the level was last noted."""
        level = self._fresh(LEVEL, time)
        if level is None:
            return False
        if self._rest_level is not None and abs(level - self._rest_level) <= table.FILLED:
            return False
        before, self._rest_level = self._rest_level, level
        return before is not None

    def _apart(self) -> dict[str, kinds.Verdict]:
        doubts: dict[str, kinds.Verdict] = {}
        for pair, rest in self._rests.items():
            if rest.agrees is not False:
                continue
            for name, other, apart in (
                (pair.slow, pair.other, rest.apart),
                (pair.other, pair.slow, -rest.apart),
            ):
                if not self._is_vouched_for(name) or self._is_vouched_for(other):
                    doubts[name] = kinds.APART.found(
                        hours=pair.window / 3600,
                        apart=said_difference(abs(apart)),
                        way="above" if apart > 0 else "below",
                        other=other,
                    )
        return doubts

    def _is_vouched_for(self, name: str) -> bool:
        return any(rest.agrees and name in (pair.slow, pair.other) for pair, rest in self._rests.items())

    def _cold(self, time: float) -> kinds.Verdict | None:
        air, discharge = self._fresh(AIR, time), self._fresh(DISCHARGE, time)
        began = self._blowing_since
        if air is None or discharge is None or began is None or time - began < table.WARM_AFTER:
            self._cold_since = None
            return None
        if discharge >= air - self._tolerance(AIR, DISCHARGE):
            self._cold_since = None
        elif self._cold_since is None:
            self._cold_since = time
        if self._cold_since is None or time - self._cold_since < table.COLD_AFTER:
            return None
        return kinds.COLD_AIR.found(seconds=time - self._cold_since)

    def _fresh(self, name: str, time: float) -> float | None:
        found = self._latest.get(name)
        return found[1] if found and time - found[0] <= 2 * table.SAMPLED else None

    def _tolerance(self, one: str, other: str) -> float:
        return math.hypot(self._errors[one], self._errors[other]) + table.PLACE
