"""The simulator's own UNIFAC models, held against the `thermo` library and against CoolProp."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from thermo.unifac import DOUFIP2016, DOUFSG, UFIP, UFSG, UNIFAC

from drydown.simulate.activity import (
    DORTMUND,
    GAS_CONSTANT,
    Activity,
    Ester,
    Model,
    log_gamma,
    table_of,
)
from drydown.simulate.activity import UNIFAC as ORIGINAL
from drydown.simulate.fuel import Fuel
from drydown.simulate.offgas import surface_of
from support.coolprop import props_si

# subgroup numbers of both models: 1 CH3, 2 CH2, 6 CH=CH, 15 CH3OH, 22 CH2COO
MOLECULES = {
    "palmitate": (Ester(1.0, 0.0, 0.0), {1: 2, 2: 13, 22: 1}),
    "oleate": (Ester(0.0, 1.0, 0.0), {1: 2, 2: 13, 6: 1, 22: 1}),
    "linoleate": (Ester(0.0, 0.0, 1.0), {1: 2, 2: 11, 6: 2, 22: 1}),
}
MODELS = {"original": (ORIGINAL, 0, UFSG, UFIP), "Dortmund": (DORTMUND, 1, DOUFSG, DOUFIP2016)}


def outside(name: str, molecule: str, x: float, temperature: float) -> UNIFAC:
    """The same mixture in `thermo`."""
    _, version, groups, interactions = MODELS[name]
    return UNIFAC.from_subgroups(
        T=temperature,
        xs=[x, 1.0 - x],
        chemgroups=[{15: 1}, MOLECULES[molecule][1]],
        subgroups=groups,
        interaction_data=interactions,
        version=version,
    )


@pytest.mark.parametrize("molecule", MOLECULES)
@pytest.mark.parametrize("name", MODELS)
@pytest.mark.parametrize("temperature", [283.15, 298.15, 313.15, 333.15])
def test_activity_is_that_of_thermo(name: str, molecule: str, temperature: float) -> None:
    model: Model = MODELS[name][0]
    for x in (1e-6, 0.02, 0.1, 0.3, 0.6):
        ours = log_gamma(model, MOLECULES[molecule][0], np.array(x), np.array(temperature))
        theirs = np.log(outside(name, molecule, x, temperature).gammas()[0])
        assert ours == pytest.approx(theirs, abs=2e-3)


@pytest.mark.parametrize(("name", "blend"), [("original", 0.0), ("Dortmund", 1.0)])
@pytest.mark.parametrize("x", [1e-6, 0.085, 0.33])
def test_excess_enthalpy_is_that_of_thermo(name: str, blend: float, x: float) -> None:
    mixture = outside(name, "oleate", x, 298.15)
    theirs = -GAS_CONSTANT * 298.15**2 * mixture.dgammas_dT()[0] / mixture.gammas()[0]
    ours = Activity(Ester(), blend).excess_enthalpy(np.array(x), np.array(298.15))
    assert ours == pytest.approx(theirs, rel=0.01)


@pytest.mark.parametrize(("name", "blend"), [("original", 0.0), ("Dortmund", 1.0)])
def test_leaving_the_fuel_costs_less_than_evaporating(name: str, blend: float) -> None:
    """At 1 % by mass: CoolProp's heat of vaporisation less thermo's excess enthalpy."""
    mixture = outside(name, "oleate", 0.0855, 298.15)
    excess = -GAS_CONSTANT * 298.15**2 * mixture.dgammas_dT()[0] / mixture.gammas()[0]
    vapour, liquid = (props_si("H", "T", 298.15, "Q", q, "Methanol") for q in (1, 0))
    fuel = Fuel(Activity(Ester(), blend))
    ours = surface_of(fuel, esters=99.0, methanol=1.0, water=0.05, temperature=298.15).methanol_heat
    assert ours == pytest.approx(vapour - liquid - excess / 0.032042, rel=2e-3)


@given(
    x=st.floats(0.0, 0.6),
    temperature=st.floats(263.0, 340.0),
    blend=st.sampled_from([0.0, 0.3, 1.0]),
    shift=st.sampled_from([-0.2, 0.15]),
)
def test_table_holds_what_the_models_say(x: float, temperature: float, blend: float, shift: float) -> None:
    activity = Activity(Ester(0.2, 0.5, 0.3), blend, shift, slope=150.0)
    look_up, enthalpy = table_of(activity).look_up(x, temperature)
    at = np.array(x), np.array(temperature)
    assert look_up == pytest.approx(float(activity.log_gamma(*at)), abs=5e-4)
    assert enthalpy == pytest.approx(float(activity.excess_enthalpy(*at)), abs=15.0)  # J/mol, of thousands


def test_pure_methanol_is_its_own_reference() -> None:
    for model in (ORIGINAL, DORTMUND):
        assert log_gamma(model, Ester(), np.array(1.0), np.array(300.0)) == pytest.approx(0.0, abs=1e-12)
