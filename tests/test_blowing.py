"""What a blower gives of its usual air, through the core on simulated tanks, against the flow in truth."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import pytest

from drydown.core import Core
from drydown.effects import Derived
from drydown.quantities import DERIVED
from drydown.reading import Quality, Reading
from drydown.simulate.draw import draw
from drydown.simulate.scene import Spell, play
from support.boathouse import heron

NAME = "blower/flow_share"
WATCHED = {"fuel/temperature", "fuel/level", "blower/running", "air/temperature", "air/humidity"}
MINUTE, FOR_EVER = 60.0, 1e9  # s


@dataclass(frozen=True)
class Told:
    since_start: float  # s
    truth: float  # of the blower's own flow
    readings: dict[str, Reading]


def watched(core: Core, seed: int, *spells: tuple[float, float]) -> Iterator[Told]:
    """A run of a drawn tank's; from so many s after the start the flow is so much of the blower's own."""
    scenario, _ = draw(seed, "air")
    start = scenario.switches[0]
    end = start + 90 * MINUTE
    weaker = tuple(Spell(start + after, FOR_EVER, factor) for after, factor in spells)
    tank = replace(scenario.tank, blower=replace(scenario.tank.blower, flow=0.015))
    scenario = replace(scenario, tank=tank, duration=end + 10 * MINUTE, switches=(start, end), surges=weaker)
    for moment in play(scenario, seed, 10.0):
        readings = [Reading(n, moment.elapsed, v) for n, v in moment.readings.items() if n in WATCHED]
        told = {
            effect.reading.name: effect.reading
            for effect in core.step(moment.elapsed, readings, ())
            if isinstance(effect, Derived) and effect.reading.name.startswith(NAME)
        }
        if told:
            yield Told(moment.elapsed - start, moment.truth.air_flow / 0.015, told)


def tank_of(seed: int) -> Core:
    vessel = draw(seed, "air")[0].tank.vessel
    return Core(heron(diameter=vessel.diameter, height=vessel.height))


def ends(told: Told) -> list[float]:
    return [float(told.readings[NAME + tail].value or 0.0) for tail in ("/low", "", "/high")]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_sound_blower_gives_its_usual_air_and_it_is_taken_back_when_it_stops(seed: int) -> None:
    found = list(watched(tank_of(seed), seed))
    assert {name for told in found for name in told.readings} <= DERIVED.keys()
    *bubbling, last = found
    assert last.since_start >= 90 * MINUTE
    assert {reading.quality for reading in last.readings.values()} == {Quality.BAD}
    assert len(bubbling) > 60
    for told in bubbling:
        low, middle, high = ends(told)
        assert low <= middle <= high
        assert high > 0.75


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_blower_that_loses_half_its_air_is_told_within_ten_minutes_or_so(seed: int) -> None:
    found = list(watched(tank_of(seed), seed, (50 * MINUTE, 0.5)))
    told = next(told for told in found if told.since_start > 62 * MINUTE)
    low, _, high = ends(told)
    assert low <= 0.5 <= high < 0.8


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_blower_that_lifts_nothing_from_the_start_is_told_in_five_minutes(seed: int) -> None:
    first = next(iter(watched(tank_of(seed), seed, (0.0, 0.03))))
    assert first.since_start <= 5 * MINUTE
    assert ends(first)[2] < 0.75


def test_nothing_is_told_where_the_tank_was_never_seen_at_rest() -> None:
    core = Core(heron())
    for second in range(0, 1200, 10):
        now = float(second)
        readings = [Reading("fuel/level", now, 0.6), Reading("blower/running", now, True)]
        readings += [Reading("fuel/temperature", now, 300.0)]
        effects = core.step(now, readings, ())
        assert not [e for e in effects if isinstance(e, Derived) and e.reading.name.startswith(NAME)]


def blown(minutes: int, **probes: float) -> dict[str, float]:
    """Readings of so many minutes in which it bubbles and these probes show this; names with "__" for "/"."""
    return {"minutes": minutes, **{name.replace("__", "/"): value for name, value in probes.items()}}


def last_share(*stretches: dict[str, float], at_rest: bool = False) -> list[float]:
    """What is told at last: low, middle, high; nothing where nothing is told."""
    core, now, last = Core(heron()), 0.0, dict[str, float]()
    rest = [blown(10, fuel__level=0.55, blower__running=False)] if at_rest else []
    for stretch in [*rest, *stretches]:
        for _ in range(int(stretch["minutes"]) * 6):
            now += 10.0
            shown = {"blower/running": True, "fuel/level": 0.60, "fuel/temperature": 300.0} | stretch
            readings = [
                Reading(name, now, bool(value) if name == "blower/running" else value)
                for name, value in shown.items()
                if name != "minutes"
            ]
            for effect in core.step(now, readings, ()):
                if isinstance(effect, Derived) and effect.reading.name.startswith(NAME):
                    last[effect.reading.name] = float(effect.reading.value or 0.0)
    return [last[NAME + tail] for tail in ("/low", "", "/high")] if last else []


WARM = blown(60, air__temperature=293.0, blower__discharge_temperature=303.0, blower__current=2.0)


def test_heat_and_current_tell_where_the_level_cannot() -> None:
    assert last_share(WARM)[2] > 0.9
    hot = blown(30, air__temperature=293.0, blower__discharge_temperature=333.0, blower__current=2.0)
    low, middle, high = last_share(WARM, hot)
    assert low <= 0.25 <= high < 0.5
    assert low <= middle <= high
    dead = blown(5, air__temperature=293.0, blower__discharge_temperature=302.0, blower__current=0.0)
    assert last_share(WARM, dead) == pytest.approx([0.0, 0.0, 0.3])


def test_a_probe_that_fell_out_of_the_outlet_does_not_outdo_the_level() -> None:
    cold = blown(30, air__temperature=293.0, blower__discharge_temperature=293.0)
    assert last_share(WARM, cold)[2] < 0.6, "by itself it would be a blower that stopped"
    assert last_share(WARM, cold, at_rest=True)[2] > 0.6, "but the bubbles lift the fuel still"
