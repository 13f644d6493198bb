"""Vapour in the room from the emission: the textbook's figures, with vents open, closed and unknown."""

import pytest

from drydown.alarms.room_air import RoomAir
from drydown.alarms.scene import Scene
from drydown.physics.vapour_limits import LOWER_FLAMMABLE_LIMIT
from support.boathouse import heron


def boathouse(mixing_factor: float = 1) -> Scene:
    room = {"volume": 60.0, "fresh_air": 0.5, "mixing_factor": mixing_factor}
    return Scene(heron(room=room), values={"blower/running": True})


def advanced(scene: Scene, seconds: int, emission: float) -> float:
    room, found = RoomAir(), 0.0
    room.advance(scene, 0.0)
    for time in range(1, seconds + 1):
        scene.now = time
        found = room.advance(scene, emission)
    return found


def test_a_gramme_and_a_half_a_second_lead_to_the_textbooks_figure() -> None:
    """1.5 g/s into 0.5 m³/s: 3.0 g/m³, 2290 ppm (at 25 °C), 3.8 % of the lower limit; half of it after 83 s.

    Own arithmetic in the project's physics sheet, textbook form.
    """
    steady = advanced(boathouse(), 3600, 0.0015)
    assert steady == pytest.approx(2290e-6, rel=0.02)
    assert steady / LOWER_FLAMMABLE_LIMIT == pytest.approx(0.038, rel=0.02)
    assert advanced(boathouse(), 83, 0.0015) == pytest.approx(steady / 2, rel=0.01)


def test_bad_mixing_triples_it() -> None:
    assert advanced(boathouse(3), 7200, 0.0015) == pytest.approx(
        3 * advanced(boathouse(), 7200, 0.0015), rel=0.01
    )


def test_a_vent_that_is_closed_or_lost_lets_it_rise_further() -> None:
    opened, closed, lost = boathouse(), boathouse(), boathouse()
    for scene in (opened, closed, lost):
        scene.fitted.add("vent/open")
    opened.values["vent/open"] = True
    closed.values["vent/open"] = False
    assert advanced(opened, 1800, 0.0015) == advanced(boathouse(), 1800, 0.0015)
    assert advanced(closed, 1800, 0.0015) == advanced(lost, 1800, 0.0015) > 5 * advanced(opened, 1800, 0.0015)


def test_measured_fresh_air_counts_for_more_than_the_configured() -> None:
    scene = boathouse()
    scene.values["vent/flow"] = 1.0
    assert advanced(scene, 3600, 0.0015) == pytest.approx(advanced(boathouse(), 3600, 0.0015) / 2, rel=0.01)


def test_where_the_blower_was_running_already_the_room_is_as_full_as_it_gets() -> None:
    room, scene = RoomAir(), boathouse()
    assert room.advance(scene, 0.0015) == pytest.approx(2290e-6, rel=0.02)
