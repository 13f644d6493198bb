"""A mistake in what is worked out costs no alarm, is told, and is got over."""

import json
import math
from dataclasses import replace

import pytest

from drydown.airing import Airing
from drydown.commands import Part
from drydown.core import Core
from drydown.counsel import Counsel
from drydown.effects import AlarmChanged, Derived, Estimated
from drydown.estimate.estimator import Estimator
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.lines import line_of
from drydown.picture import Picture
from drydown.telling import is_finite, unknown
from support.boathouse import AIRY, CELSIUS, at_rest, heron
from support.story import Climbs, Story


def breaks(*_: object) -> None:
    raise ZeroDivisionError("float division by zero")


def bubbling() -> Story:
    story = Story(heron(room=AIRY), at_rest(vent__open=True, fuel__temperature=Climbs(25 + CELSIUS, -0.002)))
    story.at(20, {"blower/running": True})
    story.at(300, {"vent/open": False})
    return story


@pytest.mark.parametrize(
    ("part", "method"),
    [
        (Estimator, "estimate"),
        (Estimator, "observe"),
        (Counsel, "add"),
        (Counsel, "look"),
        (Airing, "advance"),
        (Airing, "tell"),
        (Picture, "_derive"),
    ],
)
def test_the_alarm_comes_in_time_whatever_breaks(
    part: type, method: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(part, method, breaks)
    story = bubbling()
    story.want("vent-closed raised", 300, 305)
    story.want("watch-degraded raised", 30, 95)
    core = story.play(320, (AlarmChanged,))
    assert "ZeroDivisionError" in core.scene.degraded[Part.ESTIMATE]
    assert isinstance(core.faults.take(), ZeroDivisionError)
    assert core.faults.take() is None


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf])
def test_no_number_that_is_none_leaves_the_core(wrong: float, monkeypatch: pytest.MonkeyPatch) -> None:
    sound = Estimator.estimate

    def wrong_for_a_while(self: Estimator, now: float) -> Estimate:
        found = sound(self, now)
        broken = 1_000_100 < now < 1_000_200
        return replace(found, methanol=Spread(0.01, wrong, 0.02)) if broken else found

    monkeypatch.setattr(Estimator, "estimate", wrong_for_a_while)
    story = bubbling()
    core = story.play(600, kinds=())
    for effect in story.effects:
        json.dumps(line_of(effect, float), allow_nan=False)
    told = [effect.estimate for effect in story.effects if isinstance(effect, Estimated)]
    during = [one for one in told if 1_000_100 < one.time < 1_000_200]
    assert {(one.methanol, one.verdict) for one in during} == {(None, Verdict.UNKNOWN)}
    changes = [e.change for e in story.effects if isinstance(e, AlarmChanged) and e.alarm == "watch-degraded"]
    assert changes == ["raised", "returned"]
    assert core.scene.degraded == {}
    assert told[-1].methanol is not None


def test_what_is_derived_is_finite_or_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("drydown.run.fuel_level.FuelLevel.at_standard", lambda *_: math.nan)
    story = bubbling()
    story.play(30, kinds=())
    derived = [effect for effect in story.effects if isinstance(effect, Derived)]
    assert derived
    assert all(is_finite(effect) for effect in derived)


def test_a_core_goes_on_from_one_that_failed_without_losing_an_alarm() -> None:
    story = bubbling()
    failed = story.play(400, kinds=())
    core = Core(story.tank)
    core.go_on_from(failed)
    now = story.beginning + 400
    told = [effect for second in range(1, 20) for effect in core.step(now + second, (), ())]
    assert not [effect for effect in told if isinstance(effect, AlarmChanged)]
    assert core.panel.alarms["vent-closed"].standing


def test_finite_is_looked_for_everywhere() -> None:
    assert is_finite(unknown(1.0, 2.0))
    assert not is_finite(unknown(math.nan, 2.0))
    assert not is_finite(({"deep": [math.inf]},))
    assert is_finite(({"deep": [1.0, "text", None]},))
