"""Levels and volumes against geometry, `fluids` and CoolProp."""

import numpy as np
import pytest
from fluids.geometry import V_horiz_conical, V_vertical_conical

from drydown.physics import vessel
from support.coolprop import props_si


def test_partly_filled_horizontal_cylinder() -> None:
    # circular segment, own arithmetic; and fluids
    drum = vessel.horizontal_cylinder(0.6, 1.0)
    assert drum.volume(0.20) * 1e3 == pytest.approx(82.5, abs=0.05)
    for level in (0.001, 0.01, 0.1, 0.3, 0.45, 0.59, 0.599):
        radius, depth = 0.3, 0.3 - level
        segment = radius**2 * np.arccos(depth / radius) - depth * np.sqrt(radius**2 - depth**2)
        assert drum.volume(level) == pytest.approx(segment, rel=1e-4, abs=5e-8)
        reference = V_horiz_conical(D=0.6, L=1.0, a=0.0, h=level)
        assert drum.volume(level) == pytest.approx(reference, rel=1e-4, abs=5e-8)


def test_full_drums_hold_what_their_measures_say() -> None:
    # volume of a cylinder
    assert vessel.horizontal_cylinder(0.6, 1.0).capacity == pytest.approx(np.pi * 0.09, rel=1e-9)
    assert vessel.vertical_cylinder(0.6, 0.9).capacity == pytest.approx(np.pi * 0.09 * 0.9, rel=1e-9)
    assert vessel.vertical_cylinder(0.6, 0.9).volume(0.45) == pytest.approx(np.pi * 0.09 * 0.45, rel=1e-9)


def test_cone() -> None:
    # V = π R² H/3, and the cube of the level below the cone's top; fluids above it
    tank = vessel.cone_bottom(0.6, 0.7, 0.25)
    cone = np.pi * 0.09 * 0.25 / 3.0
    assert tank.volume(0.25) == pytest.approx(cone, rel=1e-5)
    assert tank.volume(0.10) == pytest.approx(cone * 0.4**3, rel=1e-4)
    assert tank.height == pytest.approx(0.95)
    assert tank.volume(0.60) == pytest.approx(V_vertical_conical(D=0.6, a=0.25, h=0.60), rel=1e-6)


def test_surface() -> None:
    # circle, chord times length, and the cone's narrower circle
    assert vessel.vertical_cylinder(0.6, 0.9).surface(0.5) == pytest.approx(np.pi * 0.09, rel=1e-6)
    assert vessel.horizontal_cylinder(0.6, 1.0).surface(0.3) == pytest.approx(0.6, rel=1e-4)
    assert vessel.horizontal_cylinder(0.6, 1.0).surface(0.1) == pytest.approx(
        2.0 * np.sqrt(0.1 * 0.5), rel=3e-3
    )
    assert vessel.cone_bottom(0.6, 0.7, 0.25).surface(0.125) == pytest.approx(np.pi * 0.15**2, rel=0.01)


def test_what_stands_below_the_standpipe_is_not_drawn() -> None:
    # common practice, no source: it stands about 6 inches (152 mm) up
    drum = vessel.vertical_cylinder(0.6, 0.9)
    assert drum.drawable(0.552, 0.152) == pytest.approx(np.pi * 0.09 * 0.4, rel=1e-9)
    assert drum.drawable(0.10, 0.152) == 0.0


def test_hydrostatic_level() -> None:
    # p = ρ g h with standard gravity (ISO 80000-3): a metre of water of 1000 kg/m³ is 9806.65 Pa
    assert vessel.hydrostatic_pressure(1.0, 1000.0) == pytest.approx(9806.65)
    assert vessel.hydrostatic_level(9806.65, 1000.0) == pytest.approx(1.0)
    assert vessel.hydrostatic_level(9806.65, 880.0) == pytest.approx(1.0 / 0.88)


@pytest.mark.parametrize("celsius", [-10, 0, 20, 40, 60])
def test_speed_of_sound_in_air(celsius: float) -> None:
    reference = props_si("A", "T", celsius + 273.15, "P", 101325.0, "Air")  # CoolProp, Lemmon et al. 2000
    assert vessel.speed_of_sound(celsius + 273.15) == pytest.approx(reference, rel=1.5e-3)


def test_speed_of_sound_at_20_celsius() -> None:
    # textbook value: 343.2 m/s; so an echo after 2.914 ms comes from half a metre away
    assert vessel.speed_of_sound(293.15) == pytest.approx(343.2, abs=0.05)
    assert vessel.echo_distance(2.914e-3, 293.15) == pytest.approx(0.500, abs=1e-4)


@pytest.mark.parametrize("diameter", [0.38, 0.60, 1.20])
@pytest.mark.parametrize("share", [0.02, 0.25, 0.5, 0.75, 0.98])
def test_every_shape_against_its_closed_formula(diameter: float, share: float) -> None:
    # Perry's Chemical Engineers' Handbook, 8th ed., section 10, volumes of partly filled tanks (from memory):
    # cylinder A h; cone A/3 h^3/H^2; lying cylinder L (R^2 acos((R-h)/R) - (R-h) sqrt(2Rh-h^2))
    radius, height = diameter / 2, 0.9
    area = np.pi * radius**2
    upright = vessel.of_shape("vertical-cylinder", diameter=diameter, height=height)
    assert upright.volume(share * height) == pytest.approx(area * share * height, rel=1e-6)
    cone = 0.25
    tank = vessel.of_shape("cone-bottom", diameter=diameter, height=height, cone_height=cone)
    level = share * (height + cone)
    closed = area / 3 * level**3 / cone**2 if level < cone else area * (cone / 3 + level - cone)
    assert tank.volume(level) == pytest.approx(closed, rel=2e-4, abs=1e-6)
    drum = vessel.of_shape("horizontal-cylinder", diameter=diameter, length=height)
    h = share * diameter
    segment = radius**2 * np.arccos((radius - h) / radius) - (radius - h) * np.sqrt(2 * radius * h - h**2)
    assert drum.volume(h) == pytest.approx(height * segment, rel=1e-4)


def test_a_strapping_table_made_of_a_drum_gives_the_drum() -> None:
    # own arithmetic: straight lines between points 1 cm apart of a circle of 0.6 m err by less than 0.2 L
    drum = vessel.horizontal_cylinder(0.6, 1.0)
    points = tuple((level, float(drum.volume(level))) for level in np.linspace(0.0, 0.6, 61).tolist())
    strapped = vessel.of_shape("table", table=points)
    levels = np.linspace(0.0, 0.6, 1000)
    assert np.abs(strapped.volume(levels) - drum.volume(levels)).max() < 2e-4
