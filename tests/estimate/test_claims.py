"""Words that are said only once they are sure, and do not flicker."""

from itertools import pairwise

import pytest

from drydown.estimate.claims import GAINING, OUT_OF_HEARING, STEADY, Claims, Evidence
from drydown.estimate.result import Verdict

AT_WORK = Evidence(
    run_time=3600.0,
    silence=0.0,
    explained=True,
    methanol_within=0.2,
    water_within=0.1,
    never_within=0.1,
    at_floor=False,
    falling=0.0,
    rising=0.0,
)
GONE = AT_WORK._replace(methanol_within=0.97)
DRY = GONE._replace(water_within=0.97)


def said(claims: Claims, evidence: Evidence, begin: float, minutes: int) -> list[Verdict]:
    verdicts = []
    for i in range(minutes):
        claims.weigh(begin + 60.0 * i, evidence)
        verdicts.append(claims.verdict)
    return verdicts


def test_dry_after_five_sure_minutes() -> None:
    claims = Claims()
    said(claims, AT_WORK, 0.0, 10)
    verdicts = said(claims, DRY, 600.0, 8)
    assert verdicts[:5] == [Verdict.DRYING] * 5
    assert verdicts[5:] == [Verdict.DRY] * 3
    assert claims.methanol_done(600.0 + STEADY)


def test_doubt_in_between_begins_the_five_minutes_anew() -> None:
    claims = Claims()
    said(claims, DRY, 0.0, 4)
    said(claims, DRY._replace(water_within=0.94), 240.0, 1)
    assert Verdict.DRY not in said(claims, DRY, 300.0, 5)


@pytest.mark.parametrize(("chance", "stands"), [(0.9, True), (0.81, True), (0.7, False)])
def test_what_was_said_stands_until_real_doubt(chance: float, stands: bool) -> None:
    claims = Claims()
    said(claims, DRY, 0.0, 8)
    said(claims, DRY._replace(water_within=chance), 480.0, 8)
    assert (claims.verdict is Verdict.DRY) is stands
    assert claims.methanol_done(900.0)


def test_a_verdict_on_the_edge_does_not_flicker() -> None:
    claims = Claims()
    said(claims, GONE, 0.0, 10)
    limited = GONE._replace(never_within=0.92, at_floor=True)
    unsure = limited._replace(never_within=0.88)
    verdicts = [said(claims, limited if i % 2 else unsure, 600.0 + 60.0 * i, 1)[0] for i in range(30)]
    assert sum(a is not b for a, b in pairwise(verdicts)) <= 1


def test_air_limited_and_wetting_are_told_apart() -> None:
    limited = GONE._replace(never_within=0.99, at_floor=True)
    claims = Claims()
    assert said(claims, limited, 0.0, 16)[-1] is Verdict.AIR_LIMITED
    assert said(claims, limited._replace(rising=0.95), 960.0, 8)[-1] is Verdict.WETTING


def test_while_much_water_leaves_there_is_something_to_gain() -> None:
    limited = GONE._replace(never_within=0.99, at_floor=True)
    claims = Claims()
    assert Verdict.AIR_LIMITED not in said(claims, limited._replace(falling=1.1 * GAINING), 0.0, 30)
    assert said(claims, limited._replace(falling=0.9 * GAINING), 1800.0, 8)[-1] is Verdict.AIR_LIMITED
    assert said(claims, limited._replace(falling=1.1 * GAINING), 2280.0, 20)[-1] is Verdict.AIR_LIMITED


@pytest.mark.parametrize(
    "silent",
    [
        AT_WORK._replace(run_time=60.0),
        DRY._replace(silence=OUT_OF_HEARING + 1.0),
        DRY._replace(explained=False),
    ],
)
def test_unknown_at_once(silent: Evidence) -> None:
    claims = Claims()
    said(claims, DRY, 0.0, 10)
    assert said(claims, silent, 600.0, 1) == [Verdict.UNKNOWN]


def test_what_cannot_be_explained_takes_the_claims_back() -> None:
    claims = Claims()
    said(claims, DRY, 0.0, 10)
    said(claims, DRY._replace(explained=False), 600.0, 1)
    assert not claims.methanol_done(660.0)
    assert said(claims, DRY, 660.0, 1) == [Verdict.DRYING]
