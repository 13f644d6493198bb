"""Cloud points of blends: Kay's rule, its range, and how much own fuel the cold allows."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.blend import cloud
from drydown.estimate.result import Spread

ZERO = 273.15
DIESEL = Spread(ZERO - 8.0, ZERO - 10.0, ZERO - 6.0)
kelvins = st.floats(-40.0, 25.0).map(lambda celsius: celsius + ZERO)


def spreads(middle: float) -> Spread:
    return Spread(middle, middle - 2.0, middle + 2.0)


def test_the_pure_fuels_stand_at_both_ends() -> None:
    own = cloud.CLOUD_POINTS["soy"]
    assert cloud.blend_cloud_point(1.0, own, DIESEL).median == own.median
    assert cloud.blend_cloud_point(0.0, own, DIESEL) == DIESEL


@pytest.mark.parametrize(
    ("feedstock", "published"),
    [
        # Biodiesel Handling and Use Guide, NREL/TP-540-43672, 2008, cold flow data of B100; from memory
        ("soy", 0.0),
        ("rapeseed", -3.0),
        ("tallow", 19.0),
        ("tallow", 16.0),
        ("used-cooking-oil", 8.0),
        # Benjumea, Agudelo & Agudelo, Fuel 87:2069, 2008, palm oil methyl esters; from memory
        ("palm", 16.0),
    ],
)
def test_published_cloud_points_lie_in_the_ranges(feedstock: str, published: float) -> None:
    found = cloud.CLOUD_POINTS[feedstock]
    assert found.low <= published + ZERO <= found.high


def test_kay_by_hand() -> None:
    # a fifth of soy's esters (0 °C) in diesel of −15 °C: 0.2·0 + 0.8·(−15) = −12 °C
    assert cloud.kay(0.2, ZERO, ZERO - 15.0) == pytest.approx(ZERO - 12.0)


@given(coldest=kelvins, own=kelvins.map(spreads), diesel=kelvins.map(spreads))
def test_no_plausible_blend_of_the_largest_share_clouds(coldest: float, own: Spread, diesel: Spread) -> None:
    share = cloud.largest_share(coldest, own, diesel)
    if share is None:
        assert diesel.high > coldest
    else:
        assert 0.0 <= share <= 1.0
        assert cloud.blend_cloud_point(share, own, diesel).high <= coldest + 1e-6


def test_energy_of_own_fuel_is_eight_to_nine_percent_below_diesel() -> None:
    assert cloud.energy(0.0) == Spread(1.0, 1.0, 1.0)
    half = cloud.energy(0.5)
    assert half.low < half.median < half.high
    assert cloud.energy(1.0).low == pytest.approx(0.91)
