"""The blower's hours: exact where readings come, careful where they do not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.run.blower_timer import GAP_LIMIT, SAME_STRETCH, BlowerTimer, Meter

STEPS = st.lists(st.tuples(st.floats(min_value=0.01, max_value=200), st.booleans()), min_size=1, max_size=60)


def test_two_stretches_of_one_run_and_the_hours_before() -> None:
    timer = BlowerTimer()
    timer.set_meter(3600.0, 2)
    for time in range(101):
        timer.observe(time, 10 <= time < 40 or time >= 60)
    assert timer.stretch == 40
    assert timer.run == 70
    assert timer.total == 3670
    assert timer.starts == 4


def test_a_new_run_starts_from_nothing_but_all_time_goes_on() -> None:
    timer = BlowerTimer()
    for time in (0, 10, 20):
        timer.observe(time, True)
    timer.start_run()
    timer.observe(30, True)
    assert (timer.run, timer.total) == (10, 30)


def test_time_of_which_nothing_is_known_is_not_counted() -> None:
    timer = BlowerTimer()
    timer.observe(0, True)
    timer.advance(4000)
    assert timer.run == GAP_LIMIT
    timer.observe(5000, True)
    timer.observe(5010, True)
    assert timer.run == GAP_LIMIT + 10


def test_hours_go_on_between_readings() -> None:
    timer = BlowerTimer()
    timer.observe(0, True)
    timer.advance(7)
    assert timer.run == 7
    timer.observe(10, False)
    assert timer.run == 10
    timer.advance(20)
    assert timer.run == 10
    assert timer.off_for(20) == 10


@given(STEPS)
def test_what_is_counted_never_exceeds_what_passed(steps: list[tuple[float, bool]]) -> None:
    timer, now, running, most = BlowerTimer(), 0.0, False, 0.0
    timer.observe(0.0, False)
    for passed, following in steps:
        most += min(passed, GAP_LIMIT) if running else 0.0
        now += passed
        timer.observe(now, following)
        running = following
        assert timer.stretch <= timer.run == timer.total == pytest.approx(most, abs=1e-6)


@given(STEPS)
def test_advancing_in_between_changes_nothing(steps: list[tuple[float, bool]]) -> None:
    plain, eager, now = BlowerTimer(), BlowerTimer(), 0.0
    for passed, running in steps:
        eager.advance(now + passed / 3)
        eager.advance(now + passed / 2)
        now += passed
        plain.observe(now, running)
        eager.observe(now, running)
    assert eager.total == pytest.approx(plain.total, abs=1e-6)


def test_a_reading_that_comes_late_is_left_out() -> None:
    timer = BlowerTimer()
    timer.observe(10, True)
    timer.observe(5, False)
    assert timer.running


@given(
    late=st.lists(st.floats(0.0, 3.0), min_size=2, max_size=60),
    every=st.floats(0.1, 2.0),
)
def test_readings_that_come_late_count_no_time_twice(late: list[float], every: float) -> None:
    """Held against the sum over the readings alone, while the time goes on between them."""
    timer, now = BlowerTimer(), 0.0
    comes = [(second + delay, float(second)) for second, delay in enumerate(late)]
    latest = 0.0
    for at, time in sorted(comes):
        while now + every < at:
            now += every
            timer.advance(now)
        now = at
        timer.observe(time, True)
        latest = max(latest, time)
        timer.advance(now)
    first = next(time for _, time in sorted(comes))
    assert timer.run == pytest.approx(now - first, abs=1e-6)
    timer.observe(max(latest, now - 0.5), False)
    timer.advance(now + 100)
    assert timer.stretch == pytest.approx(max(latest, now - 0.5) - first, abs=1e-6)


def running_at(time: float, total: float = 3600.0, stretch: float = 600.0) -> Meter:
    return Meter(time, total, starts=4, running=True, stretch=stretch)


@pytest.mark.parametrize("gone", [5.0, GAP_LIMIT, 100.0])
def test_after_a_restart_the_stretch_goes_on(gone: float) -> None:
    timer = BlowerTimer()
    timer.recall(running_at(1000.0))
    timer.observe(1000.0 + gone, True)
    timer.observe(1010.0 + gone, True)
    counted = 10.0 + min(gone, GAP_LIMIT)
    assert (timer.total, timer.starts) == (3600.0 + counted, 4)
    assert timer.stretch == 600.0 + counted


def test_of_a_blower_that_stopped_meanwhile_little_is_counted() -> None:
    timer = BlowerTimer()
    timer.recall(running_at(1000.0))
    timer.observe(1100.0, False)
    assert (timer.total, timer.starts, timer.running) == (3600.0 + GAP_LIMIT, 4, False)
    assert timer.off_for(1130.0) == 30.0


def test_after_a_long_time_without_a_watcher_it_was_started_anew() -> None:
    timer = BlowerTimer()
    timer.recall(running_at(1000.0))
    timer.observe(1001.0 + SAME_STRETCH, True)
    assert (timer.total, timer.starts, timer.stretch) == (3600.0, 5, 0.0)


def test_a_clock_that_has_gone_back_takes_nothing_away() -> None:
    timer = BlowerTimer()
    timer.recall(running_at(1e9))
    timer.observe(5.0, True)
    timer.observe(15.0, True)
    assert (timer.total, timer.starts, timer.stretch) == (3610.0, 4, 610.0)


def test_the_larger_of_what_was_recorded_and_what_was_kept_counts() -> None:
    ahead, behind = BlowerTimer(), BlowerTimer()
    for timer, recorded in ((ahead, 3700.0), (behind, 3500.0)):
        timer.observe(990.0, True)
        timer.set_meter(recorded, 4)
        timer.recall(running_at(1000.0))
        timer.observe(1010.0, True)
    assert (ahead.total, ahead.starts, ahead.stretch) == (3720.0, 4, 20.0)
    assert (behind.total, behind.starts, behind.stretch) == (3610.0, 4, 610.0)
    assert behind.run == 110.0, "the hours that no recorder heard of are of this run too"


def test_what_was_recorded_after_the_file_was_written_is_known_better() -> None:
    timer = BlowerTimer()
    timer.observe(900.0, False)
    timer.set_meter(3500.0, 4)
    timer.observe(1005.0, True)  # its fifth start; the file is of the stop before
    timer.recall(Meter(1000.0, 3600.0, 4, running=False, stretch=600.0))
    timer.observe(1010.0, True)
    assert (timer.total, timer.starts, timer.stretch) == (3605.0, 5, 5.0)


def test_what_was_kept_is_handed_on_until_the_blower_is_read() -> None:
    timer = BlowerTimer()
    timer.recall(running_at(1000.0))
    timer.advance(1200.0)
    assert timer.meter(1200.0) == running_at(1000.0)
