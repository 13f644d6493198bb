"""The simulated fuel's own properties, its gas hold-up, and the tables of shared facts."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.physics import methanol, water
from drydown.simulate import facts
from drydown.simulate.activity import Activity, Ester
from drydown.simulate.fuel import (
    METHANOL_DENSITY,
    METHANOL_HEAT,
    WATER_DENSITY,
    WATER_HEAT,
    Fuel,
)
from drydown.simulate.offgas import hold_up
from support.coolprop import props_si

ACTIVITY = Activity(Ester(0.15, 0.5, 0.35))
FUEL = Fuel(ACTIVITY)


@pytest.mark.parametrize(
    ("substance", "density", "heat"),
    [("Methanol", METHANOL_DENSITY, METHANOL_HEAT), ("Water", WATER_DENSITY, WATER_HEAT)],
)
def test_liquids_are_those_of_coolprop(substance: str, density: float, heat: float) -> None:
    state = ("T", 298.15, "P", 101325.0, substance)
    assert density == pytest.approx(props_si("D", *state), rel=2e-3)
    assert heat == pytest.approx(props_si("C", *state), rel=0.01)


@pytest.mark.parametrize(
    ("blend", "celsius", "content"),
    [
        (0.0, 4.0, 1000e-6),  # He et al., Appl. Eng. Agric. 23:71, 2007
        (0.0, 35.0, 1700e-6),
        (1.0, 10.0, 1500e-6),  # Fregolente et al., J. Chem. Eng. Data 57:1817, 2012
        (1.0, 50.0, 1980e-6),
    ],
)
def test_saturation_ends_at_what_was_measured(blend: float, celsius: float, content: float) -> None:
    fuel = Fuel(ACTIVITY, saturation_blend=blend)
    assert fuel.saturation(celsius + 273.15, 0.0) == pytest.approx(content, rel=0.01)


@given(bend=st.floats(-0.3, 0.3), share=st.floats(0.0, 1.0))
def test_isotherm_and_its_inverse(bend: float, share: float) -> None:
    fuel = Fuel(ACTIVITY, bend=bend)
    assert fuel.share_at_activity(fuel.water_activity(share)) == pytest.approx(share, abs=1e-9)


def test_free_water_has_the_activity_of_water() -> None:
    assert Fuel(ACTIVITY, bend=0.2).water_activity(3.0) == pytest.approx(1.0)


def test_methanol_helps_water_dissolve() -> None:
    fuel = Fuel(ACTIVITY, cosolvency=4.0)
    assert fuel.saturation(300.0, 0.02) == pytest.approx(1.08 * fuel.saturation(300.0, 0.0))


def test_viscosity_is_that_of_methyl_esters() -> None:
    """Dynamic, about 6 to 7 mPa·s at 20 to 25 °C (from memory)."""
    assert 0.0057 < FUEL.viscosity(298.15) < FUEL.viscosity(293.15) < 0.0072


def test_hold_up_is_several_per_cent_and_grows_with_the_flow() -> None:
    """At 2 to 10 cm/s of gas (common practice, no source)."""
    found = [hold_up(FUEL, velocity, 300.0) for velocity in (0.0, 0.02, 0.04, 0.06, 0.08, 0.10)]
    assert found[0] == 0.0
    assert all(less < more for less, more in pairwise(found))
    assert 0.03 < found[1] < 0.10
    assert 0.10 < found[-1] < 0.22


@given(temperature=st.floats(240.0, 370.0))
def test_tables_hold_the_shared_facts(temperature: float) -> None:
    at = np.array(temperature)
    for table, function in (
        (facts.methanol_pressure, methanol.vapour_pressure),
        (facts.water_pressure, water.vapour_pressure),
        (facts.methanol_vaporisation, methanol.heat_of_vaporisation),
        (facts.water_vaporisation, water.heat_of_vaporisation),
    ):
        assert table(temperature) == pytest.approx(float(function(at)), rel=1e-5)
