"""What bubbling drives out, against hand arithmetic and the project's physics sheet."""

import pytest

from drydown.estimate.result import Spread
from drydown.estimate.vapour import bubbling_vapour, rated, starting_vapour
from drydown.physics.vapour_limits import LOWER_FLAMMABLE_LIMIT

ROOM = 298.15  # K


def sure(value: float) -> Spread:
    return Spread(value, value, value)


def test_the_off_gas_holds_what_the_air_carries_off() -> None:
    """1 g/s is 0.03121 mol/s; 10 L/s of air at 25 °C and 1 atm (24.465 L/mol) is 0.4087 mol/s: 7.09 %."""
    told = bubbling_vapour(sure(1e-3), sure(0.01), 130.0, sure(0.010), ROOM)
    assert told.off_gas.median == pytest.approx(0.0709, rel=0.002)
    assert told.emission == sure(1e-3)
    assert told.left.median == pytest.approx(1.3)


@pytest.mark.parametrize(("content", "share"), [(0.01, 0.05), (0.03, 0.10)])
def test_raw_fuel_gives_off_gas_near_the_lower_limit(content: float, share: float) -> None:
    """In the first minutes at 25 °C 1 % gives off-gas with about 5 % by volume and 3 % about 10 %.

    From the project's physics sheet, worked out there with UNIFAC and full approach.
    """
    told = starting_vapour(sure(content), 130.0, ROOM, rated(0.015), ROOM)
    assert told.off_gas.median == pytest.approx(share, rel=0.2)
    assert told.off_gas.low < share < told.off_gas.high * 1.05
    assert (told.off_gas.high > LOWER_FLAMMABLE_LIMIT) or content < 0.03


def test_the_flow_is_not_known_better_than_its_rating() -> None:
    told = bubbling_vapour(sure(1e-3), sure(0.01), 130.0, rated(0.010), ROOM)
    thin, thick = told.off_gas.low / (1 - told.off_gas.low), told.off_gas.high / (1 - told.off_gas.high)
    assert thick / thin == pytest.approx(1.5**2, rel=0.02)


def test_both_ways_agree_where_the_belief_is_that_of_raoult() -> None:
    start = starting_vapour(sure(0.01), 130.0, ROOM, rated(0.010), ROOM)
    later = bubbling_vapour(start.emission, sure(0.01), 130.0, rated(0.010), ROOM)
    assert later.off_gas.median == pytest.approx(start.off_gas.median, rel=0.05)
    assert later.off_gas.low <= start.off_gas.low
    assert later.off_gas.high >= start.off_gas.high


def test_no_methanol_gives_nothing() -> None:
    for told in (
        starting_vapour(sure(0.0), 130.0, ROOM, rated(0.010), ROOM),
        bubbling_vapour(sure(0.0), sure(0.0), 130.0, rated(0.010), ROOM),
    ):
        assert told.emission == told.off_gas == told.left == sure(0.0)


def test_boiling_methanol_is_no_more_than_the_whole_gas() -> None:
    told = starting_vapour(sure(0.5), 130.0, 370.0, rated(0.010), ROOM)
    assert 0.8 < told.off_gas.high <= 0.9
    assert told.emission.high < 1.0
