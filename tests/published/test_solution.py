"""Methanol in methyl esters against both group-contribution models, recomputed with `thermo`."""

import numpy as np
import pytest
from thermo.unifac import UNIFAC

from drydown.physics import fuel, methanol, solution
from drydown.physics.values import CELSIUS_ZERO

METHANOL = {15: 1}  # subgroup CH3OH
OLEATE = {1: 2, 2: 13, 6: 1, 22: 1}  # CH3, CH2, CH=CH, CH2COO
LINOLEATE = {1: 2, 2: 11, 6: 2, 22: 1}
PALMITATE = {1: 2, 2: 13, 22: 1}

MODELS = [(solution.UNIFAC, 0), (solution.DORTMUND, 1)]  # our mixing, version in thermo


def model(version: int, ester: dict[int, int], x: float, temperature: float) -> UNIFAC:
    return UNIFAC.from_subgroups(
        T=temperature, xs=[x, 1.0 - x], chemgroups=[METHANOL, ester], version=version
    )


# activity coefficients of methanol at mass fractions 0, 0.2, 1, 2, 5 %; thermo 0.6, UNIFAC of 1991 and
# modified UNIFAC (Dortmund)
TABLE = [
    (solution.UNIFAC, 10, (4.81, 4.66, 4.14, 3.64, 2.72)),
    (solution.UNIFAC, 25, (4.27, 4.15, 3.75, 3.35, 2.58)),
    (solution.UNIFAC, 40, (3.82, 3.73, 3.42, 3.10, 2.45)),
    (solution.UNIFAC, 60, (3.34, 3.28, 3.05, 2.81, 2.30)),
    (solution.DORTMUND, 10, (6.56, 6.15, 4.95, 4.02, 2.72)),
    (solution.DORTMUND, 25, (5.85, 5.53, 4.56, 3.78, 2.63)),
    (solution.DORTMUND, 40, (5.19, 4.95, 4.18, 3.53, 2.53)),
    (solution.DORTMUND, 60, (4.39, 4.23, 3.68, 3.20, 2.40)),
]


@pytest.mark.parametrize(("mixing", "celsius", "gammas"), TABLE)
def test_activity_coefficient_table(mixing: float, celsius: float, gammas: tuple[float, ...]) -> None:
    x = solution.mole_fraction(np.array([0.0, 0.002, 0.01, 0.02, 0.05]))
    gamma = solution.activity_coefficient(x, celsius + CELSIUS_ZERO, mixing)
    assert gamma == pytest.approx(gammas, rel=7e-3)


@pytest.mark.parametrize(("mixing", "version"), MODELS)
@pytest.mark.parametrize("celsius", [-10, 5, 20, 35, 50, 70])
def test_fit_keeps_to_the_model(mixing: float, version: int, celsius: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    stated = 0.002 if version == 0 else 0.006  # as the module says
    for mass_fraction in (1e-6, 0.002, 0.01, 0.03, 0.06, 0.10):
        x = float(solution.mole_fraction(mass_fraction))
        reference = np.log(model(version, OLEATE, x, temperature).gammas()[0])
        assert solution.log_activity_coefficient(x, temperature, mixing) == pytest.approx(
            reference, abs=stated
        )


@pytest.mark.parametrize(("mixing", "stated"), [(solution.UNIFAC, 0.03), (solution.DORTMUND, 0.07)])
def test_fit_stays_close_up_to_a_quarter_methanol(mixing: float, stated: float) -> None:
    version = int(mixing)
    for mass_fraction in (0.15, 0.25):
        x = float(solution.mole_fraction(mass_fraction))
        reference = np.log(model(version, OLEATE, x, 298.15).gammas()[0])
        assert solution.log_activity_coefficient(x, 298.15, mixing) == pytest.approx(reference, abs=stated)


@pytest.mark.parametrize(("mixing", "version"), MODELS)
@pytest.mark.parametrize("celsius", [-10, -5, 10, 25, 40, 65, 70])
def test_excess_enthalpy_is_the_models(mixing: float, version: int, celsius: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    within = 30.5 if version == 0 else 400.0 if -5 <= celsius <= 65 else 600.0  # J/mol, as the module says
    for mass_fraction in (1e-6, 0.01, 0.05, 0.10):
        x = float(solution.mole_fraction(mass_fraction))
        reference = model(version, OLEATE, x, temperature).dnHE_dns()[0]  # thermo: partial molar
        assert solution.excess_enthalpy(x, temperature, mixing) == pytest.approx(reference, abs=within)


@pytest.mark.parametrize(
    ("mixing", "kilojoules"),
    # thermo, finite difference of ln γ at 25 °C; mass fractions 0, 1, 5 %
    [(solution.UNIFAC, (5.7, 4.7, 2.5)), (solution.DORTMUND, (5.7, 4.2, 1.7))],
)
def test_excess_enthalpy_table(mixing: float, kilojoules: tuple[float, ...]) -> None:
    x = solution.mole_fraction(np.array([0.0, 0.01, 0.05]))
    assert solution.excess_enthalpy(x, 298.15, mixing) / 1e3 == pytest.approx(kilojoules, abs=0.25)


@pytest.mark.parametrize("mixing", [solution.UNIFAC, solution.DORTMUND])
def test_leaving_dilute_fuel_costs_less_than_boiling(mixing: float) -> None:
    # from the same models: 0.98 to 1.05 MJ/kg at 25 °C up to 1 %, against 1.17 of pure methanol
    x = solution.mole_fraction(np.array([0.0, 0.005, 0.01]))
    heat = solution.heat_of_desorption(x, 298.15, mixing) / 1e6
    assert ((heat > 0.975) & (heat < 1.055)).all()
    assert methanol.heat_of_vaporisation(298.15) / 1e6 == pytest.approx(1.17, abs=0.005)


@pytest.mark.parametrize(("mixing", "version"), MODELS)
@pytest.mark.parametrize("ester", [LINOLEATE, PALMITATE], ids=["linoleate", "palmitate"])
def test_other_esters_lie_within_eight_per_cent(mixing: float, version: int, ester: dict[int, int]) -> None:
    for celsius in (10.0, 25.0, 40.0):
        for x in (1e-6, 0.02, 0.15):
            gamma = model(version, ester, x, celsius + CELSIUS_ZERO).gammas()[0]
            ours = solution.activity_coefficient(x, celsius + CELSIUS_ZERO, mixing)
            assert gamma == pytest.approx(ours, rel=0.08)


def test_the_models_differ_by_up_to_37_per_cent() -> None:
    # the two models of thermo against each other: what a mixing parameter has to span
    w, celsius = np.meshgrid(np.linspace(0.0, 0.05, 26), np.linspace(10.0, 60.0, 11))
    x, temperature = solution.mole_fraction(w), celsius + CELSIUS_ZERO
    low = solution.activity_coefficient(x, temperature, solution.UNIFAC)
    high = solution.activity_coefficient(x, temperature, solution.DORTMUND)
    assert (high / low).max() == pytest.approx(1.37, abs=0.01)
    middle = solution.activity_coefficient(x, temperature, 0.5)
    assert middle == pytest.approx(np.sqrt(low * high), rel=1e-12)


@pytest.mark.parametrize(
    ("celsius", "low", "high"),
    # computed with thermo (γ) and CoolProp (p°); both models at no methanol
    [(10, 0.0051, 0.0070), (25, 0.0099, 0.0136), (40, 0.018, 0.024), (60, 0.036, 0.047)],
)
def test_partition_coefficient_table(celsius: float, low: float, high: float) -> None:
    temperature = celsius + CELSIUS_ZERO
    density = fuel.density(temperature)
    ends = [
        solution.partition_coefficient(0.0, temperature, density, mixing)
        for mixing in (solution.UNIFAC, solution.DORTMUND)
    ]
    assert ends == pytest.approx([low, high], rel=0.015)


def test_molar_masses_of_the_esters() -> None:
    # sums of IUPAC atomic weights as printed in Sustainability 14:6804 (2022), appendix B, in g/mol
    assert pytest.approx(0.2964879, abs=1e-5) == solution.ESTER_MOLAR_MASS
