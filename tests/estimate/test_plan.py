"""What a start would bring: against the well-mixed limit, the air's floor, and what must always hold."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.estimate.advice import AirAndFuel, warm_fuel
from drydown.estimate.balance import (
    FUEL,
    LN_WATER,
    PROBE,
    WALL,
    Constants,
    advance,
)
from drydown.estimate.belief import Belief, anchored
from drydown.estimate.outlook import Cloud, followed
from drydown.estimate.plan import WARMINGS, Start, ahead, plan, starts
from drydown.estimate.result import LONGEST_START, Prospect, Spread
from drydown.estimate.unknowns import INDEX
from drydown.physics import bubbling, solution, water
from drydown.quantities import ZERO_CELSIUS
from support.believed import LIMITS, MASS, MIXING, belief


def planned(found: Belief, *among: Start) -> tuple[Prospect, ...]:
    return plan(found, among or (Start(),), LIMITS, MIXING)[0]


def test_the_methanol_leaves_as_the_well_mixed_limit_says() -> None:
    """w(t) = w0·exp(−η Q K t/V) (the project's physics sheet), with K at the fuel's temperature on the way.

    Middle draw: flow as rated, 0.87 of what the models' middle gives. The fuel cools meanwhile from 25 to
    some 18 °C, so the time must lie between those of 26 and 16 °C.
    """
    now = planned(belief(doubt=0.01))[0]
    assert now.methanol_gone_in

    def time(celsius: float) -> float:
        warm = celsius + ZERO_CELSIUS
        partition = solution.partition_coefficient(0.005, warm, 873.0)
        tau = bubbling.decay_time(MASS / 873.0, 0.015, partition, 0.87)
        return float(tau) * math.log(0.012 / 0.0020)

    assert time(26.0) < now.methanol_gone_in.median < time(16.0)


def test_the_emission_is_highest_at_first_and_is_raoults() -> None:
    """Raoult's law at 25 °C and 1.2 %, with 0.87 of the equilibrium, and air of 15 °C at 15 L/s."""
    warm = 25 + ZERO_CELSIUS
    x = solution.mole_fraction(0.012)
    leaving = 0.87 * bubbling.off_gas_mole_fraction(x, warm)
    first = float(bubbling.emission(0.015, 15 + ZERO_CELSIUS, leaving))
    peak = planned(belief(doubt=0.01))[0].emission_peak
    assert peak.median == pytest.approx(first, rel=0.1)  # the mean of the first minute


def test_damp_air_never_dries_and_says_where_it_stops() -> None:
    now = planned(belief(air=18.0, humidity=0.85, fuel=20.0))[0]
    assert now.dry_in is None
    assert now.methanol_gone_in
    assert now.water_least.low > 500e-6
    pressure = 0.85 * water.vapour_pressure(18 + ZERO_CELSIUS)
    floors = [float(water.equilibrium_content(pressure, c + ZERO_CELSIUS)) for c in (26.0, 16.0)]
    assert floors[0] < now.water_least.median < floors[1]


def test_the_air_that_it_takes_is_that_of_the_textbook() -> None:
    """ACGIH, Industrial Ventilation: emission × mixing factor over concentration; 200 ppm are 0.26 g/m³.

    15 000 ppm, a quarter of the lower limit, are 75 times as much.
    """
    now = planned(belief())[0]
    assert now.fresh_air.median == pytest.approx(3 * now.emission_peak.median / 0.266e-3, rel=0.05)
    assert now.fresh_air.median / now.fresh_air_against_fire.median == pytest.approx(75.0, rel=0.01)


fuels = st.floats(0.0, 45.0)
airs = st.floats(-5.0, 35.0)
humidities = st.floats(0.1, 1.0)
methanols = st.floats(0.0005, 0.04)
waters = st.floats(150e-6, 3000e-6)
some = settings(max_examples=40)


@some
@given(fuels, airs, humidities, methanols, waters)
def test_warmer_fuel_never_takes_longer_for_methanol(
    fuel: float, air: float, humidity: float, methanol: float, content: float
) -> None:
    found = belief(fuel, air, humidity, methanol, content)
    course = ahead(found, tuple(map(Start, WARMINGS)), LIMITS)
    gone = np.minimum(course.methanol_gone, LONGEST_START)
    assert np.all(np.diff(gone, axis=1) <= 1e-6 * gone[:, :-1] + 1.0)


@some
@given(fuels, airs, humidities, methanols, waters, st.booleans())
def test_whatever_is_believed_a_plan_is_finite_and_in_order(
    fuel: float, air: float, humidity: float, methanol: float, content: float, running: bool
) -> None:
    found = belief(fuel, air, humidity, methanol, content, doubt=1.0, running=running)
    for prospect in planned(found, *starts(fuel + ZERO_CELSIUS, 330.15, 0.9)):
        for name in Prospect.__dataclass_fields__:
            value = getattr(prospect, name)
            if isinstance(value, Spread):
                assert 0.0 <= value.low <= value.median <= value.high < math.inf
        if prospect.dry_in:
            assert prospect.methanol_gone_in
            assert prospect.dry_in.median >= prospect.methanol_gone_in.median


@some
@given(st.floats(5.0, 25.0), st.floats(0.6, 1.0))
def test_fuel_held_as_warm_as_advised_comes_within_the_limit(air: float, humidity: float) -> None:
    found = belief(fuel=air, air=air, humidity=humidity, methanol=1e-4, doubt=1.0, running=True)
    cloud = followed(found.cloud)
    constants = Constants(cloud.values, found.drive, found.vessel)
    now = AirAndFuel(
        constants.brought[:, 0],
        constants.air[:, 0],
        cloud.states[FUEL, :, 0],
        constants.line[:, 0],
        constants.isotherm[:, 0],
    )
    advice = warm_fuel(now, LIMITS[1], 333.15)
    if advice is None:
        return
    held = found
    for _ in range(16):  # half an hour each, warmed up again after each
        held = anchored(held, advice.values["temperature"])
        held = replace(held, cloud=_after(held, 1800.0))
    least = np.exp(held.cloud.states[LN_WATER, :, 0])
    assert np.mean(least <= LIMITS[1]) >= 0.9


def _after(found: Belief, seconds: float) -> Cloud:
    constants = Constants(found.cloud.values, found.drive._replace(length=np.array([seconds])), found.vessel)
    state, _ = advance(found.cloud.states, constants, 30)
    return found.cloud._replace(states=state)


def test_only_as_warm_as_is_safe() -> None:
    among = starts(50 + ZERO_CELSIUS, 57 + ZERO_CELSIUS, 1.0)
    assert [start.warmer_by for start in among] == [0.0, 5.0, 0.0]
    assert among[-1].wait == 3600.0


def test_an_hour_later_the_fuel_is_cooler_and_drier_air_helps() -> None:
    found = belief(fuel=40.0, air=12.0, humidity=0.7)
    now, later, drier = planned(found, Start(), Start(wait=3600.0), Start(wait=3600.0, humidity=0.5))
    assert now.methanol_gone_in and later.methanol_gone_in
    assert later.methanol_gone_in.median > now.methanol_gone_in.median
    assert drier.water_least.median < later.water_least.median


def test_the_belief_is_anchored_at_what_the_probe_says() -> None:
    found = anchored(belief(fuel=25.0), 40 + ZERO_CELSIUS)
    read = found.cloud.states[PROBE] + found.cloud.values[INDEX["fuel_offset"]]
    assert read == pytest.approx(np.full_like(read, 40 + ZERO_CELSIUS))
    assert found.cloud.states[FUEL] == pytest.approx(found.cloud.states[WALL])
