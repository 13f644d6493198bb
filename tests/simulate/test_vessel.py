"""Volumes of the simulated tanks, against the `fluids` library."""

import pytest
from fluids.geometry import TANK
from hypothesis import given
from hypothesis import strategies as st

from drydown.simulate.vessel import Vessel

UPRIGHT = Vessel("vertical-cylinder", 0.60, height=0.90)
CONE = Vessel("cone-bottom", 0.60, height=0.66, cone_height=0.25)
LYING = Vessel("horizontal-cylinder", 0.60, length=1.0)
OUTSIDE = {
    UPRIGHT: TANK(D=0.60, L=0.90, horizontal=False),
    CONE: TANK(D=0.60, L=0.66, horizontal=False, sideA="conical", sideA_a=0.25),
    LYING: TANK(D=0.60, L=1.0, horizontal=True),
}


@pytest.mark.parametrize("vessel", OUTSIDE)
@pytest.mark.parametrize("level", [0.05, 0.20, 0.25, 0.40, 0.60])
def test_volume_is_that_of_fluids(vessel: Vessel, level: float) -> None:
    assert vessel.volume(level) == pytest.approx(OUTSIDE[vessel].V_from_h(level), rel=1e-9)


@given(vessel=st.sampled_from(list(OUTSIDE)), volume=st.floats(1e-4, 0.20))
def test_level_and_volume_are_inverse(vessel: Vessel, volume: float) -> None:
    assert vessel.volume(vessel.level(volume)) == pytest.approx(volume, rel=1e-6)
