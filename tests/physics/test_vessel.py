"""Levels and volumes of every shape: inverse, rising, and refused where they make no sense."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.physics import vessel

measures = st.floats(0.1, 3.0)


@st.composite
def tables(draw: st.DrawFn) -> vessel.Vessel:
    count = draw(st.integers(2, 12))
    rises = st.lists(st.floats(1e-3, 1.0), min_size=count, max_size=count)
    levels, volumes = np.cumsum(draw(rises)), np.cumsum(draw(rises))
    start = draw(st.sampled_from([0.0, float(levels[0])]))
    return vessel.strapping_table(tuple(zip((levels - start).tolist(), volumes.tolist(), strict=True)))


vessels = st.one_of(
    st.builds(vessel.vertical_cylinder, measures, measures),
    st.builds(vessel.cone_bottom, measures, measures, measures),
    st.builds(vessel.horizontal_cylinder, measures, measures),
    tables(),
)


@given(vessels, st.floats(0.0, 1.0))
def test_level_and_volume_are_inverse(tank: vessel.Vessel, share: float) -> None:
    level = tank.levels[0] + share * (tank.height - tank.levels[0])
    assert tank.level(tank.volume(level)) == pytest.approx(level, abs=1e-6 * tank.height)
    volume = tank.volumes[0] + share * (tank.capacity - tank.volumes[0])
    assert tank.volume(tank.level(volume)) == pytest.approx(volume, rel=1e-9, abs=1e-9 * tank.capacity)


@given(vessels)
def test_volume_rises_with_level_and_fills_the_surface(tank: vessel.Vessel) -> None:
    levels = np.linspace(tank.levels[0], tank.height, 200)
    volumes = tank.volume(levels)
    assert volumes.shape == levels.shape
    assert (np.diff(volumes) > 0.0).all()
    assert (tank.surface(levels) > 0.0).all()
    middle = 0.5 * (tank.levels[1:] + tank.levels[:-1])
    slices = tank.surface(middle) * np.diff(tank.levels)
    assert slices.sum() == pytest.approx(tank.capacity - tank.volumes[0], rel=1e-9)


@given(vessels, st.floats(-1.0, 0.0), st.floats(0.0, 5.0))
def test_a_level_outside_counts_as_the_nearest_end(tank: vessel.Vessel, below: float, above: float) -> None:
    assert tank.volume(below) == tank.volumes[0]
    assert tank.volume(tank.height + above) == tank.capacity


@given(vessels, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_drawable_is_never_more_than_there_is(tank: vessel.Vessel, share: float, pipe: float) -> None:
    level, standpipe = share * tank.height, pipe * tank.height
    drawable = tank.drawable(level, standpipe)
    assert 0.0 <= drawable <= tank.volume(level)
    assert (drawable > 0.0) == (tank.volume(level) > tank.volume(standpipe))


def test_a_measured_tank_may_start_above_its_bottom() -> None:
    tank = vessel.strapping_table(((0.1, 0.010), (0.5, 0.110), (0.9, 0.200)))
    assert tank.volume(np.array([0.0, 0.05, 0.1, 0.3, 0.9])) == pytest.approx([0.0, 0.005, 0.010, 0.060, 0.2])
    offset = vessel.strapping_table(((0.1, 0.0), (0.5, 0.1)))
    assert offset.volume(np.array([0.05, 0.3])) == pytest.approx([0.0, 0.05])
    dead = vessel.strapping_table(((0.0, 0.02), (0.5, 0.1)))
    assert dead.volume(0.0) == 0.02


@pytest.mark.parametrize(
    ("points", "word"),
    [
        ((), "two or more"),
        (((0.0, 0.0),), "two or more"),
        (((0.0, 0.0), (0.5, 0.1), (0.5, 0.2)), "above the one before"),
        (((0.0, 0.0), (0.5, 0.1), (0.6, 0.1)), "above the one before"),
        (((0.0, 0.0), (0.5, 0.1), (0.4, 0.2)), "above the one before"),
        (((-0.1, 0.0), (0.5, 0.1)), "none below zero"),
        (((0.0, 0.0), (float("nan"), 0.1)), "none below zero"),
        (((0.0, 0.0), (0.5, float("inf"))), "none below zero"),
    ],
)
def test_a_table_that_does_not_rise_is_refused(points: tuple[tuple[float, float], ...], word: str) -> None:
    with pytest.raises(ValueError, match=word):
        vessel.strapping_table(points)


@pytest.mark.parametrize("measure", [0.0, -1.0, float("nan"), float("inf")])
def test_a_measure_that_is_no_measure_is_refused(measure: float) -> None:
    for make in (vessel.vertical_cylinder, vessel.horizontal_cylinder):
        with pytest.raises(ValueError, match="above zero"):
            make(measure, 1.0)
        with pytest.raises(ValueError, match="above zero"):
            make(1.0, measure)


@pytest.mark.parametrize(
    ("shape", "measures", "same"),
    [
        ("vertical-cylinder", {"diameter": 0.6, "height": 0.9}, vessel.vertical_cylinder(0.6, 0.9)),
        (
            "cone-bottom",
            {"diameter": 0.6, "height": 0.7, "cone_height": 0.25},
            vessel.cone_bottom(0.6, 0.7, 0.25),
        ),
        ("horizontal-cylinder", {"diameter": 0.6, "length": 1.0}, vessel.horizontal_cylinder(0.6, 1.0)),
        ("table", {"table": ((0.0, 0.0), (1.0, 0.2))}, vessel.strapping_table(((0.0, 0.0), (1.0, 0.2)))),
    ],
)
def test_shapes_go_by_their_names(shape: str, measures: dict[str, float], same: vessel.Vessel) -> None:
    tank = vessel.of_shape(shape, **measures)
    assert (tank.levels == same.levels).all()
    assert (tank.volumes == same.volumes).all()
    assert vessel.of_shape(shape, **measures) is tank  # computed once


@pytest.mark.parametrize("shape", ["sphere", "cone-bottom", "table"])
def test_a_shape_that_is_unknown_or_lacks_a_measure_is_refused(shape: str) -> None:
    with pytest.raises(ValueError, match="'horizontal-cylinder' \\(diameter, length\\)"):
        vessel.of_shape(shape, diameter=0.6)


def test_a_vessel_cannot_be_changed() -> None:
    tank = vessel.vertical_cylinder(0.6, 0.9)
    with pytest.raises(ValueError, match="read-only"):
        tank.volumes[0] = 1.0


def test_physics_loads_nothing_heavy() -> None:
    # `fluids` waits until a tank is made; scipy never comes at all
    program = (
        "import sys; from drydown.physics import vessel, bubbling; "
        "assert 'fluids' not in sys.modules; vessel.vertical_cylinder(0.6, 0.9); "
        "assert 'fluids' in sys.modules and 'scipy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True, timeout=60)
