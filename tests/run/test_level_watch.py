"""Filling, drawing, draining, leaking and foaming told apart, in a drum whose gauge flickers."""

import math
from dataclasses import dataclass, field
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.effects import LevelEvent
from drydown.run.fuel_level import FuelLevel
from drydown.run.level_watch import LevelWatch
from drydown.run.movement import LevelKind, Movement
from drydown.run.stages import Stage
from support.boathouse import CELSIUS, heron

AREA = math.pi * 0.30**2  # m², of a drum of 0.6 m
LITRE_A_MINUTE = 1e-3 / 60  # m³/s
HELD = 0.09  # share of gas while it bubbles


@dataclass
class Drum:
    """The tank of the boathouse: how much is in it, and what its gauge says of that."""

    every: float = 1.0
    volume: float = 0.170
    noise: float = 0.0015  # m, σ of one reading
    stage: Stage = Stage.READY
    celsius: float = 25.0
    foam: float = 0.0  # m³
    dice: Random = field(default_factory=lambda: Random("drum"))
    now: float = 0.0
    running: bool = False
    events: list[LevelEvent] = field(default_factory=list)
    seen: list[tuple[float, Movement]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.gauge, self.watch = FuelLevel(heron()), LevelWatch(heron())

    def goes_on(self, seconds: float, rate: float = 0.0, foaming: float = 0.0) -> None:
        """For so long, while so much comes in (m³/s, below zero: goes out), and foam grows (m³/s)."""
        end = self.now + seconds
        while self.now < end:
            self.now += self.every
            self.volume = max(0.0, self.volume + rate * self.every)
            self.foam += foaming * self.every
            surface = self.volume / (1.0 - HELD) if self.running else self.volume
            level = (surface + self.foam) / AREA + self.dice.gauss(0.0, self.noise)
            level = max(0.0, level)
            self.gauge.observe(self.now, level, self.running)
            self.events += self.watch.observe(self.now, level, self.gauge, self.celsius + CELSIUS, self.stage)
            self.gauge.is_foaming = self.watch.movement.kind is LevelKind.FOAM
            self.seen.append((self.now, self.watch.movement))

    def first(self, kind: LevelKind) -> float:
        """When the movement was first said to be of a kind."""
        return next(time for time, movement in self.seen if movement.kind is kind)

    def only(self) -> LevelEvent:
        """The one event that came."""
        (event,) = self.events
        return event


EVERY = pytest.mark.parametrize("every", [1.0, 10.0])


@EVERY
def test_a_draw_is_told_with_its_litres(every: float) -> None:
    drum = Drum(every)
    drum.goes_on(600)
    drum.goes_on(180, -10 * LITRE_A_MINUTE)
    drum.goes_on(300)
    draw = drum.only()
    assert draw.kind is LevelKind.DRAW
    standard = 0.030 * drum.gauge.at_standard(1.0, 25 + CELSIUS)  # at 15 °C it is less
    assert draw.volume.low <= standard <= draw.volume.high
    assert draw.volume.high - draw.volume.low < 0.003
    assert draw.start == pytest.approx(600, abs=30)
    assert draw.time == pytest.approx(780, abs=30)
    assert {movement.kind for _, movement in drum.seen} == {None, LevelKind.DRAW}


@EVERY
@pytest.mark.parametrize("stage", list(Stage))
def test_fuel_that_comes_in_is_filling_in_any_stage(every: float, stage: Stage) -> None:
    drum = Drum(every, volume=0.080, stage=stage)
    drum.goes_on(600)
    drum.goes_on(240, 20 * LITRE_A_MINUTE)
    drum.goes_on(300)
    filled = drum.only()
    assert filled.kind is LevelKind.FILLING
    assert filled.volume.median == pytest.approx(0.080 * 0.9918, rel=0.02)


@pytest.mark.parametrize(("every", "within"), [(1.0, 180.0), (5.0, 240.0)])
@pytest.mark.parametrize("stage", list(Stage))
def test_a_slow_leak_is_told_within_minutes_in_any_stage(every: float, within: float, stage: Stage) -> None:
    drum = Drum(every, stage=stage)
    drum.goes_on(1800)
    drum.goes_on(900, -0.5 * LITRE_A_MINUTE)
    assert drum.first(LevelKind.LEAK) - 1800 <= within
    time, movement = drum.seen[-1]
    assert time == 2700
    assert movement.rate is not None
    assert movement.sigma is not None
    assert movement.rate == pytest.approx(-0.5 * LITRE_A_MINUTE, abs=3 * movement.sigma)
    drum.goes_on(900)
    leak = drum.only()
    assert leak.kind is LevelKind.LEAK
    assert leak.volume.median == pytest.approx(0.0075, abs=0.0012)


def test_a_leak_is_told_while_it_bubbles_too() -> None:
    drum = Drum(every=5.0, stage=Stage.BUBBLING)
    drum.goes_on(600)
    drum.running = True
    drum.goes_on(1800)
    drum.goes_on(900, -1.0 * LITRE_A_MINUTE)
    assert drum.first(LevelKind.LEAK) - 2400 <= 300
    assert drum.watch.movement.bubbling
    drum.goes_on(900)
    leak = drum.only()
    assert leak.kind is LevelKind.LEAK
    assert leak.volume.low <= 0.015 * 0.9918 <= leak.volume.high


def test_an_open_drain_is_a_leak_unless_somebody_says_so() -> None:
    for declared, kinds in (
        (False, {None, LevelKind.DRAIN, LevelKind.LEAK}),
        (True, {None, LevelKind.DRAIN}),
    ):
        drum = Drum(stage=Stage.SETTLING)
        drum.goes_on(600)
        if declared:
            drum.watch.declare(drum.now, LevelKind.DRAIN, "Wren")
        drum.goes_on(180, -10 * LITRE_A_MINUTE)
        assert {movement.kind for _, movement in drum.seen} == kinds
        drum.goes_on(120)
        assert drum.only().by == ("Wren" if declared else "")


@pytest.mark.parametrize("stage", [Stage.SETTLING, Stage.PAUSED, Stage.RESTING])
def test_little_that_is_let_out_quickly_is_a_drain(stage: Stage) -> None:
    drum = Drum(stage=stage)
    drum.goes_on(600)
    drum.goes_on(40, -6 * LITRE_A_MINUTE)
    drum.goes_on(120)
    drain = drum.only()
    assert drain.kind is LevelKind.DRAIN
    assert drain.volume.median == pytest.approx(0.004, abs=0.0005)


def test_a_draw_ends_at_the_standpipe_and_what_goes_below_is_no_draw() -> None:
    drum = Drum(volume=0.152 * AREA + 0.020)
    drum.goes_on(600)
    drum.goes_on(240, -10 * LITRE_A_MINUTE)
    assert LevelKind.DRAW in {movement.kind for _, movement in drum.seen}
    assert drum.watch.movement.kind is LevelKind.LEAK


def test_a_slow_draw_that_is_declared_is_a_draw() -> None:
    drum = Drum()
    drum.goes_on(600)
    drum.watch.declare(drum.now, LevelKind.DRAW, "Wren")
    drum.goes_on(1800, -1.0 * LITRE_A_MINUTE)
    drum.goes_on(600)
    assert {movement.kind for _, movement in drum.seen} == {None, LevelKind.DRAW}
    assert (drum.only().kind, drum.only().by) == (LevelKind.DRAW, "Wren")


def test_foam_is_told_at_once_and_is_no_fuel() -> None:
    drum = Drum(volume=0.120, stage=Stage.BUBBLING)
    drum.goes_on(600)
    drum.running = True
    drum.goes_on(1200)
    volume = drum.gauge.volume
    drum.goes_on(120, foaming=12 * LITRE_A_MINUTE)
    assert drum.first(LevelKind.FOAM) - 1800 <= 70
    drum.goes_on(120, foaming=-12 * LITRE_A_MINUTE)
    drum.goes_on(600)
    assert drum.gauge.volume == pytest.approx(volume, rel=0.02)
    foam = drum.only()
    assert foam.kind is LevelKind.FOAM
    assert foam.volume.median == pytest.approx(0.024 * (1 - HELD), rel=0.2)


def test_fuel_that_is_poured_in_while_it_bubbles_is_told_once_it_stands() -> None:
    drum = Drum(volume=0.120, stage=Stage.BUBBLING)
    drum.goes_on(600)
    drum.running = True
    drum.goes_on(1200)
    drum.goes_on(60, 20 * LITRE_A_MINUTE)
    drum.goes_on(900)
    filled = drum.only()
    assert filled.kind is LevelKind.FILLING
    assert filled.volume.low <= 0.020 * 0.9918 <= filled.volume.high
    assert drum.gauge.volume == pytest.approx(0.140, rel=0.02)


@pytest.mark.parametrize("later", [60, 100, 115])
def test_what_is_let_out_before_the_level_has_settled_is_within_the_range(later: float) -> None:
    drum = Drum(1.0, stage=Stage.RESTING)
    drum.goes_on(600)
    drum.running = True
    drum.goes_on(1200)
    drum.running = False
    drum.goes_on(later)
    drum.goes_on(200, -2 * LITRE_A_MINUTE)
    drum.goes_on(600)
    event = drum.only()
    assert event.volume.low <= 200 / 30 * 1e-3 <= event.volume.high


@EVERY
def test_a_whole_quiet_day_tells_nothing(every: float) -> None:
    """Readings flicker, the fuel cools by 12 K and so shrinks by 1.5 L."""
    drum = Drum(every, volume=0.170)
    drum.goes_on(3600)
    for _ in range(24):
        drum.celsius -= 0.5
        drum.volume *= 1 - 0.00083 * 0.5
        drum.goes_on(3600)
    assert drum.events == []
    assert {movement.kind for _, movement in drum.seen} == {None}


def test_a_run_that_takes_the_methanol_away_is_no_leak() -> None:
    drum = Drum(every=5.0, stage=Stage.BUBBLING)
    drum.goes_on(600)
    drum.running = True
    drum.goes_on(3 * 3600, -0.004 / (3 * 3600))  # 4 L of methanol, water and mist
    drum.running = False
    drum.goes_on(1200)
    assert drum.events == []


def test_a_blower_that_loses_and_regains_its_breath_is_neither_leak_nor_foam() -> None:
    drum = Drum(every=5.0, stage=Stage.BUBBLING)
    drum.goes_on(600)
    drum.running = True
    drum.goes_on(1200)
    for foaming in (-0.8 * LITRE_A_MINUTE * 10, 0.8 * LITRE_A_MINUTE * 10):  # 8 L of gas in a minute
        drum.goes_on(60, foaming=foaming)
        drum.goes_on(1200)
    assert drum.events == []
    assert {movement.kind for _, movement in drum.seen} == {None}


def test_what_went_while_nobody_watched_is_told_afterwards() -> None:
    drum = Drum()
    drum.goes_on(600)
    drum.now += 7200
    drum.volume -= 0.040
    drum.goes_on(300)
    draw = drum.only()
    assert (draw.kind, draw.start < 600, draw.time > 7800) == (LevelKind.DRAW, True, True)
    assert draw.volume.low <= 0.040 * 0.9918 <= draw.volume.high


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(
            st.floats(0.1, 600.0), st.floats(0.0, 1.2), st.booleans(), st.sampled_from(Stage),
            st.one_of(st.none(), st.floats(250.0, 340.0)), st.booleans(),
        ),
        min_size=1, max_size=300,
    )
)  # fmt: skip
def test_whatever_the_gauge_says_every_number_is_one_and_every_range_in_order(
    said: list[tuple[float, float, bool, Stage, float | None, bool]],
) -> None:
    gauge, watch, now = FuelLevel(heron()), LevelWatch(heron()), 0.0
    for passed, level, running, stage, kelvin, declares in said:
        now += passed
        if declares:
            watch.declare(now, LevelKind.DRAIN, "Wren")
        gauge.observe(now, level, running)
        for event in watch.observe(now, level, gauge, kelvin, stage):
            assert 0.0 <= event.volume.low <= event.volume.median <= event.volume.high < math.inf
            assert event.start <= event.time <= now
        gauge.is_foaming = watch.movement.kind is LevelKind.FOAM
        told = watch.movement
        assert 0.0 <= told.volume < math.inf
        assert told.rate is None or math.isfinite(told.rate)
        assert told.sigma is None or 0.0 <= told.sigma < math.inf
