"""What a tank's page says of ventilation."""

from typing import Any

from drydown_pages.air import air_lines


def state(running: bool, **told: float | tuple[float, float, float]) -> dict[str, Any]:
    readings: dict[str, Any] = {"blower/running": {"value": running}}
    for key, found in told.items():
        name = key.replace("__", "/")
        ends = found if isinstance(found, tuple) else (found, found, found)
        readings |= {name + end: {"value": one} for end, one in zip(("", "/low", "/high"), ends, strict=True)}
    return {"readings": readings}


STARTED: dict[str, Any] = {
    "room__fresh_air_needed": (17.3, 10.6, 28.0),
    "room__fresh_air": (0.5, 0.33, 0.75),
    "vapour__off_gas": (0.71, 0.45, 1.13),
    "room__enter_after": (1000.0, 482.0, 1960.0),
}


def test_while_it_bubbles_it_tells_what_it_takes() -> None:
    assert list(air_lines(state(True, **STARTED))) == [
        ("Fresh air needed to breathe there", "20 m³/s (10 to 30 m³/s); there is about 0.5 m³/s"),
        ("Gas from the fuel", "71 % (45 to 110 %) of what can burn"),
        ("Stay out of the room", "for 17 min (8 to 33 min) after the blower stops"),
    ]


def test_at_rest_it_tells_what_a_start_would_take() -> None:
    labels = [label for label, _ in air_lines(state(False, **STARTED))]
    assert labels == [
        "Fresh air needed, once it bubbles",
        "Gas from the fuel, once it bubbles",
        "Stay out of the room",
    ]
    assert ("Stay out of the room", "for 17 min (8 to 33 min)") in list(air_lines(state(False, **STARTED)))


def test_when_next_to_nothing_comes_it_is_silent() -> None:
    quiet: dict[str, Any] = {
        "room__fresh_air_needed": (1e-4, 0.0, 2e-3),
        "room__fresh_air": 0.5,
        "vapour__off_gas": (1e-5, 0.0, 1e-3),
        "room__enter_after": 0.0,
    }
    assert list(air_lines(state(True, **quiet))) == []


def test_what_is_not_told_or_taken_back_is_left_out() -> None:
    lost = state(True, **STARTED)
    for name in list(lost["readings"]):
        if name != "blower/running":
            lost["readings"][name] = {"value": None, "quality": "bad", "reason": "cannot be told now"}
    assert list(air_lines(lost)) == []
    assert list(air_lines(state(True))) == []
