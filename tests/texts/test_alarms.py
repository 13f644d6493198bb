"""The texts of alarms, read as a person would read them."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.alarms.catalogue import KINDS
from drydown.effects import AlarmChanged, Change, Priority
from drydown.texts import alarms, words
from drydown.texts.sheets import SHEETS
from support.brackets import bracketed, has_escaped

CELSIUS = 273.15

EXAMPLES: dict[tuple[str, str], dict[str, float | str]] = {
    ("vent-closed", "lost"): {"probe": "vent/open", "reason": "no answer"},
    ("vapour-high", "value"): {"methanol": 0.0071, "share": 0.1183},
    ("vapour-high", "estimate"): {"methanol": 0.0153, "share": 0.2550},
    ("vapour-high", "lost"): {"probe": "vapour/methanol", "reason": "no answer"},
    ("keep-out", "value"): {"vapour": 0.00123, "breathable": 250e-6, "enter_after": 1234.0},
    ("keep-out", "estimate"): {"vapour": 0.00123, "breathable": 250e-6},
    ("level-falling", "rate"): {"leaving": 0.53e-3 / 60, "gone": 0.00161},
    ("level-falling", "bubbling"): {"leaving": 1.23e-3 / 60, "gone": 0.0161},
    ("level-falling", "lost"): {"probe": "fuel/level", "reason": "no answer"},
    ("level-high", "value"): {"headroom": 0.0176},
    ("level-high", "foam"): {"headroom": 0.1234},
    ("level-high", "lost"): {"probe": "fuel/level", "reason": "no answer"},
    ("blower-weak", "estimate"): {"flow": 0.123, "flow_most": 0.456},
    ("blower-weak", "lost"): {"probe": "fuel/level", "reason": "no answer"},
    ("air-damp", "estimate"): {"water_floor": 0.00123},
    ("fuel-hot", "value"): {"temperature": 61.43 + CELSIUS, "limit": 60 + CELSIUS},
    ("fuel-hot", "rate"): {"temperature": 31 + CELSIUS, "rate": 0.0251, "possible": 0.0091},
    ("fuel-hot", "lost"): {"probe": "fuel/temperature", "reason": "it is not on the 1-Wire bus"},
    ("blower-hot", "value"): {
        "probe": "blower/motor_temperature",
        "temperature": 91.2 + CELSIUS,
        "limit": 90 + CELSIUS,
    },
    ("blower-hot", "rate"): {
        "probe": "blower/discharge_temperature",
        "temperature": 52 + CELSIUS,
        "rate": 0.1,
        "possible": 0.03,
    },
    ("blower-hot", "lost"): {"probe": "blower/motor_temperature", "reason": "no answer"},
    ("blower-overrun", "value"): {"stretch": 14402.0, "longest": 14400.0},
    ("blower-overrun", "lost"): {"probe": "blower/running", "reason": "no answer"},
    ("probe-fault", "lost"): {
        "probes": "air/humidity, fuel/level, vent/open",
        "watched": "air/humidity, fuel/level, vent/open",
        "blind": "vent-closed",
        "reason": "no answer",
    },
}


SAYABLE = set(Change) - {Change.REMOVED, Change.RESTORED}  # what has a sheet


WITH_CAUSE = {Change.RAISED, Change.SUPPRESSED}


def raised(alarm: str, cause: str) -> AlarmChanged:
    values = EXAMPLES.get((alarm, cause), {"parts": "broker, disk", "reason": "no space left"})
    return AlarmChanged(100.0, alarm, Priority.HIGH, Change.RAISED, cause, values)


@pytest.mark.parametrize("key", list(SHEETS), ids="-".join)
def test_every_sheet_is_four_whole_parts(key: tuple[str, str]) -> None:
    told = alarms.text(raised(*key))
    for part in (told.happened, told.leads_to, told.do, told.within):
        assert re.fullmatch(r"[A-Z`d].*[.?]", part, re.DOTALL), part
        assert "{" not in part
        assert "None" not in part
    assert not told.title.endswith(".")
    assert len(told.title) <= 50
    assert len(told.do) <= 230, "somebody reads this in a hurry"


def test_all_of_a_sheet_can_be_said_in_another_language(tmp_path: Path) -> None:
    with bracketed(tmp_path):
        for key in SHEETS:
            told = alarms.text(raised(*key))
            said = [told.title, told.happened, told.leads_to, told.do, told.within]
            said += [alarms.message(replace(raised(*key), change=change, who="Wren")) for change in SAYABLE]
            assert [one for one in said if has_escaped(one)] == []


def test_vapour_to_breathe_is_told_with_its_limit_and_for_how_long() -> None:
    assert alarms.text(raised("keep-out", "value")).happened == (
        "The room's air holds 1200 parts in a million of methanol vapour; 250 parts in a million is the most "
        "that one may breathe for a quarter of an hour. As things are, once the blower stops it takes 20 min "
        "until one may go in."
    )
    assert "nobody can tell yet" in alarms.text(raised("keep-out", "estimate")).happened


def test_fuel_that_leaves_is_told_in_litres_and_the_room_for_foam_in_centimetres() -> None:
    assert alarms.text(raised("level-falling", "rate")).happened == (
        "The level falls by 0.53 L a minute while the blower rests, and nobody has said that fuel is drawn "
        "or drained. So far 1.6 L are gone."
    )
    assert "12 cm are left to the brim" in alarms.text(raised("level-high", "foam")).happened
    assert (
        "about 12 % of its usual air, and 46 % at most"
        in alarms.text(raised("blower-weak", "estimate")).happened
    )


def test_an_alarm_that_comes_and_goes_says_so() -> None:
    hot = raised("fuel-hot", "value")
    told = alarms.text(replace(hot, values={**hot.values, "times": 3.0})).happened
    assert "come and gone 3 times within ten minutes" in told


def test_what_is_held_back_says_what_tells_of_it() -> None:
    lost = raised("fuel-hot", "lost")
    held = replace(lost, change=Change.SUPPRESSED, values={**lost.values, "explained_by": "probe-fault"})
    assert alarms.message(held) == (
        "Fuel temperature not known: held back, because the alarm about failing probes tells of the same "
        "cause."
    )


def test_a_hot_fuel_is_told_in_whole_degrees() -> None:
    told = alarms.text(raised("fuel-hot", "value"))
    assert told.happened == "The fuel is at 61 °C; its limit is 60 °C."


def test_rates_and_shares_have_two_digits() -> None:
    assert (
        "rises by 1.5 °C a minute; the blower alone can give 0.55 °C a minute at most"
        in alarms.text(raised("fuel-hot", "rate")).happened
    )
    assert "at 26 % of the least that can burn" in alarms.text(raised("vapour-high", "estimate")).happened


def test_an_estimate_says_that_it_is_none_measured() -> None:
    assert "worked out, not measured" in alarms.text(raised("vapour-high", "estimate")).happened


def test_a_long_run_is_told_in_hours() -> None:
    assert alarms.message(raised("blower-overrun", "value")) == (
        "The blower has run too long. The blower has run for 4 h without a stop; 4 h is what you allow."
    )


def test_the_hot_part_is_named() -> None:
    assert alarms.text(raised("blower-hot", "value")).happened.startswith("The blower's motor is at 91 °C")
    assert alarms.text(raised("blower-hot", "rate")).happened.startswith(
        "The air from the blower is at 52 °C"
    )


def test_probes_are_called_by_what_they_do() -> None:
    assert (
        "from the room's humidity probe, the level gauge and the contact that shows whether the vent is open"
        in alarms.text(raised("probe-fault", "lost")).happened
    )


def test_an_emergency_is_at_once_whatever_its_sheet_says() -> None:
    emergency = replace(raised("probe-fault", "lost"), priority=Priority.EMERGENCY)
    assert alarms.text(emergency).within == "At once."


@pytest.mark.parametrize("change", list(Change))
def test_every_change_has_its_message(change: Change) -> None:
    changed = replace(raised("vent-closed", "lost"), change=change, who="Ada")
    said = alarms.message(changed)
    assert said.endswith((".", "?"))
    if change in (Change.ACKNOWLEDGED, Change.SHELVED, Change.RESET):
        assert "by Ada" in said


def test_no_text_uses_a_word_that_only_engineers_know() -> None:
    jargon = re.compile(r"\b(LEL|LFL|ppm|setpoint|GPIO|MQTT|SQLite|daemon|mole|Kelvin|deadband)\b")
    for sheet in SHEETS.values():
        for part in (sheet.title, sheet.happened, sheet.leads_to, sheet.do):
            assert not jargon.search(part), part


def test_whatever_can_hurt_says_how() -> None:
    for kind in KINDS:
        if kind.least is Priority.EMERGENCY:
            for cause in kind.deadlines:
                assert re.search("burn|explode|poison", SHEETS[kind.name, cause].leads_to)


FINITE = st.floats(allow_nan=False, allow_infinity=False)


@given(st.dictionaries(st.sampled_from([*words.NUMBERS, "reason", "x"]), FINITE | st.text()))
def test_any_values_can_be_put_into_words(values: dict[str, float | str]) -> None:
    assert words.put(values).keys() == values.keys()


def test_a_lost_probe_says_what_nobody_knows_and_which_alarms_cannot_tell() -> None:
    values = {"probes": "fuel/temperature", "watched": "fuel/temperature", "reason": "no answer"}
    lost = AlarmChanged(100.0, "probe-fault", Priority.EMERGENCY, Change.RAISED, "lost", values)
    said = "(no answer), so that nobody knows how hot the fuel is, and how dry."
    assert alarms.text(lost).happened.endswith(said)
    blind = replace(lost, values=values | {"blind": "vapour-high, fuel-hot"})
    nothing = "drydown can tell nothing about vapour in the room and the fuel's heat."
    assert alarms.text(blind).happened.endswith(f"{said} {nothing}")


def test_no_alarm_is_called_by_the_name_that_only_its_configuration_knows() -> None:
    assert set(words.ALARMS) == {kind.name for kind in KINDS}
    for key in SHEETS:
        whole = replace(raised(*key), values={**raised(*key).values, "explained_by": "probe-fault"})
        said = [alarms.text(whole).happened]
        said += [alarms.message(replace(whole, change=change)) for change in SAYABLE]
        said += [alarms.message(replace(whole, change=change, cause="")) for change in SAYABLE - WITH_CAUSE]
        assert not re.search("|".join(words.ALARMS), " ".join(said)), said
    restored = AlarmChanged(100.0, "vent-closed", Priority.LOW, Change.RESTORED, "", {})
    assert alarms.message(restored) == "Watched from now on: the vent."


def test_what_is_out_of_order_besides_is_named_after_it() -> None:
    told = alarms.text(raised("watch-degraded", "broker"))
    assert told.happened == "What is wrong: no space left. There is trouble with the disk too."
    alone = replace(raised("watch-degraded", "broker"), values={"parts": "broker", "reason": "it is away"})
    assert alarms.text(alone).happened == "What is wrong: it is away."
