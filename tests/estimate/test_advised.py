"""What counts as other advice: that by which a person would act otherwise, and no wobble of the numbers."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from drydown.estimate.advised import LATER, differs
from drydown.estimate.result import Advice, Estimate, Prospect, Spread, Verdict

FLOW = Spread(0.4, 0.3, 0.6)
START = Prospect(
    0.0,
    0.0,
    Spread(2400.0, 1800.0, 4000.0),
    None,
    Spread(4e-4, 3e-4, 5e-4),
    Spread(2e-4, 1e-4, 3e-4),
    FLOW,
    FLOW,
)
NOTHING = Estimate(0.0, 0.0, None, None, None, None, None, None, False, Verdict.UNKNOWN)
RESTING = replace(NOTHING, plan=(START, replace(START, warmer_by=5.0)))
WARM = {"temperature": 311.0, "likely": 308.0}
DRY = {"humidity": 0.45, "likely": 0.5, "air_temperature": 291.0, "wait": 7200.0}


def advising(kind: str, values: Mapping[str, float], time: float = 0.0) -> Estimate:
    return replace(NOTHING, time=time, advice=(Advice(kind, values),))


def test_the_same_is_no_other() -> None:
    for estimate in (NOTHING, RESTING, advising("warm-fuel", WARM), advising("drier-air", DRY)):
        assert not differs(estimate, replace(estimate, run_time=60.0))


@pytest.mark.parametrize(
    ("kind", "before", "now", "is_other"),
    [
        ("warm-fuel", WARM, WARM | {"temperature": 311.9}, False),  # less than 1 K
        ("warm-fuel", WARM, WARM | {"temperature": 312.1}, True),
        ("drier-air", DRY, DRY | {"humidity": 0.44}, False),  # less than 2 %
        ("drier-air", DRY, DRY | {"humidity": 0.42}, True),
        ("drier-air", DRY, {name: DRY[name] for name in DRY if name != "wait"}, True),
        ("drier-air", DRY | {"wait": 0.0}, DRY | {"wait": 0.0}, False),
        ("drier-air", DRY, DRY | {"wait": 0.0}, True),
        ("warm-sooner", {"sooner": 1800.0}, {"sooner": 1900.0}, False),  # less than 15 %
        ("warm-sooner", {"sooner": 1800.0}, {"sooner": 2400.0}, True),
    ],
)
def test_a_number_counts_when_it_moves_by_more_than_matters(
    kind: str, before: dict[str, float], now: dict[str, float], is_other: bool
) -> None:
    assert differs(advising(kind, before), advising(kind, now)) is is_other


def test_a_wait_that_grows_shorter_as_time_goes_by_is_the_same_moment() -> None:
    told = advising("drier-air", DRY)
    assert not differs(told, advising("drier-air", DRY | {"wait": 3600.0}, time=3600.0))
    assert differs(told, advising("drier-air", DRY, time=LATER + 60.0))


def test_what_comes_goes_or_changes_its_kind_is_other() -> None:
    one, other = advising("warm-fuel", WARM), advising("open-vent", {"closed": 1.0})
    both = replace(one, advice=one.advice + other.advice)
    for before, now in ((NOTHING, one), (one, NOTHING), (one, other), (one, both), (both, other)):
        assert differs(before, now)
    assert differs(NOTHING, RESTING)
    assert differs(RESTING, NOTHING)
    assert differs(RESTING, replace(RESTING, plan=RESTING.plan[:1]))


def test_a_plan_is_other_when_an_end_comes_or_moves_by_much() -> None:
    def planned(dry: Spread | None, gone: float = 2400.0) -> Estimate:
        return replace(NOTHING, plan=(replace(START, dry_in=dry, methanol_gone_in=Spread(gone, 1800, 4000)),))

    dry = Spread(9000.0, 7000.0, 12000.0)
    assert differs(planned(None), planned(dry))
    assert not differs(planned(dry), planned(replace(dry, median=9500.0)))
    assert differs(planned(dry), planned(replace(dry, median=11000.0)))
    assert differs(planned(dry), planned(dry, gone=3000.0))
