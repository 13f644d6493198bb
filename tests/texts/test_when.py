"""When to bubble, as a person reads it."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from drydown.estimate.result import Prospect, Spread
from drydown.outlook.air import AirAhead, Foreseen, Hour
from drydown.outlook.ranking import Outlook, Warming, best
from drydown.texts import when
from support.prospects import NEVER, NOW

TEN = datetime(2026, 11, 26, 22, tzinfo=UTC).timestamp()
CLOCK = TEN - 900.0
COURSE = (Hour(281.65, 0.71),) * 8
BY_TABLE = Foreseen(AirAhead(900.0, (COURSE,), (1.5,) * 8), TEN, last=TEN + 7 * 3600.0)
BY_DAYS = Foreseen(
    AirAhead(900.0, (COURSE, (Hour(284.15, 0.66),) * 8), (1.0,) * 8), TEN, (TEN - 86_400.0, TEN - 172_800.0)
)


def start(hours: int, like: Prospect = NOW, longer: float = 0.0) -> Prospect:
    end = like.dry_in
    later = Spread(end.median + longer, end.low + longer, end.high + longer) if end else None
    return replace(like, wait=900.0 + hours * 3600.0, dry_in=later)


def test_the_best_starts() -> None:
    outlook = Outlook((start(0, longer=3600.0), start(3), start(4, longer=60.0)), ())
    assert when.headline(outlook, BY_TABLE, CLOCK, UTC) == "Best start at 01:00 tomorrow"
    first, second = when.best_told(outlook, BY_TABLE, CLOCK, UTC)
    assert first.startswith(
        "Start at 01:00 tomorrow: methanol gone in about 45 min (30 min to 1 h 20 min), dry"
    )
    assert second.startswith("Start at 22:00: methanol gone in about 45 min")
    assert [when.until_dry(one) for one in outlook.starts[:2]] == [
        "2 h 10 min (1 h 50 min to 3 h 30 min)",
        "1 h 10 min (50 min to 2 h 30 min)",
    ]


def test_surely_dry_goes_before_sooner_dry() -> None:
    unsure = replace(start(0), dry_in=Spread(1200.0, 600.0, 28800.0))
    assert best((unsure, start(5))) == (start(5), unsure)


def test_a_day_that_dries_nothing() -> None:
    drier = replace(start(5, NEVER), water_least=Spread(540e-6, 510e-6, 600e-6))
    outlook = Outlook((start(0, NEVER), drier), ())
    assert when.headline(outlook, BY_DAYS, CLOCK, UTC) == "No hour of the day ahead is likely to dry the fuel"
    (said,) = when.best_told(outlook, BY_DAYS, CLOCK, UTC)
    assert said.startswith("The driest would be a start at 03:00 tomorrow: methanol gone in about 45 min")
    assert "not dry in 8 h, with water at about 540 mg/kg (510 to 600 mg/kg) at best." in said
    assert when.until_dry(drier) == "not in 8 h"


def test_what_warmer_fuel_gains_and_costs() -> None:
    cold = start(3)
    warm = replace(start(3, longer=-1800.0), warmer_by=10.0)
    assert when.warming_told(Warming(warm, 3.0e6), cold) == (
        "With fuel 10 °C warmer: methanol gone in about 45 min (30 min to 1 h 20 min), dry in about 40 min "
        "(20 min to 2 h); then keep 2 m³/s of fresh air or more against fire. That is about 30 min sooner. "
        "The heat for it is at least 0.83 kWh."
    )
    assert "sooner" not in when.warming_told(Warming(replace(cold, warmer_by=5.0), 1.5e6), cold)


@pytest.mark.parametrize(
    ("foreseen", "said"),
    [
        (BY_DAYS, "2 whole days of the tank’s own record between 24 November and 26 November, each begun"),
        (
            replace(BY_DAYS, days=BY_DAYS.days[:1]),
            "one day of the tank’s own record, 25 November to 26 November",
        ),
        (BY_TABLE, "right to about 1.5 °C and 6 % of humidity. After its last hour, 05:00 tomorrow, the air"),
    ],
)
def test_where_the_air_is_known_from(foreseen: Foreseen, said: str) -> None:
    assert said in when.ground(foreseen, CLOCK, UTC)


def test_the_air_of_days_that_differ_is_a_range() -> None:
    assert when.air_told(BY_DAYS, 0) == ("8 to 11 °C", "66 to 71 %")
    assert when.air_told(BY_TABLE, 0) == ("8 °C", "71 %")
