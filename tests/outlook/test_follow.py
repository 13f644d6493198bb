"""Starts over a day: against the plan for a start now, psychrolib, arithmetic by hand."""

from dataclasses import replace

import numpy as np
import psychrolib
import pytest

from drydown.estimate.plan import WARMINGS, Start, plan
from drydown.estimate.result import Prospect
from drydown.outlook.air import HOURS, AirAhead, Hour
from drydown.outlook.follow import outlook
from drydown.outlook.lines import outlook_line, outlook_of
from drydown.outlook.ranking import Outlook, best, chief
from drydown.physics import water
from drydown.quantities import ZERO_CELSIUS
from support.believed import LIMITS, MASS, MIXING, belief

HOTTEST = 330.15  # K
DAMP, DRY = Hour(8.0 + ZERO_CELSIUS, 0.97), Hour(16.0 + ZERO_CELSIUS, 0.30)


def ahead(*courses: tuple[Hour, ...], first: float = 0.0) -> AirAhead:
    return AirAhead(first, courses, (0.0,) * len(courses[0]))


@pytest.fixture(scope="module")
def damp_then_dry() -> Outlook:
    """Damp until the twelfth hour, then dry; fuel as cool as the damp air."""
    air = ahead((DAMP,) * 12 + (DRY,) * (HOURS - 12))
    found = belief(fuel=8.0, air=8.0, humidity=0.97, methanol=1e-4, water_content=700e-6)
    return outlook(found, air, LIMITS, MIXING, HOTTEST)


def test_a_start_now_in_air_that_stays_is_the_plan() -> None:
    found = belief(fuel=25.0, air=15.0, humidity=0.5)
    day = outlook(found, ahead((Hour(15.0 + ZERO_CELSIUS, 0.5),) * HOURS), LIMITS, MIXING, HOTTEST)
    now = plan(found, (Start(),), LIMITS, MIXING)[0][0]
    for name in Prospect.__dataclass_fields__:
        assert getattr(day.starts[0], name) == getattr(now, name), name


def test_the_dry_hours_are_found(damp_then_dry: Outlook) -> None:
    starts = damp_then_dry.starts
    assert [start.wait for start in starts] == [3600.0 * k for k in range(24)]
    assert starts[0].dry_in is None
    found = best(starts)
    assert found[0].dry_in and found[0].dry_in.high < 28800.0
    assert all(start.wait >= 11 * 3600.0 for start in found)


def test_the_least_water_is_what_psychrolibs_vapour_leaves_in_this_fuel(damp_then_dry: Outlook) -> None:
    """In eight hours the water comes to its balance with the air's vapour (psychrolib, after ASHRAE 2017).

    The blower warms its air by 4 to 20 K, and the fuel with it; so it lies between the balances of fuel as
    cool as the air and of fuel 20 K warmer.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    for start, celsius, humidity in ((0, 8.0, 0.97), (20, 16.0, 0.30)):
        vapour = psychrolib.GetVapPresFromRelHum(celsius, humidity)
        cool = float(water.equilibrium_content(vapour, celsius + ZERO_CELSIUS))
        warm = float(water.equilibrium_content(vapour, celsius + 20.0 + ZERO_CELSIUS))
        assert warm < damp_then_dry.starts[start].water_least.median < cool


def test_fuel_that_waits_follows_the_air(damp_then_dry: Outlook) -> None:
    """Warm fuel holds its water more loosely, and at the dry day's end it is warmer than at its beginning."""
    shorter, longer = damp_then_dry.starts[23].dry_in, damp_then_dry.starts[12].dry_in
    assert shorter and longer
    assert shorter.median < longer.median


def test_what_warmer_fuel_gains_and_costs(damp_then_dry: Outlook) -> None:
    """150 kg × 2.0 kJ/(kg K), the physics sheet's heat capacity, is 0.30 MJ/K: 5 K are 1.5 MJ or 0.42 kWh."""
    found = damp_then_dry.warmings
    assert [one.prospect.warmer_by for one in found] == list(WARMINGS[1:])
    assert {one.prospect.wait for one in found} == {chief(damp_then_dry.starts).wait}
    assert found[0].energy == pytest.approx(MASS * 2000.0 * 5.0, rel=0.03)
    assert found[2].energy == pytest.approx(3 * found[0].energy, rel=0.02)
    ends = [one.prospect.dry_in.median for one in found if one.prospect.dry_in]
    assert ends == sorted(ends, reverse=True)
    assert len(ends) == 3


def test_only_as_warm_as_is_safe() -> None:
    air = ahead((DRY,) * 4)
    found = outlook(belief(fuel=45.0), air, LIMITS, MIXING, 45.0 + 7.0 + ZERO_CELSIUS)
    assert [one.prospect.warmer_by for one in found.warmings] == [5.0]
    assert not outlook(belief(fuel=45.0), air, LIMITS, MIXING, 46.0 + ZERO_CELSIUS).warmings


def test_days_that_differ_and_doubt_widen_the_range() -> None:
    found = belief(fuel=15.0, methanol=1e-4, water_content=700e-6)
    one = ahead((DRY,) * 8, first=1800.0)
    two = ahead((DRY,) * 8, (DRY._replace(humidity=0.4),) * 8, first=1800.0)
    widths = []
    for air in (one, two, replace(one, doubt=(3.0,) * 8)):
        least = outlook(found, air, LIMITS, MIXING, HOTTEST).starts[0].water_least
        widths.append(np.log(least.high / least.low))
    assert widths[1] > 1.1 * widths[0]
    assert widths[2] > 1.1 * widths[0]


def test_it_comes_back_from_the_socket(damp_then_dry: Outlook) -> None:
    back = outlook_of(outlook_line(damp_then_dry))
    assert [start.wait for start in back.starts] == [start.wait for start in damp_then_dry.starts]
    assert best(back.starts)[0].wait == best(damp_then_dry.starts)[0].wait
    assert back.warmings[0].energy == damp_then_dry.warmings[0].energy
