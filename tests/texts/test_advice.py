"""Advice as a person reads it."""

from datetime import timedelta, timezone

import pytest

from drydown.estimate.result import Advice
from drydown.texts import advice

ZONE = timezone(timedelta(hours=2))
WHEN = 1_789_222_020.0  # 2026-09-12 14:07 UTC


@pytest.mark.parametrize(
    ("kind", "values", "said"),
    [
        (
            "warm-fuel",
            {"temperature": 310.2, "likely": 310.16},
            "Warm the fuel to 38 °C and keep it so.",  # 37.05 °C: never less than it takes
        ),
        (
            "warm-fuel",
            {"temperature": 310.9, "likely": 307.4},
            "Warm the fuel to 38 °C (35 °C may do) and keep it so.",
        ),
        (
            "drier-air",
            {"humidity": 0.4599, "likely": 0.459, "air_temperature": 291.2},
            "Air below 45 % humidity at 18 °C would do.",
        ),
        (
            "drier-air",
            {"humidity": 0.3499, "likely": 0.458, "air_temperature": 268.0, "wait": 3600.0},
            "Air below 34 % humidity at −5 °C would do (45 % may do): likely after 17:07 by the day so far.",
        ),
        (
            "drier-air",
            {"humidity": 0.3499, "likely": 0.458, "air_temperature": 291.2, "likely_wait": 3600.0},
            "Air below 34 % humidity at 18 °C would do (45 % may do): 45 % is likely after 17:07 by the day "
            "so far.",
        ),
        (
            "drier-air",
            {"humidity": 0.3499, "likely": 0.458, "air_temperature": 291.2, "likely_wait": 0.0},
            "Air below 34 % humidity at 18 °C would do (45 % may do): 45 % is likely there already by the "
            "day so far.",
        ),
        (
            "open-inlet",
            {"share": 0.47, "share_high": 0.6},
            "The blower gives about half of what it gave: look at its inlet, filter and hose.",
        ),
        ("open-vent", {"closed": 1.0}, "Open the vent: the damp air stays in the room."),
        (
            "warm-sooner",
            {"warmer_by": 10.0, "sooner": 3050.0, "sooner_least": 1750.0, "vapour": 1.62},
            "With fuel 10 °C warmer the methanol would be gone about 50 min sooner (at least 30 min), with "
            "1.6 times the vapour and as much more need of fresh air.",
        ),
    ],
)
def test_each_kind(kind: str, values: dict[str, float], said: str) -> None:
    assert advice.sentence(Advice(kind, values), WHEN, ZONE) == said


def test_a_kind_that_does_not_exist_is_an_error() -> None:
    with pytest.raises(ValueError, match="no advice is of kind 'sing'"):
        advice.sentence(Advice("sing", {}), WHEN, ZONE)


def test_several_stand_one_after_the_other() -> None:
    vent = Advice("open-vent", {"closed": 1.0})
    assert advice.told((), WHEN, ZONE) == ""
    assert advice.told((vent, vent), WHEN, ZONE).count("Open the vent") == 2
