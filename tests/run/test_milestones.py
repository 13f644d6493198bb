"""What is told of a run, once, and of an alarm, each time."""

from dataclasses import replace

from drydown.estimate.result import Advice, Estimate, Spread, Verdict, gathered
from drydown.run.milestones import LINGER, Milestones
from support.boathouse import resting

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
    told = [n for e in (DRYING, GONE, GONE, DRY, GONE, DRY) for n in milestones.pass_by(e, 50.0, True)]
    assert [(notice.kind, notice.key) for notice in told] == [
        ("methanol-gone", "methanol-gone/50.000"),
        ("dry", "dry/50.000"),
    ]
    assert [notice.kind for notice in milestones.pass_by(DRY, 9000.0, True)] == ["methanol-gone", "dry"]


def test_a_fuel_that_this_air_cannot_dry_is_told_with_what_would_help() -> None:
    advice = (
        Advice("warm-fuel", {"temperature": 311.0, "likely": 308.0}),
        Advice("open-vent", {"closed": 1.0}),
    )
    limited = replace(GONE, verdict=Verdict.AIR_LIMITED, advice=advice)
    _, notice = Milestones().pass_by(limited, 50.0, True)
    assert notice.kind == "air-limited"
    assert gathered(notice.values) == advice
    _, notice = Milestones().pass_by(replace(limited, verdict=Verdict.WETTING), 50.0, True)
    assert notice.kind == "wetting"


def test_nothing_is_told_before_a_run() -> None:
    assert list(Milestones().pass_by(DRY, None, True)) == []


def told(milestones: Milestones, estimate: Estimate, running: bool = True) -> list[str]:
    return [notice.kind for notice in milestones.pass_by(estimate, 50.0, running)]


def test_a_blower_that_runs_on_in_vain_is_told_of_once() -> None:
    milestones = Milestones()
    told(milestones, DRY)
    assert told(milestones, replace(DRY, time=100.0 + LINGER - 1)) == []
    assert told(milestones, replace(DRY, time=100.0 + LINGER)) == ["stop"]
    assert told(milestones, replace(DRY, time=100.0 + 3 * LINGER)) == []


def test_nobody_is_told_to_stop_a_blower_that_is_off_or_that_still_gains_something() -> None:
    milestones = Milestones()
    told(milestones, DRY)
    assert told(milestones, replace(DRY, time=400.0), running=False) == []
    assert told(milestones, replace(DRY, time=100.0 + LINGER)) == []  # on again: a new while
    assert told(milestones, replace(GONE, time=100.0 + 1.5 * LINGER)) == []
    assert told(milestones, replace(DRY, time=100.0 + 2 * LINGER)) == []


def test_the_end_of_the_rest_is_told_once_with_how_long_and_how_much() -> None:
    milestones, rest = Milestones(), resting()
    rest.begin(3_600.0)
    (notice,) = milestones.end_rest(90_000.0, 50.0, rest, 0.12)
    assert (notice.kind, notice.key) == ("rested", "rested/50.000")
    assert notice.values == {"rested": 86_400.0, "drawable": 0.12}
    assert list(milestones.end_rest(95_000.0, 50.0, rest, 0.12)) == []
    assert list(Milestones().end_rest(90_000.0, None, rest, 0.12)) == []


def test_the_end_of_the_rest_tells_of_what_size_drops_have_fallen() -> None:
    rest = resting(drop=30e-6)
    rest.begin(0.0)
    rest.feel(0.0, 298.15)
    rest.see(0.0, 0.60)
    (notice,) = Milestones().end_rest(20_000.0, 50.0, rest, None)
    assert notice.values == {"rested": 20_000.0, "settled": 30e-6}
