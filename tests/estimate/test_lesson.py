"""A lesson survives its way as JSON to the last digit, and serves only the tank and blower it came from."""

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from drydown.estimate import lesson_use as module
from drydown.estimate.learned import learned_of, prior_of
from drydown.estimate.lesson import Learned, Lesson, changed, is_sound, lesson_line, lesson_of, owner_of
from drydown.estimate.lesson_use import UNKNOWNS, fits
from drydown.estimate.parameters import NAMES
from drydown.estimate.schooled import quantities, taught
from drydown.estimate.unknowns import COUNT
from support.boathouse import heron

HERON = heron()
TABLE = {"shape": "table", "table": [[0.0, 0.0], [0.9, 0.25]], "diameter": None, "height": None}
N = len(NAMES)


def learned_with(seed: int, size: int = N) -> Learned:
    """A belief with a covariance as any fit may give it: full, with all its digits."""
    dice = np.random.default_rng(seed)
    root = dice.normal(size=(size, size)) / math.sqrt(size)
    covariance = 0.5 * (root @ root.T + (root @ root.T).T) + 0.01 * np.eye(size)
    return Learned(
        NAMES[:size], tuple(dice.normal(size=size).tolist()), tuple(map(tuple, covariance.tolist()))
    )


lessons = st.builds(
    Lesson,
    learned=st.builds(learned_with, st.integers(0, 2**32), st.integers(1, N)),
    owner=st.sampled_from([owner_of(HERON), owner_of(heron(**TABLE))]),
    unknowns=st.sampled_from([UNKNOWNS, "of another make"]),
    runs=st.integers(1, 10_000),
    since=st.integers(0, 2**40).map(lambda eighths: eighths / 8),  # exact to the millisecond
)


@given(lessons)
def test_its_way_as_json_is_exact(lesson: Lesson) -> None:
    line = json.loads(json.dumps(lesson_line(lesson, 5.0, float), allow_nan=False))
    assert lesson_of(line, float) == lesson
    if lesson.unknowns == UNKNOWNS and len(lesson.learned.names) == N:
        mine, again = prior_of(lesson.learned), prior_of(lesson_of(line, float).learned)
        assert all((a == b).all() for a, b in zip(mine, again, strict=True))


def a_lesson() -> Lesson:
    found = taught(HERON, None, learned_with(1), 1000.0)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("changes", "keys"),
    [
        ({"blower": {"rated_flow": 0.016}}, ["rated_flow"]),
        ({"shape": "cone-bottom", "cone_height": 0.2}, ["shape", "cone_height"]),
        ({"diameter": 0.61}, ["diameter"]),
        ({"material": "polyethylene"}, ["material"]),
        (TABLE, ["shape", "diameter", "height", "table"]),
    ],
)
def test_another_tank_or_blower_is_not_served(changes: dict[str, Any], keys: list[str]) -> None:
    lesson, other = a_lesson(), heron(**changes)
    assert not fits(lesson, other)
    assert list(changed(lesson, other)) == keys
    line = json.loads(json.dumps(lesson_line(lesson, 5.0, float)))
    assert not fits(lesson_of(line, float), other)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"name": "plover"},
        {"standpipe": 0.1},
        {"fuel": {"feedstock": "soy"}},
        {"blower": {"rated_flow": 0.015, "longest_run": 7200}},
        {"room": {"volume": 90.0, "fresh_air": 0.1}},
    ],
)
def test_what_does_not_make_another_tank_changes_nothing(changes: dict[str, Any]) -> None:
    line = json.loads(json.dumps(lesson_line(a_lesson(), 2000.0, float)))
    assert fits(lesson_of(line, float), heron(**changes))


def test_the_first_lesson_is_as_old_as_its_event_whose_time_may_be_put_right() -> None:
    line = lesson_line(a_lesson(), 1000.0, float)
    assert "since" not in line
    assert lesson_of(line, float) == a_lesson()
    assert lesson_of(line | {"time": 5e8}, float).since == 5e8


def test_a_table_is_the_same_after_its_way_as_json() -> None:
    drum = heron(**TABLE)
    lesson = taught(drum, None, learned_with(1), 0.0)
    assert lesson
    assert fits(lesson_of(json.loads(json.dumps(lesson_line(lesson, 5.0, float))), float), drum)


def test_an_estimator_with_other_unknowns_is_not_served(monkeypatch: pytest.MonkeyPatch) -> None:
    lesson = a_lesson()
    assert fits(lesson, HERON)
    monkeypatch.setattr(module, "UNKNOWNS", "others")
    assert not fits(lesson, HERON)


def test_each_run_counts_and_one_that_taught_nothing_does_not() -> None:
    first = a_lesson()
    assert (first.runs, first.since) == (1, 1000.0)
    assert taught(HERON, first, learned_of(*prior_of(first.learned)), 2000.0) is None
    assert taught(HERON, None, learned_of(*prior_of(None)), 2000.0) is None
    second = taught(HERON, first, learned_with(2), 2000.0)
    assert second is not None
    assert (second.runs, second.since) == (2, 1000.0)


@pytest.mark.parametrize(
    "spoil",
    [
        {"mean": [math.nan] * N},
        {"mean": [0.0] * (N - 1)},
        {"covariance": [[0.0] * N] * N},
        {"covariance": [[1.0] * N] * N},
        {"covariance": [[1.0] * (N - 1)] * N},
        {"covariance": [[1.0], [1.0, 2.0]]},
        {"runs": 0},
        {"since": math.inf},
        {"mean": "none"},
        {"names": None},
    ],
)
def test_what_is_no_lesson_is_refused(spoil: dict[str, Any]) -> None:
    line = lesson_line(a_lesson(), 2000.0, float) | spoil
    with pytest.raises((ValueError, TypeError)):
        lesson_of(line, float)


@given(st.integers(0, 2**32), st.integers(1, N), st.floats(0.0, 0.2))
def test_a_covariance_is_one_as_numpy_says(seed: int, size: int, taken: float) -> None:
    learned = learned_with(seed, size)
    matrix = np.array(learned.covariance) - taken * np.eye(size)
    least = float(np.linalg.eigvalsh(matrix).min())
    assume(abs(least) > 1e-9)
    shifted = replace(learned, covariance=tuple(map(tuple, matrix.tolist())))
    assert is_sound(shifted) is (least > 0.0)


def test_a_fit_gone_wrong_teaches_nothing() -> None:
    wrong = replace(learned_with(1), mean=(math.nan,) * N)
    assert not is_sound(wrong)
    assert taught(HERON, None, wrong, 0.0) is None


def test_its_quantities_are_the_unknowns_of_before_where_nothing_was_learned() -> None:
    nothing = Lesson(learned_of(np.zeros(COUNT), np.eye(COUNT)), owner_of(HERON), UNKNOWNS, 1, 0.0)
    found = {one.name: one for one in quantities(nothing)}
    assert set(found) == set(NAMES)
    flow = found["flow"]
    # log-normal about 1 with σ 0.25: its 5 % and 95 % points are exp(±1.645 · 0.25)
    assert flow.value.median == pytest.approx(1.0)
    assert flow.value.low == pytest.approx(math.exp(-1.645 * 0.25))
    assert flow.value.high == pytest.approx(math.exp(1.645 * 0.25))
    assert flow.narrowed == pytest.approx(0.0)
