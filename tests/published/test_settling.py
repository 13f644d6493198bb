"""Settling against `fluids` and CoolProp's neighbours in the literature."""

import numpy as np
import pytest
from fluids.drag import v_terminal
from thermo import VolumeLiquid

from drydown.physics import settling

DIFFERENCE, VISCOSITY, FUEL = 385.0, 6.5e-3, 876.0


@pytest.mark.parametrize(
    ("micrometre", "metre_an_hour"),
    # own arithmetic, Stokes
    [(20, 0.046), (50, 0.29), (100, 1.16)],
)
def test_fall_table(micrometre: float, metre_an_hour: float) -> None:
    velocity = settling.stokes_velocity(micrometre * 1e-6, DIFFERENCE, VISCOSITY)
    assert velocity * 3600.0 == pytest.approx(metre_an_hour, rel=0.015)


@pytest.mark.parametrize("micrometre", [5, 20, 50, 100, 200, 300])
def test_drag_curve_agrees_where_flow_creeps(micrometre: float) -> None:
    diameter = micrometre * 1e-6
    ours = settling.stokes_velocity(diameter, DIFFERENCE, VISCOSITY)
    assert settling.is_creeping(ours, diameter, FUEL, VISCOSITY) == (micrometre <= 200)
    # fluids: terminal velocity by the drag curve of Rouse, over all Reynolds numbers
    reference = v_terminal(D=diameter, rhop=FUEL + DIFFERENCE, rho=FUEL, mu=VISCOSITY, Method="Clift")
    assert ours == pytest.approx(reference, rel=0.04)


def test_pure_glycerol() -> None:
    # VDI Heat Atlas as given by thermo; 92.094 g/mol
    glycerol = VolumeLiquid(CASRN="56-81-5", MW=92.094)
    reference = 0.092094 / glycerol.calculate(293.15, "VDI_PPDS")
    assert reference == pytest.approx(settling.GLYCEROL_DENSITY, rel=1e-3)


def test_a_day_settles_what_makes_fuel_hazy() -> None:
    # common practice, no source: leave a day; Stokes: drops above 11 µm fall 0.3 m
    day = settling.smallest_settled(86400.0, 0.3, DIFFERENCE, VISCOSITY)
    assert day * 1e6 == pytest.approx(10.4, abs=0.2)
    assert settling.fall_time(0.3, day, DIFFERENCE, VISCOSITY) == pytest.approx(86400.0)


def test_reynolds_number() -> None:
    # definition: ρ v d/μ, whichever way it moves
    assert settling.reynolds(np.array([0.01, -0.01]), 1e-3, 880.0, 8.8e-3) == pytest.approx([1.0, 1.0])
