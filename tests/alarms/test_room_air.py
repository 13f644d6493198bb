"""Vapour in the room from the emission: the textbook's figures, with vents open, closed and unknown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.alarms.room_air import LEAKAGE, UNKNOWN, RoomAir, fresh_air
from drydown.alarms.scene import Scene
from drydown.estimate.result import Spread
from drydown.estimate.worlds import spread_of
from drydown.physics import methanol
from drydown.physics.vapour_limits import LOWER_FLAMMABLE_LIMIT
from support.boathouse import heron

NONE = Spread(0.0, 0.0, 0.0)
SOME = Spread(0.0015, 0.0010, 0.0022)


def steady(emission: float) -> Spread:
    return Spread(emission, emission, emission)


def boathouse(mixing_factor: float = 3, air: float = 1.5) -> Scene:
    room = {"volume": 60.0, "fresh_air": air, "mixing_factor": mixing_factor}
    return Scene(heron(room=room), values={"blower/running": True})


def in_the_room(room: RoomAir, scene: Scene, emission: Spread | None) -> Spread | None:
    state = room.advance(scene, emission)
    if state is None:
        return None
    return spread_of(methanol.mole_fraction(state.concentration, state.temperature))


def advanced(scene: Scene, seconds: int, emission: Spread, step: int = 5) -> Spread:
    room = RoomAir()
    found = in_the_room(room, scene, NONE)
    for time in range(step, seconds + 1, step):
        scene.now = time
        found = in_the_room(room, scene, emission)
    assert found
    return found


def test_a_gramme_and_a_half_a_second_lead_to_the_textbooks_figure() -> None:
    """1.5 g/s into 60 m³ and 0.5 m³/s that dilute: 3.0 g/m³, 2290 ppm (at 25 °C), 3.8 % of the lower
    limit; half of it after 83 s.

    Own arithmetic in the project's physics sheet, textbook form.
    """
    level = advanced(boathouse(), 3600, steady(0.0015)).median
    assert level == pytest.approx(2290e-6, rel=0.02)
    assert level / LOWER_FLAMMABLE_LIMIT == pytest.approx(0.038, rel=0.02)
    assert advanced(boathouse(), 83, steady(0.0015), 1).median == pytest.approx(level / 2, rel=0.01)


def test_mixing_three_times_as_bad_triples_it() -> None:
    bad, good = advanced(boathouse(6), 7200, SOME), advanced(boathouse(2), 7200, SOME)
    assert bad.median == pytest.approx(3 * good.median, rel=0.01)


def test_the_range_holds_what_is_not_known_of_emission_air_and_mixing() -> None:
    """Independent log-normal factors: the squares of their logarithms add up. Own arithmetic."""
    told = advanced(boathouse(), 7200, Spread(0.0015, 0.0010, 0.00225))  # each of the three a factor of 1.5
    widest = 1.5 ** (3**0.5)
    assert told.high / told.median == pytest.approx(widest, rel=0.1)
    assert told.median / told.low == pytest.approx(widest, rel=0.1)


def test_a_vent_that_is_closed_or_lost_lets_it_rise_further() -> None:
    opened, closed, lost = boathouse(), boathouse(), boathouse()
    for scene in (opened, closed, lost):
        scene.fitted.add("vent/open")
    opened.values["vent/open"] = True
    closed.values["vent/open"] = False
    assert advanced(opened, 1800, SOME) == advanced(boathouse(), 1800, SOME)
    assert advanced(closed, 1800, SOME) == advanced(lost, 1800, SOME)
    assert advanced(closed, 1800, SOME).low > 5 * advanced(opened, 1800, SOME).median
    assert fresh_air(closed).median == pytest.approx(60 * LEAKAGE)


def test_measured_fresh_air_counts_for_more_than_the_configured() -> None:
    scene = boathouse()
    scene.values["vent/flow"] = 3.0
    told, guessed = advanced(scene, 3600, SOME), advanced(boathouse(), 3600, SOME)
    assert told.median == pytest.approx(guessed.median / 2, rel=0.01)
    assert told.high / told.low < guessed.high / guessed.low


def test_where_the_blower_was_running_already_the_room_is_as_full_as_it_gets() -> None:
    room, scene = RoomAir(), boathouse()
    assert in_the_room(room, scene, None) is None  # nothing tells yet
    scene.now = 1.0
    told = in_the_room(room, scene, steady(0.0015))
    assert told
    assert told.median == pytest.approx(2290e-6, rel=0.02)


def test_while_nothing_tells_the_room_is_not_taken_for_clean() -> None:
    room, scene = RoomAir(), boathouse()
    for time in range(0, 3600, 10):
        scene.now = float(time)
        assert in_the_room(room, scene, None) is None
    scene.now, scene.values["blower/running"] = 3600.0, False
    told = in_the_room(room, scene, NONE)
    assert told
    assert told.high == pytest.approx(UNKNOWN.high / 0.0015 * 2290e-6, rel=0.25)
    scene.now = 7200.0
    cleared = in_the_room(room, scene, NONE)
    assert cleared
    assert cleared.high < 1e-6


def test_while_nothing_tells_any_more_it_goes_on_as_it_was_or_less() -> None:
    room, scene = RoomAir(), boathouse()
    in_the_room(room, scene, steady(0.0015))
    scene.now = 3600.0
    assert in_the_room(room, scene, None) is None
    scene.now, scene.values["blower/running"] = 3601.0, False
    told = in_the_room(room, scene, NONE)
    assert told
    assert told.low < 0.3 * 2290e-6
    assert 1.2 * 2290e-6 < told.high < 1.5 ** (2**0.5) * 2290e-6


def test_a_vapour_sensor_is_believed_and_reckoning_goes_on_from_it() -> None:
    room, scene = RoomAir(), boathouse()
    in_the_room(room, scene, NONE)
    scene.values["vapour/methanol"] = 1000e-6
    told = in_the_room(room, scene, SOME)
    assert told
    assert (told.low, told.median, told.high) == pytest.approx((700e-6, 1000e-6, 1300e-6), rel=0.01)
    del scene.values["vapour/methanol"]
    scene.now = 83.0
    later = in_the_room(room, scene, NONE)
    assert later
    assert later.median == pytest.approx(500e-6, rel=0.06)


@given(
    emission=st.floats(0.0, 5e-3),
    less=st.floats(0.0, 10.0),
    more=st.floats(0.0, 10.0),
    mixing=st.floats(1.0, 10.0),
    seconds=st.integers(1, 36000),
)
def test_more_air_never_leaves_more_vapour(
    emission: float, less: float, more: float, mixing: float, seconds: int
) -> None:
    leaving = Spread(emission, emission / 2, emission * 2)
    found = [advanced(boathouse(mixing, air), seconds, leaving, step=seconds) for air in sorted((less, more))]
    for told in found:
        assert 0.0 <= told.low <= told.median <= told.high < float("inf")
    close, airy = found
    assert airy.low <= close.low * 1.000001
    assert airy.median <= close.median * 1.000001
    assert airy.high <= close.high * 1.000001


def test_nothing_leaves_and_nothing_is_there() -> None:
    assert advanced(boathouse(), 600, NONE) == NONE
