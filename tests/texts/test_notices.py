"""Notices as they stand on a phone."""

from dataclasses import replace
from datetime import UTC, timedelta, timezone
from pathlib import Path

import pytest

from drydown.alarms.telling import Telling
from drydown.effects import AlarmChanged, Change, NoticeDue, Priority
from drydown.texts import notices
from support.brackets import bracketed, has_escaped

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
        assert "Noticed at 16:07 on 2026-09-12." in text.body
        assert "not a gas detector" in text.body


@pytest.mark.parametrize(
    ("verdict", "because"),
    [
        ("dry", "the fuel is dry (water at most 470 mg/kg)"),
        ("air-limited", "with this air the water stays at about 870 mg/kg"),
        ("wetting", "this air brings water in, up to about 870 mg/kg"),
    ],
)
def test_stop_says_why_bubbling_gains_nothing_more(verdict: str, because: str) -> None:
    notice = NoticeDue(0.0, "key", "stop", Priority.LOW, {**FIGURES, "verdict": verdict})
    text = notices.text(notice, "heron", WHEN, ZONE)
    assert text.title == "heron: stop the blower, let it settle"
    assert because in text.body
    assert "Switch it off and let the fuel rest: soap and glycerin sink" in text.body


@pytest.mark.parametrize(
    ("values", "how_much"), [({"drawable": 0.1271}, ": about 127 L stand above it."), ({}, "standpipe.")]
)
def test_rested_says_how_long_how_much_and_what_to_do_first(
    values: dict[str, float | str], how_much: str
) -> None:
    notice = NoticeDue(0.0, "key", "rested", Priority.LOW, {"rested": 86_400.0, **values})
    text = notices.text(notice, "heron", WHEN, ZONE)
    assert text.body.startswith("Until 16:07 the fuel has rested for 24 h. Drain from the bottom")
    assert how_much in text.body
    assert text.body.endswith("Confirm it by a test before the fuel is used.")


def test_rested_says_of_what_size_drops_have_fallen() -> None:
    notice = NoticeDue(0.0, "key", "rested", Priority.LOW, {"rested": 54_000.0, "settled": 15e-6})
    body = notices.text(notice, "heron", WHEN, ZONE).body
    assert "rested for 15 h. Drops of 15 µm and more have fallen below the standpipe by now. Drain" in body


def test_a_cut_supply_says_why_and_that_nothing_starts_by_itself() -> None:
    values: dict[str, float | str] = {
        "alarm": "fuel-hot",
        "cause": "value",
        "temperature": 334.6,
        "limit": 333.15,
    }
    notice = NoticeDue(0.0, "key", "supply-cut", Priority.HIGH, values)
    text = notices.text(notice, "heron", WHEN, ZONE)
    assert text.title == "heron: drydown has stopped the blower"
    assert "because of this: The fuel is too hot." in text.body
    assert "only when somebody switches it on by hand" in text.body


def test_the_last_alarm_that_is_over_gives_the_all_clear() -> None:
    values = {"temperature": 334.6, "limit": 333.15}
    telling, changed = Telling(), AlarmChanged(0.0, "fuel-hot", Priority.HIGH, Change.RAISED, "value", values)
    telling.notice(changed)
    notice = telling.notice(replace(changed, change=Change.RETURNED))
    assert notice
    over = notices.text(notice, "heron", WHEN, ZONE)
    clear = notices.all_clear(over, "heron", ["The blower is too hot"])
    assert clear.title == "heron: all clear"
    assert clear.body == (
        "The fuel is too hot: over. Since 16:07 on 2026-09-12 this alarm no longer holds."
        " Look before you rely on it. Over before: The blower is too hot."
        " No other alarm that you were told of stands."
    )


def test_all_of_a_notice_can_be_said_in_another_language(tmp_path: Path) -> None:
    more: dict[str, float | str] = {
        "rested": 86_400.0,
        "settled": 15e-6,
        "drawable": 0.127,
        "wrong_by": 3600.0,
    }
    cut: dict[str, float | str] = {"alarm": "vent-closed", "cause": "value", "verdict": "wetting"}
    with bracketed(tmp_path):
        for kind in notices.TITLES:
            told = NoticeDue(0.0, "key", kind, Priority.LOW, {**FIGURES, **more, **cut})
            text = notices.text(told, "heron", WHEN, ZONE)
            linked = notices.with_link(notices.all_clear(text, "heron", ["Wren"]), "")
            said = (text.title, text.body, linked.title, linked.body)
            assert [one for one in said if has_escaped(one)] == []


def test_it_fits_a_phone() -> None:
    more: dict[str, float | str] = {
        "rested": 86_400.0,
        "settled": 15e-6,
        "drawable": 0.127,
        "verdict": "air-limited",
    }
    for kind in notices.TITLES.keys() - {"clock", "supply-cut"}:
        notice = NoticeDue(0.0, "key", kind, Priority.LOW, {**FIGURES, **more})
        text = notices.text(notice, "heron", WHEN, ZONE)
        assert len(text.title) <= 45
        assert len(text.body) <= 400


@pytest.mark.parametrize(
    ("by", "told"),
    [(3600.0, "1 h slow"), (-1.0, "1 s fast"), (31_536_000.0, "365 days slow"), (1.8e9, "57 years slow")],
)
def test_a_clock_that_was_wrong_is_told_with_what_became_of_the_times(by: float, told: str) -> None:
    notice = NoticeDue(0.0, "clock/0", "clock", Priority.LOW, {"wrong_by": by})
    body = notices.text(notice, "heron", 1_789_200_000.0, UTC).body
    assert told in body
    assert "put right" in body
    assert "nothing to do" in body
