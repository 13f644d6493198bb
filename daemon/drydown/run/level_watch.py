"""Tells filling, drawing, draining, leaking and foaming apart, and how many litres each came to.

A change begins where points of the level (`level_trend`) depart from each other by far more than their noise,
or where a line through minutes of them falls or rises beyond doubt; it ends when the level stands. What went
on unseen, under the bubbles' noise or while nobody watched, is reckoned when the tank is at rest again.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import hypot, inf, sqrt
from statistics import median

from drydown.config.model import Tank
from drydown.effects import LevelEvent
from drydown.estimate.result import Spread
from drydown.run.fuel_level import FuelLevel, vessel_of
from drydown.run.level_kinds import FAST, LITRE, MINUTE, Course, at_its_end, kind_of
from drydown.run.level_trend import GATHERED, KEPT, SCATTERED, Line, Points, is_step, line_through
from drydown.run.movement import LevelKind, Movement
from drydown.run.stages import Stage
from drydown.run.surges import may_be_surge

NOISE, LEAST_NOISE = 0.0015, 0.0003  # m of the level, one point: before it is known, and at least
LEARNED = 0.05  # of what the scatter says of the noise, a point
SURE = 5.0  # standard errors until a movement is believed
JUMPS = (2, 6)  # points between which a fast change shows
SPANS = (2, 3, 6, 9)  # points over which it is asked how fast it is
WINDOWS = {False: (9, 12, 15, 18), True: (15, 20, 25, 30)}  # points in which a slow one shows; as it bubbles
LEAST_RATE = {False: 0.2 * LITRE / MINUTE, True: 0.4 * LITRE / MINUTE}  # of a slow one; the hold-up drifts
CONFIRMED = 2  # points until a change is called by any name: the blower's contact may lag behind its bubbles
SWITCHED = 60.0  # s; what began so shortly before the blower went on or off was its bubbles
STILL_FAST = 300.0  # s for which a change may go on more slowly: a hose runs slower as the head falls
ENOUGH = 6  # points that tell where the level stands
OVER = 0.3  # of its rate so far: a change that is slower than that is over
LEAST = 0.3 * LITRE  # of an event
FOAM_RISE = 0.04  # m above where the bubbling fuel ever stood: at once, without waiting for points
FOAM_STOOD = 300.0  # s; what stands so long without rising or falling is fuel that was poured in
SILENT = 120.0  # s without a level, after which it counts as not watched
DECLARED_FOR = 900.0  # s for which a declared draw or drain may wait, or pause
RECKONED = 86400.0  # s, the longest over which small changes at rest are added up
DRIFT = 0.008  # m that a gauge may drift in that time; common practice, no source
GONE, COME = 0.04, 0.01  # share of the fuel that leaves as vapour and mist in a run; that warmth feigns
GAUGE = 0.01  # of a change: gauge and measures of the tank, σ; judgement
HOLD_UP, HOLD_UP_DRIFT = 0.3, 0.1  # of the gas: how well it is known, and how it may change meanwhile, σ
NINETY = 1.645  # standard deviations to either side hold 90 % of a normal distribution


@dataclass(slots=True)
class Ongoing:
    """A change that has begun, and what it is taken for."""

    start: float
    before: float  # m³, where it stood
    rises: bool
    kind: LevelKind | None = None
    seen: int = 0  # points that have shown it
    fast: float = -inf  # s, when it was last seen to be fast
    most: float = 0.0  # m³ that it came to at some time: foam falls again

    def moved(self, volume: float) -> float:
        """How much has come or gone at this volume, m³; never below zero."""
        return max(0.0, volume - self.before if self.rises else self.before - volume)


class LevelWatch:
    """Fed with every level that can be believed. Volumes in m³ at 15 °C, without bubbles."""

    def __init__(self, tank: Tank) -> None:
        self._vessel = vessel_of(tank)
        self._standpipe = float(self._vessel.volume(tank.standpipe))
        self._points = Points()
        self._surface = float(self._vessel.surface(0.5 * self._vessel.height))
        self._noise = NOISE * self._surface
        self._temperature: float | None = None
        self._bubbling = False
        self._share = 0.0  # of gas
        self._time = -inf
        self._rest: tuple[float, float] | None = None  # when and where it last stood at rest
        self._bubbled = self._unwatched = False  # since then
        self._blind = -inf, -inf  # from when until when the level last told nothing
        self._crest = inf  # m³, the most in this stretch of bubbling that was no foam; not known yet
        self._ongoing: Ongoing | None = None
        self._declared: tuple[LevelKind, str, float] | None = None
        self.movement = Movement()

    def declare(self, now: float, kind: LevelKind, who: str) -> None:
        """Somebody says that it is a draw or a drain, or will be."""
        self._declared = kind, who, now
        if self._ongoing and not self._ongoing.rises:
            self._ongoing.kind = kind
            self.movement = replace(self.movement, kind=kind, who=who)

    def observe(
        self, time: float, level: float, gauge: FuelLevel, temperature: float | None, stage: Stage
    ) -> Iterator[LevelEvent]:
        """Take in a level (m) that `gauge` has taken in already; the changes that have ended by now."""
        if temperature is not None:
            self._temperature = temperature
        if gauge.bubbling is not self._bubbling or time - self._time > SILENT:
            yield from self._break_off(gauge.bubbling, stage)
        self._time = time
        volume = gauge.unbubbled_volume
        self.movement = replace(self.movement, headroom=self._vessel.height - level)
        if volume is None:
            return
        if self._temperature is not None:
            volume = gauge.at_standard(volume, self._temperature)
        self._surface, self._share = float(self._vessel.surface(level)), gauge.share_of_gas
        if not self._points and not self._points.gathers:
            self._blind = self._blind[0], time
        is_point = self._points.add(time, volume)
        if volume > self._crest + FOAM_RISE * self._surface and self._foams(time):
            self._show(self._crest, volume, None, None)
        elif is_point and len(self._points) >= 2:
            yield from self._look(time, stage)

    def _foams(self, time: float) -> bool:
        """Take it for foam from now on; whether that is news."""
        if self._ongoing is None:
            self._begin(time, self._crest, rises=True, kind=LevelKind.FOAM)
        elif self._ongoing.rises and self._ongoing.kind is None:
            self._ongoing.kind = LevelKind.FOAM
        else:
            return False
        return True

    def _look(self, time: float, stage: Stage) -> Iterator[LevelEvent]:
        if self._ongoing is None:
            self._find_beginning()
        if self._ongoing is None:
            yield from self._rests(time, stage)
            return
        ongoing, points = self._ongoing, self._points
        volume = points.last(1)[0][1]
        ongoing.most = max(ongoing.most, ongoing.moved(volume))
        ongoing.seen += 1
        if self._is_fast(ongoing):
            ongoing.fast = time
        if self._declared and time - self._declared[2] <= DECLARED_FOR:
            self._declared = (*self._declared[:2], time)
        ongoing.kind = kind_of(self._course(ongoing, time, volume, stage)) or ongoing.kind
        count = self._count_to_end(ongoing, volume, time)
        recent = line_through(points.last(min(count, max(2, len(points.since(ongoing.start))))), self._noise)
        self._show(ongoing.before, volume, recent.slope, recent.error)
        if len(points.since(ongoing.start)) > count and self._stands(ongoing, recent, volume, time):
            if ongoing.kind is LevelKind.FOAM and ongoing.moved(volume) > 0.5 * ongoing.most:
                ongoing.kind = LevelKind.FILLING
            yield from self._end(ongoing, count, stage)

    def _find_beginning(self) -> None:
        points = self._points.last(KEPT)
        for jump in JUMPS:
            if len(points) > jump and abs(change := points[-1][1] - points[-1 - jump][1]) > (
                SURE * sqrt(2.0) * self._noise
            ):
                before = median(v for _, v in points[:-jump][-ENOUGH:])
                self._begin(points[-1 - jump][0], before, rises=change > 0.0)
                return
        for count in WINDOWS[self._bubbling]:
            if len(points) < count:
                return
            line = line_through(points[-count:], self._noise)
            is_sure = abs(line.slope) >= max(SURE * line.error, LEAST_RATE[self._bubbling])
            if is_sure and not is_step(points[-count:], line):
                self._begin(points[-count][0], line.beginning, rises=line.slope > 0.0)
                return

    def _begin(self, start: float, before: float, *, rises: bool, kind: LevelKind | None = None) -> None:
        is_doubtful = rises and self._bubbling and kind is None
        if is_doubtful and self._stood(1) < self._crest + SURE * self._noise:
            return  # more bubbles again, after there were fewer
        self._ongoing = Ongoing(start, before, rises, kind)

    def _rests(self, time: float, stage: Stage) -> Iterator[LevelEvent]:
        """Nothing begins: learn how the level looks at rest, and reckon what went on unseen."""
        line = line_through(self._points.last(WINDOWS[self._bubbling][-1]), self._noise)
        self.movement = replace(
            self.movement, kind=None, rate=line.slope, sigma=line.error, bubbling=self._bubbling,
            since=None, volume=0.0, who="",
        )  # fmt: skip
        if len(self._points) < ENOUGH:
            return
        told = min(max(line.scatter, LEAST_NOISE * self._surface), 3.0 * self._noise)
        self._noise += LEARNED * (told - self._noise)
        stood = self._stood(ENOUGH)
        if self._bubbling:
            self._crest = stood if self._crest == inf else max(self._crest, stood)
        else:
            yield from self._reckon(time, stood, stage)

    def _reckon(self, time: float, stood: float, stage: Stage) -> Iterator[LevelEvent]:
        if self._rest is not None:
            since, before = self._rest
            change = stood - before
            usual = DRIFT * self._surface + 3.0 * self._noise
            if self._bubbled:
                usual += (COME if change > 0.0 else GONE) * before
            if abs(change) > usual:
                fast = time if self._unwatched else -inf
                missed = Ongoing(since, before, rises=change > 0.0, seen=CONFIRMED, fast=fast)
                course = self._course(missed, time, stood, stage)
                kind = at_its_end(kind_of(course), course)
                if kind:
                    yield self._event(kind, since, time, abs(change), usual / 2.0)
            elif not self._bubbled and not self._unwatched and time - since < RECKONED:
                return
        self._rest, self._bubbled, self._unwatched = (time, stood), False, False

    def _break_off(self, bubbling: bool, stage: Stage) -> Iterator[LevelEvent]:
        """The blower went on or off, or nobody has watched: the level says something else from now on."""
        if self._ongoing and self._time - self._ongoing.start > SWITCHED:
            yield from self._end(self._ongoing, 2, stage)
        self._ongoing, self._crest = None, inf
        if bubbling is self._bubbling:
            self._unwatched = True
        self._bubbled = self._bubbled or bubbling
        self._bubbling = bubbling
        self._points.keep(0)
        self._blind = self._time, inf
        self.movement = Movement(bubbling=bubbling, headroom=self.movement.headroom)

    def _end(self, ongoing: Ongoing, count: int, stage: Stage) -> Iterator[LevelEvent]:
        points = self._points.last(count)
        stood = median(v for _, v in points[-ENOUGH:])
        near = [t for t, v in self._points.since(ongoing.start) if abs(v - stood) < 3.0 * self._noise]
        end = near[0] if near else points[-1][0]
        moved = ongoing.moved(stood)
        course = self._course(ongoing, end, stood, stage)
        kind = at_its_end(ongoing.kind, course)
        noise = self._noise * sqrt(2.0 / min(len(points), ENOUGH))
        told = ongoing.most if kind is LevelKind.FOAM else moved
        if kind and told > max(LEAST, 3.0 * noise, NINETY * self._doubt(told)):
            yield self._event(kind, ongoing.start, end, told, noise)
        self._ongoing = None
        self._points.keep(max(1, len(self._points.since(end)) - 1))
        if kind is not LevelKind.FOAM and (kind or not self._bubbling):
            self._crest = stood if self._bubbling else inf
            self._carry_over(end, stood, moved if ongoing.rises else -moved)
        self._show_rest()

    def _carry_over(self, time: float, stood: float, moved: float) -> None:
        if not self._bubbling:
            self._rest, self._bubbled, self._unwatched = (time, stood), False, False
        elif self._rest is not None:
            self._rest = self._rest[0], self._rest[1] + moved

    def _event(self, kind: LevelKind, start: float, end: float, moved: float, sigma: float) -> LevelEvent:
        either_side = NINETY * hypot(sigma, GAUGE * moved, self._doubt(moved))
        who = self._who(end) if kind in (LevelKind.DRAW, LevelKind.DRAIN) else ""
        low, high = max(0.0, moved - either_side), moved + either_side + self._unseen(start, end, moved)
        return LevelEvent(end, kind, start, Spread(moved, low, high), who)

    def _unseen(self, start: float, end: float, moved: float) -> float:
        """What a change may have moved (m³) before the level told anything, if it was under way by then."""
        since, until = self._blind
        if start > until + 2.0 * GATHERED or since == -inf:
            return 0.0
        return moved / max(end - start, GATHERED) * max(until - since, 0.0)

    def _doubt(self, moved: float) -> float:
        """σ (m³) of a change because of the bubbles: how much they hold up, and surges of the blower."""
        if not self._bubbling:
            return 0.0
        return hypot(HOLD_UP * self._share * moved, HOLD_UP_DRIFT * self._gas)

    @property
    def _gas(self) -> float:
        """How much gas the bubbles hold, m³."""
        return self._share / (1.0 - self._share) * self._stood(1)

    def _may_be_bubbles(self, ongoing: Ongoing) -> bool:
        if not self._bubbling:
            return False
        points = self._points.last(KEPT)
        return may_be_surge(points, ongoing.before, self._noise, self._gas, rises=ongoing.rises)

    def _course(self, ongoing: Ongoing, time: float, volume: float, stage: Stage) -> Course:
        declared = self._declared if self._who(time) else None
        return Course(
            ongoing.rises,
            self._bubbling,
            stage,
            is_fast=time - ongoing.fast <= STILL_FAST,
            lasted=time - ongoing.start,
            moved=ongoing.moved(volume),
            is_confirmed=ongoing.seen >= CONFIRMED and not self._may_be_bubbles(ongoing),
            is_below_standpipe=volume < self._standpipe - 3.0 * self._noise,
            declared=declared[0] if declared else None,
        )

    def _who(self, time: float) -> str:
        """Who has declared a draw or a drain that may be this one."""
        return self._declared[1] if self._declared and time - self._declared[2] <= DECLARED_FOR else ""

    def _is_fast(self, ongoing: Ongoing) -> bool:
        points = self._points.last(max(SPANS) + 1)
        for span in SPANS:
            if len(points) > span:
                (t0, v0), (t1, v1) = points[-1 - span], points[-1]
                rate = (v1 - v0 if ongoing.rises else v0 - v1) / (t1 - t0)
                if rate - 1.5 * sqrt(2.0) * self._noise / (t1 - t0) >= FAST:
                    return True
        return False

    def _count_to_end(self, ongoing: Ongoing, volume: float, time: float) -> int:
        """How many points it takes to see that a change of this rate is over."""
        rate = ongoing.moved(volume) / max(time - ongoing.start, GATHERED)
        wanted = OVER * rate / 2.0  # as standard error of the slope
        for count in range(SCATTERED, KEPT):
            if self._noise * sqrt(12.0) <= wanted * GATHERED * count**1.5:
                return count
        return KEPT - 1

    def _stands(self, ongoing: Ongoing, recent: Line, volume: float, time: float) -> bool:
        speed = recent.slope if ongoing.rises else -recent.slope
        if speed >= OVER * ongoing.moved(volume) / (time - ongoing.start):
            return False
        if ongoing.kind is not LevelKind.FOAM or ongoing.moved(volume) < 0.5 * FOAM_RISE * self._surface:
            return True
        points = self._points.since(time - FOAM_STOOD - GATHERED)
        return points[-1][0] - points[0][0] >= FOAM_STOOD and (
            max(v for _, v in points) - min(v for _, v in points) < 8.0 * self._noise
        )

    def _stood(self, count: int) -> float:
        return median(v for _, v in self._points.last(count))

    def _show(self, before: float, volume: float, rate: float | None, sigma: float | None) -> None:
        ongoing = self._ongoing
        if ongoing:
            self.movement = replace(
                self.movement, kind=ongoing.kind, rate=rate, sigma=sigma, bubbling=self._bubbling,
                since=ongoing.start, volume=abs(volume - before), who=self._who(self._time),
            )  # fmt: skip

    def _show_rest(self) -> None:
        self.movement = Movement(bubbling=self._bubbling, headroom=self.movement.headroom)
