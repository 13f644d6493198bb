"""The plan as a person reads it."""

from dataclasses import replace

from drydown.estimate.result import LONGEST_START, Spread
from drydown.texts import plan
from support.prospects import NEVER, NOW


def test_a_start_now() -> None:
    assert plan.started_now((NOW,)) == (
        "If you start now: methanol gone in about 45 min (30 min to 1 h 20 min), dry in about 1 h 10 min (50 "
        "min to 2 h 30 min). Keep 2 m³/s of fresh air or more against fire; it would take about 20 m³/s to "
        "breathe there, so stay out."
    )


def test_a_fuel_that_this_air_never_dries() -> None:
    said = plan.started_now((NEVER,))
    assert "not dry in 8 h, with water at about 620 mg/kg (510 to 700 mg/kg) at best" in said


def test_an_end_beyond_the_horizon_is_no_number() -> None:
    late = replace(NOW, dry_in=Spread(9000.0, 4000.0, LONGEST_START))
    assert "dry in about 2 h 30 min (1 h 10 min to more than 8 h)" in plan.started_now((late,))
    assert "methanol not gone in 8 h." in plan.started_now((replace(NEVER, methanol_gone_in=None),))


def test_methanol_that_is_gone_is_passed_over() -> None:
    gone = replace(NOW, methanol_gone_in=Spread(0.0, 0.0, 0.0))
    assert plan.started_now((gone,)).startswith("If you start now: dry in about 1 h 10 min")


def test_no_plan_says_nothing() -> None:
    assert plan.started_now(()) == plan.best_change(()) == ""
    assert list(plan.changes(())) == []


def test_what_would_change_it() -> None:
    warmer = replace(
        NOW,
        warmer_by=10.0,
        methanol_gone_in=Spread(1500.0, 900.0, 2700.0),
        dry_in=Spread(1800.0, 1000.0, 3000.0),
    )
    later = replace(NOW, wait=3600.0, dry_in=Spread(4400.0, 3000.0, 9000.0))
    said = (
        "With fuel 10 °C warmer: methanol gone in about 25 min (15 min to 45 min), dry in about 30 min (15 "
        "min to 50 min); then keep 2 m³/s of fresh air or more against fire."
    )
    assert list(plan.changes((NOW, warmer, later))) == [said]  # an hour later is as good
    assert plan.best_change((NOW, warmer, later)) == said
    assert plan.best_change((NOW, later)) == ""
    assert "With fuel 10 °C warmer" in plan.best_change((NEVER, warmer))
