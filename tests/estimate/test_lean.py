"""The inner loop's cheaper forms against the functions of `drydown.physics` that they stand for.

They may differ by less than what the estimator takes as unknown: 13 % of the partition, 7 % of the heat.
"""

import numpy as np
import pytest

from drydown.estimate.lean import Mixing, desorbing, water_pressure
from drydown.physics import solution, water

TEMPERATURES = np.arange(278.15, 334.0, 5.0)
CONTENTS = np.array([[2e-5], [0.001], [0.01], [0.03], [0.05]])  # mass fractions of methanol


@pytest.mark.parametrize("blend", [solution.UNIFAC, 0.5, solution.DORTMUND])
def test_methanol_over_the_fuel(blend: float) -> None:
    pressure, heat = desorbing(CONTENTS, TEMPERATURES, Mixing.between(blend))
    x = solution.mole_fraction(CONTENTS)
    assert pressure == pytest.approx(solution.partial_pressure(x, TEMPERATURES, blend), rel=0.055)
    assert heat == pytest.approx(solution.heat_of_desorption(x, TEMPERATURES, blend), rel=0.08)
    usual = (TEMPERATURES < 315.0) & (CONTENTS > 0.005)
    difference = heat / solution.heat_of_desorption(x, TEMPERATURES, blend) - 1.0
    assert np.abs(difference[usual]).max() < 0.055


def test_water_over_itself() -> None:
    temperatures = np.arange(263.15, 334.0, 5.0)
    assert water_pressure(temperatures) == pytest.approx(water.vapour_pressure(temperatures), rel=0.004)
