"""What the page says of a start of the blower, while it rests."""

from datetime import UTC
from typing import Any

import pytest

from drydown.estimate.result import Advice, Prospect, Spread, Verdict
from drydown_pages.planned import planned
from support.tank_state import estimate

NOW = Prospect(
    warmer_by=0.0,
    wait=0.0,
    methanol_gone_in=Spread(2700.0, 1800.0, 4800.0),
    dry_in=None,
    water_least=Spread(620e-6, 510e-6, 700e-6),
    emission_peak=Spread(1.5e-3, 8e-4, 2.6e-3),
    fresh_air=Spread(17.0, 8.0, 32.0),
    fresh_air_against_fire=Spread(0.6, 0.3, 1.2),
)
WARMER = Prospect(
    warmer_by=10.0,
    wait=0.0,
    methanol_gone_in=Spread(1500.0, 900.0, 2700.0),
    dry_in=Spread(1800.0, 1000.0, 3000.0),
    water_least=Spread(320e-6, 250e-6, 400e-6),
    emission_peak=Spread(2.5e-3, 1.3e-3, 4.2e-3),
    fresh_air=Spread(28.0, 13.0, 53.0),
    fresh_air_against_fire=Spread(1.0, 0.5, 2.0),
)
RESTING = estimate(Verdict.UNKNOWN, plan=(NOW, WARMER))


def test_it_tells_of_a_start_now_and_of_what_would_serve_better() -> None:
    first, second = planned("settling", RESTING, UTC)
    assert first.startswith(
        "If you start now: methanol gone in about 45 min (30 min to 1 h 20 min), not dry in 8 h"
    )
    assert "Keep 2 m³/s of fresh air or more against fire" in first
    assert second.startswith("With fuel 10 °C warmer: methanol gone in about 25 min")


def test_where_no_start_would_dry_it_the_page_says_what_it_takes() -> None:
    advice = (Advice("warm-fuel", {"temperature": 316.9, "likely": 312.1}),)
    told = estimate(Verdict.UNKNOWN, plan=(NOW,), advice=advice)
    assert planned("idle", told, UTC)[1:] == ("Warm the fuel to 44 °C (39 °C may do) and keep it so.",)
    assert planned("idle", estimate(Verdict.UNKNOWN, advice=advice), UTC) == ()


@pytest.mark.parametrize(
    ("stage", "told"),
    [
        ("bubbling", RESTING),
        ("drawn", RESTING),
        ("idle", None),
        ("idle", estimate(Verdict.UNKNOWN)),
        ("paused", estimate(Verdict.DRY, plan=(NOW,))),
    ],
)
def test_otherwise_nothing(stage: str, told: dict[str, Any] | None) -> None:
    assert planned(stage, told, UTC) == ()
