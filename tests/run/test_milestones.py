"""What is told of a run, once, and of an alarm, each time."""

from dataclasses import replace

from drydown.estimate.result import Advice, Estimate, Spread, Verdict, gathered
from drydown.run.milestones import Milestones

DRYING = Estimate(
    time=100.0,
    run_time=60.0,
    methanol=Spread(0.001, 0.0008, 0.0012),
    water=Spread(0.0004, 0.0003, 0.00045),
    water_floor=Spread(0.0002, 0.0001, 0.0003),
    emission=Spread(1e-4, 5e-5, 2e-4),
    methanol_done_at=None,
    dry_at=None,
    methanol_done=False,
    verdict=Verdict.DRYING,
)
GONE = replace(DRYING, methanol_done=True)
DRY = replace(GONE, verdict=Verdict.DRY)


def test_each_milestone_is_told_once_a_run_under_one_key() -> None:
    milestones = Milestones()
    told = [n for e in (DRYING, GONE, GONE, DRY, GONE, DRY) for n in milestones.pass_by(e, 50.0)]
    assert [(notice.kind, notice.key) for notice in told] == [
        ("methanol-gone", "methanol-gone/50.000"),
        ("dry", "dry/50.000"),
    ]
    assert [notice.kind for notice in milestones.pass_by(DRY, 9000.0)] == ["methanol-gone", "dry"]


def test_a_fuel_that_this_air_cannot_dry_is_told_with_what_would_help() -> None:
    advice = (
        Advice("warm-fuel", {"temperature": 311.0, "likely": 308.0}),
        Advice("open-vent", {"closed": 1.0}),
    )
    limited = replace(GONE, verdict=Verdict.AIR_LIMITED, advice=advice)
    _, notice = Milestones().pass_by(limited, 50.0)
    assert notice.kind == "air-limited"
    assert gathered(notice.values) == advice
    _, notice = Milestones().pass_by(replace(limited, verdict=Verdict.WETTING), 50.0)
    assert notice.kind == "wetting"


def test_nothing_is_told_before_a_run() -> None:
    assert list(Milestones().pass_by(DRY, None)) == []
