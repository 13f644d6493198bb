"""Which runs are found, how they read, and how trends are told and drawn."""

import math
from datetime import UTC, date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.effects import Priority
from drydown.estimate.result import Spread
from drydown.store.read import Run
from drydown.store.reviews import Outcome, Review
from drydown.store.totals import Totals
from drydown_pages.runs.chosen import Choice, Named, chosen
from drydown_pages.runs.lines import MOST, list_of
from drydown_pages.runs.small_chart import Point, Unit, chart_of, steps
from drydown_pages.runs.trends import trends

DAY = 86_400.0
FIRST = 1_780_041_600.0  # 29 May 2026, 08:00 UTC


def named(number: int, **changes: Any) -> Named:
    """The run of a week, which got dry unless `changes` say otherwise."""
    start = FIRST + 7 * DAY * number
    plain: dict[str, Any] = {
        "run": Run("heron", start, start + 9000.0, ((start, "settling"), (start + 600.0, "bubbling"))),
        "totals": Totals(5400.0, 0.168, Spread(1.5, 1.0, 2.2)),
        "outcome": Outcome.DRY,
        "bubbled_at": start + 600.0,
        "gone_after": 2100.0,
        "dry_after": 2160.0,
        "dry_at": start + 2760.0,
        "methanol_start": Spread(0.0102, 0.007, 0.015),
        "methanol": Spread(0.0001, 0.00005, 0.0002),
        "water": Spread(0.0004, 0.0003, 0.0005),
        "flow_share": None,
        "notes": (),
    }
    return Named(f"heron, week {number}", Review(**(plain | changes)))


RUNS = [
    named(0, notes=("Dark oil from the ferry",)),
    named(1, outcome=Outcome.BROKEN_OFF, totals=Totals(600.0, 0.15, None, alarms={Priority.HIGH: 2})),
    named(2, outcome=Outcome.AIR_LIMITED),
    named(3),
]


@pytest.mark.parametrize(
    ("choice", "weeks"),
    [
        (Choice(), [0, 1, 2, 3]),
        (Choice(since=date(2026, 6, 5)), [1, 2, 3]),
        (Choice(until=date(2026, 6, 5)), [0, 1]),
        (Choice(since=date(2026, 6, 5), until=date(2026, 6, 12)), [1, 2]),
        (Choice(ended=Outcome.BROKEN_OFF), [1]),
        (Choice(with_alarms=True), [1]),
        (Choice(words="FERRY dark"), [0]),
        (Choice(words="week 3"), [3]),
        (Choice(words="week 3 ferry"), []),
    ],
)
def test_what_is_found(choice: Choice, weeks: list[int]) -> None:
    assert list(chosen(RUNS, choice, UTC)) == [RUNS[week] for week in weeks]


def test_a_line_says_what_came_of_it() -> None:
    first, second, third, _ = list_of("heron", RUNS, 4, Choice(), 0, UTC).lines
    assert first.sentence == "Dry by drydown’s reckoning at 08:46, after 36 min of bubbling."
    assert [(fact.label, fact.value) for fact in first.facts] == [
        ("Began", "Friday, 08:00"),
        ("Fuel", "168 L"),
        ("Bubbled for", "1 h 30 min"),
        ("Methanol at the start", "1.0 % (0.70 to 1.5 %)"),
        ("Alarms", "none"),
    ]
    assert first.notes == ("Dark oil from the ferry",)
    assert second.sentence == "Broken off before the methanol was sure to be gone: about 0.010 % was left."
    assert second.facts[4].value == "2 alarms to act on soon"
    assert third.sentence == "Methanol gone after 35 min of bubbling; that air could not dry the water out."


def test_a_run_that_only_settles_so_far_is_not_told_as_over() -> None:
    runs = [
        named(0, outcome=Outcome.NOT_BLOWN, run=Run("heron", FIRST, end, ((FIRST, "settling"),)))
        for end in (None, FIRST + DAY)
    ]
    said = [line.sentence for line in list_of("heron", runs, 2, Choice(), 0, UTC).lines]
    assert said == ["The blower has not run yet.", "The blower did not run."]


@given(st.integers(0, 200), st.integers(0, 1000))
def test_pages_of_the_list_leave_nothing_out(count: int, first: int) -> None:
    found = [named(0)] * count
    page = list_of("heron", found, count, Choice(), first, UTC)
    assert len(page.lines) <= MOST
    assert bool(page.lines) == bool(count)
    shown, at = 0, 0
    while True:
        page = list_of("heron", found, count, Choice(), at, UTC)
        shown += len(page.lines)
        if page.older is None:
            break
        at = page.older
    assert shown == count


def test_other_pages_ask_for_the_same() -> None:
    choice = Choice(since=date(2026, 6, 5), ended=Outcome.DRY, words="week & co")
    page = list_of("heron", RUNS, 4, choice, 0, UTC)
    assert page.address(20) == "/tanks/heron/runs?since=2026-06-05&ended=dry&words=week+%26+co&first=20"


@given(st.floats(0, 1), st.floats(1e-6, 1e6))
def test_the_grid_is_round_and_holds_all(below: float, span: float) -> None:
    low, high = -below * span, (1 - below) * span
    grid = steps(low, high)
    assert 2 <= len(grid) <= 9
    assert grid[0] <= low + 1e-6 * span
    assert grid[-1] >= high - 1e-6 * span
    assert all(len(f"{one:g}") <= 9 for one in grid)


def test_points_are_drawn_where_they_are() -> None:
    points = [Point(0.0, 10.0, 5.0, 15.0), Point(DAY, 20.0), Point(2 * DAY, 40.0)]
    chart = chart_of(points, None, Unit("L", 1.0), UTC)
    assert [label for _, label in chart.ticks] == ["0", "10", "20", "30", "40"]
    xs, ys = [mark.x for mark in chart.marks], [mark.y for mark in chart.marks]
    assert xs == [chart.left, pytest.approx((chart.left + chart.right) / 2, abs=0.1), chart.right]
    heights = {label: y for y, label in chart.ticks}
    assert ys == [heights["10"], heights["20"], heights["40"]]
    assert chart.marks[0].top < ys[0] < chart.marks[0].bottom
    assert (chart.first_day, chart.last_day) == ("1 Jan 1970", "3 Jan 1970")


def test_trends_tell_what_fades_and_what_only_scatters() -> None:
    runs = [
        named(week, methanol_start=Spread(0.01 + 0.002 * math.sin(2.4 * week), 0.006, 0.015))
        for week in range(30)
    ]
    flows = {
        one.review.run.start: Spread(0.014 - 0.0001 * week, 0.011 - 0.0001 * week, 0.017)
        for week, one in enumerate(runs)
    }
    air, methanol, _, hours = trends(runs, flows, UTC)
    assert air.sentence == (
        "The blower’s air fell beyond its scatter: by about 0.00290 m³/s (0.00290 m³/s to 0.00290 m³/s) "
        "between 29 May 2026 and 18 December 2026, from about 0.0140 m³/s to 0.0111 m³/s."
    )
    assert air.chart is not None
    assert air.chart.rule is not None
    assert methanol.sentence.startswith("Methanol at the start: no trend beyond the scatter of 30 runs.")
    assert methanol.chart is not None
    assert methanol.chart.rule is None
    assert len(methanol.rows) == 30
    assert hours.sentence == ("Since 29 May 2026 the blower ran 45 h in 30 runs and dried 5040 L of fuel.")


def test_no_run_has_no_trend() -> None:
    told = trends([], {}, UTC)
    assert [trend.chart for trend in told] == [None] * 4
    assert told[0].sentence == ("The blower’s air: too few runs to tell a trend; it takes 5 at least.")
    assert told[3].sentence == "No run yet."
