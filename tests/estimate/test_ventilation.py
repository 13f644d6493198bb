"""How much air it takes, against the textbook form of dilution ventilation and hand arithmetic."""

import math
from dataclasses import fields

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.estimate.result import Spread
from drydown.estimate.vapour import Vapour
from drydown.estimate.ventilation import LONGEST, RoomState, Ventilation, ventilation
from drydown.estimate.worlds import WORLDS, Source, worlds
from drydown.physics import methanol

ROOM = 298.15  # K, where 1 ppm is 1.31 mg/m³ (NIOSH Pocket Guide)
NOTHING = Spread(0.0, 0.0, 0.0)


def sure(value: float) -> Spread:
    return Spread(value, value, value)


def state(
    concentration: float = 0.0, air: Spread | None = None, mixing: Spread | None = None, volume: float = 60.0
) -> RoomState:
    """The room of the textbook: 60 m³, 0.5 m³/s that dilute; concentration in kg/m³."""
    air, mixing = air or sure(1.5), mixing or sure(3.0)
    factor = worlds(mixing, Source.MIXING)
    effective = worlds(air, Source.FRESH_AIR) / factor
    return RoomState(volume, ROOM, air, effective, factor, np.full(WORLDS, concentration))


def vapour(emission: Spread, left: Spread | None = None) -> Vapour:
    return Vapour(emission, Spread(0.03, 0.02, 0.05), left or sure(1.3))


def ranges(told: Ventilation) -> list[Spread]:
    values = (getattr(told, field.name) for field in fields(told))
    return [value for value in values if value is not None]


def test_the_textbooks_room() -> None:
    """ACGIH, Industrial Ventilation, textbook form, own arithmetic in the project's physics sheet:

    1.5 g/s against the exposure limit (0.26 g/m³) needs 5.8 m³/s that dilute, three times as much fresh
    air at a mixing factor of 3; 25 % of the lower limit (15 000 ppm, 19.6 g/m³) needs 200/15000 of that.
    """
    told = ventilation(state(), vapour(sure(1.5e-3)))
    assert told.needed
    assert told.needed_against_fire
    assert told.needed.median == pytest.approx(3 * 5.8, rel=0.02)
    assert told.needed_against_fire.median == pytest.approx(3 * 5.8 * 200 / 15000, rel=0.02)
    assert told.fresh_air == sure(1.5)
    assert told.room == NOTHING
    assert told.off_gas
    assert (told.off_gas.median, told.off_gas.low, told.off_gas.high) == pytest.approx((1 / 2, 1 / 3, 5 / 6))
    assert told.left == sure(1.3)


@pytest.mark.parametrize(
    ("ppm", "seconds"),
    [
        (2290.0, 266.0),  # 120 s · ln(2290/250)
        (500.0, 83.2),  # half in 120 s · ln 2
        (250.0, 0.0),
        (20.0, 0.0),
        (0.0, 0.0),
    ],
)
def test_the_room_may_be_entered_after_its_air_has_changed(ppm: float, seconds: float) -> None:
    """Purging, t = V/Q' · ln(C1/C2) (ACGIH, Industrial Ventilation), to the short-term limit (NIOSH)."""
    here = state(float(methanol.concentration(ppm * 1e-6, ROOM)))
    told = ventilation(here, None).enter_after
    assert told
    assert (told.low, told.high) == pytest.approx((seconds, seconds), rel=0.002)
    assert ventilation(here, vapour(sure(1e-3))).enter_after == told


def test_without_fresh_air_nobody_may_enter() -> None:
    closed = state(3e-3, air=sure(0.0))
    assert ventilation(closed, None).enter_after is None
    assert ventilation(closed, vapour(sure(1e-3))).clears_after is None
    assert ventilation(state(0.0, air=sure(0.0)), None).enter_after == NOTHING


def test_the_room_clears_as_the_emission_dies_away() -> None:
    """In a small room the vapour follows the emission: E = E0 exp(−t E0/m), C = E/Q' meets 200 ppm (own
    arithmetic): 1.5 g/s of 1.35 kg is 1/900 s; C0 = 3.0 g/m³ is 11.45 times 0.262 g/m³; ln 11.45 · 900 s."""
    told = ventilation(state(volume=0.5), vapour(sure(1.5e-3), sure(1.35))).clears_after
    assert told
    assert told.median == pytest.approx(900 * math.log(3.0 / 0.262), rel=0.01)


def test_clearing_in_a_large_room_is_as_the_balance_says() -> None:
    """The differential equation by Euler's method in steps of 0.1 s."""
    here, emission, time = 1e-3, 1.5e-3, 0.0
    limit = float(methanol.concentration(200e-6, ROOM))
    while here > limit or time < 600.0:
        here += 0.1 * (emission - 0.5 * here) / 60.0
        emission -= 0.1 * emission / 900.0
        time += 0.1
    told = ventilation(state(1e-3), vapour(sure(1.5e-3), sure(1.35))).clears_after
    assert told
    assert (told.low, told.high) == pytest.approx((time, time), rel=0.01)


def test_where_it_never_gets_above_the_limit_it_is_clear_already() -> None:
    assert ventilation(state(), vapour(sure(1e-6))).clears_after == NOTHING


def test_needed_air_is_as_unsure_as_emission_and_mixing_together() -> None:
    """Independent log-normal factors: the squares of their logarithms add up. Own arithmetic."""
    told = ventilation(
        state(air=Spread(1.5, 0.1, 20.0), mixing=Spread(3.0, 2.0, 4.5)), vapour(Spread(1.5e-3, 1e-3, 2.25e-3))
    ).needed
    assert told
    wide = math.sqrt(2.0) * math.log(1.5)
    assert math.log(told.high / told.median) == pytest.approx(wide, rel=0.05)
    assert math.log(told.median / told.low) == pytest.approx(wide, rel=0.05)


def test_no_emission_needs_no_air() -> None:
    told = ventilation(state(), Vapour(NOTHING, NOTHING, NOTHING))
    assert told.needed == told.needed_against_fire == told.clears_after == told.off_gas == NOTHING


amounts = st.floats(0.0, 10.0)
spreads = st.tuples(amounts, amounts, amounts).map(lambda x: Spread(sorted(x)[1], min(x), max(x)))
vapours = st.builds(Vapour, spreads, st.just(Spread(0.1, 0.0, 0.9)), spreads)


@given(vapours, amounts, spreads, spreads)
def test_ranges_are_in_order_and_finite_whatever_comes(
    vapour: Vapour, concentration: float, air: Spread, mixing: Spread
) -> None:
    factor = Spread(1 + mixing.median, 1 + mixing.low, 1 + mixing.high)
    for told in ranges(ventilation(state(concentration, air, factor), vapour)):
        assert 0.0 <= told.low <= told.median <= told.high < math.inf


@given(vapours, amounts, spreads, st.floats(1.0, 10.0))
def test_more_air_never_takes_longer(vapour: Vapour, concentration: float, air: Spread, times: float) -> None:
    more = Spread(air.median * times, air.low * times, air.high * times)
    stale, fresh = (ventilation(state(concentration, a), vapour) for a in (air, more))
    for slow, fast in (
        (stale.enter_after, fresh.enter_after),
        (stale.clears_after, fresh.clears_after),
    ):
        for end in ("low", "median", "high"):
            longer = getattr(slow, end) if slow else LONGEST
            shorter = getattr(fast, end) if fast else LONGEST
            assert shorter <= longer * 1.001 + 0.5
