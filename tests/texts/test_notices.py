"""Notices as they stand on a phone."""

from dataclasses import replace
from datetime import timedelta, timezone

import pytest

from drydown.alarms.telling import Telling
from drydown.effects import AlarmChanged, Change, NoticeDue, Priority
from drydown.texts import notices

ZONE = timezone(timedelta(hours=2))
WHEN = 1_789_222_020.0  # 2026-09-12 14:07 UTC

FIGURES: dict[str, float | str] = {
    "run_time": 5940.0,
    "methanol": 0.0012,
    "methanol_low": 0.0009,
    "methanol_high": 0.00184,
    "water": 0.00041,
    "water_low": 0.00036,
    "water_high": 0.000468,
    "water_floor": 0.00087,
    "water_floor_low": 0.0007,
    "water_floor_high": 0.0010,
    "advice/warm-fuel/temperature": 310.9,
    "advice/warm-fuel/likely": 307.4,
    "advice/drier-air/humidity": 0.358,
    "advice/drier-air/likely": 0.458,
    "advice/drier-air/air_temperature": 291.3,
    "advice/drier-air/likely_wait": 3180.0,
}


def told(kind: str) -> notices.NoticeText:
    return notices.text(NoticeDue(0.0, "key", kind, Priority.LOW, FIGURES), "heron", WHEN, ZONE)


def test_dry_gives_the_numbers_the_local_time_and_the_next_step() -> None:
    text = told("dry")
    assert text.title == "heron: the fuel is dry"
    assert text.body == (
        "At 16:07, after 1 h 39 min of bubbling, methanol (at most 0.18 %) and water (at most 470 mg/kg) are "
        "within their limits. You can stop the blower and let the fuel rest. Confirm it by a test before the "
        "fuel is used."
    )


def test_methanol_gone_says_that_water_is_another_matter() -> None:
    text = told("methanol-gone")
    assert text.title == "heron: methanol gone"
    assert "at most 0.18 %" in text.body
    assert "Water may still have to leave" in text.body


def test_air_limited_says_what_would_help() -> None:
    text = told("air-limited")
    assert "stays at about 870 mg/kg" in text.body
    assert text.body.endswith(
        "Warm the fuel to 38 °C (35 °C may do) and keep it so. Air below 35 % humidity at 18 °C would do (45 "
        "% may do): 45 % is likely after 17:00 by the day so far."
    )


def test_wetting_air_is_told_with_what_would_help() -> None:
    text = told("wetting")
    assert text.title == "heron: this air wets the fuel"
    assert "Stop the blower for now. Warm the fuel to 38 °C" in text.body


def test_where_nothing_helps_it_says_so() -> None:
    figures = {name: value for name, value in FIGURES.items() if not name.startswith("advice/")}
    notice = NoticeDue(0.0, "key", "air-limited", Priority.LOW, figures)
    text = notices.text(notice, "heron", WHEN, ZONE)
    assert text.body.endswith(
        "No warmth that is safe for the fuel would do it in this air: wait for much drier air."
    )


@pytest.mark.parametrize("change", [Change.RAISED, Change.RETURNED])
def test_an_alarm_tells_the_tank_the_time_and_what_to_do(change: Change) -> None:
    values = {"temperature": 334.6, "limit": 333.15}
    changed = AlarmChanged(0.0, "fuel-hot", Priority.EMERGENCY, change, "value", values)
    telling = Telling()
    notice = telling.notice(replace(changed, change=Change.RAISED))
    if change is Change.RETURNED:
        notice = telling.notice(changed)
    assert notice is not None
    text = notices.text(notice, "heron", WHEN, ZONE)
    if change is Change.RETURNED:
        assert text.title == "heron: over: The fuel is too hot"
        assert "Since 16:07" in text.body
    else:
        assert text.title == "heron: EMERGENCY: The fuel is too hot"
        assert text.body.startswith("The fuel is at 61 °C; its limit is 60 °C.")
        assert "\nAt once. Switch off every heater" in text.body
        assert "Noticed at 16:07." in text.body
        assert "not a gas detector" in text.body


def test_it_fits_a_phone() -> None:
    for kind in notices.TITLES:
        assert len(told(kind).title) <= 45
        assert len(told(kind).body) <= 320
