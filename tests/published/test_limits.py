"""The finished fuel's limits against what was published of both standards."""

import pytest

from drydown.physics import limits
from drydown.physics.limits import ASTM_D6751, EN_14214


@pytest.mark.parametrize(
    ("name", "low", "high"),
    # EN 14214:2012+A1:2014 as in a fuel trader's product specification for FAME, in its units;
    # total glycerol: DIN EN 14214 as published by a biodiesel works
    [
        ("methanol", None, 0.20e-2),
        ("flash point", 101 + 273.15, None),
        ("water", None, 500e-6),
        ("density at 15 °C", 860, 900),
        ("kinematic viscosity at 40 °C", 3.5e-6, 5.0e-6),
        ("free glycerol", None, 0.02e-2),
        ("total glycerol", None, 0.25e-2),
        ("acid value", None, 0.50e-3),
        ("sodium and potassium", None, 5.0e-6),
    ],
)
def test_european_limits(name: str, low: float | None, high: float | None) -> None:
    assert EN_14214[name].low == (None if low is None else pytest.approx(low))
    assert EN_14214[name].high == (None if high is None else pytest.approx(high))


@pytest.mark.parametrize(
    ("name", "low", "high"),
    # ASTM D6751-09 as summarised by the United States' trade association, November 2008
    [
        ("methanol", None, 0.2e-2),
        ("flash point", 93 + 273.15, None),
        ("water and sediment", None, 0.05e-2),
        ("kinematic viscosity at 40 °C", 1.9e-6, 6.0e-6),
        ("free glycerol", None, 0.020e-2),
        ("total glycerol", None, 0.240e-2),
        ("acid value", None, 0.50e-3),
        ("sodium and potassium", None, 5e-6),
    ],
)
def test_american_limits(name: str, low: float | None, high: float | None) -> None:
    assert ASTM_D6751[name].low == (None if low is None else pytest.approx(low))
    assert ASTM_D6751[name].high == (None if high is None else pytest.approx(high))


def test_flash_point_may_stand_for_methanol() -> None:
    # the same summary: "Alcohol control (one of the following must be met)": 0.2 % methanol or 130 °C
    assert limits.ASTM_FLASH_POINT_INSTEAD_OF_METHANOL.allows(130 + 273.15)
    assert not limits.ASTM_FLASH_POINT_INSTEAD_OF_METHANOL.allows(129.9 + 273.15)


def test_a_limit_includes_its_bounds() -> None:
    density = EN_14214["density at 15 °C"]
    assert [density.allows(value) for value in (859.9, 860.0, 900.0, 900.1)] == [False, True, True, False]
    assert EN_14214["water"].allows(0.0)
    assert EN_14214["flash point"].allows(500.0)
