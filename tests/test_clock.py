"""The core's clock never steps, whatever the wall clock does."""

import time
from pathlib import Path

import pytest

from drydown.clock import Clock, boot_time


class Wall:
    """A wall clock and a boot clock that a test sets."""

    def __init__(self) -> None:
        self.boot, self.wall = 100.0, 1_789_200_000.0

    def pass_time(self, seconds: float) -> None:
        self.boot += seconds
        self.wall += seconds

    def clock(self, pace: float = 1.0) -> Clock:
        return Clock(pace, boot=lambda: self.boot, wall=lambda: self.wall)


@pytest.mark.parametrize("step", [-31_536_000.0, -3600.0, -1.0, 1.0, 3600.0, 31_536_000.0])
def test_a_step_of_the_wall_clock_moves_labels_and_no_duration(step: float) -> None:
    wall = Wall()
    clock = wall.clock()
    before = clock.now()
    wall.pass_time(10)
    wall.wall += step
    assert clock.now() - before == 10
    assert clock.to_unix(clock.now()) == pytest.approx(wall.wall - step)
    assert clock.look() == pytest.approx(step)
    assert clock.to_unix(clock.now()) == pytest.approx(wall.wall)
    assert clock.look() == 0


def test_both_ways_between_the_clocks_cancel() -> None:
    clock = Wall().clock()
    assert clock.from_unix(clock.to_unix(42.0)) == pytest.approx(42.0, abs=1e-6)


def test_jitter_of_reading_two_clocks_is_no_step() -> None:
    wall = Wall()
    clock = wall.clock()
    labels = set()
    for _ in range(100):
        wall.pass_time(1)
        wall.wall += 0.00005
        assert clock.look() == 0
        labels.add(round(clock.to_unix(0.0), 6))
    assert len(labels) == 1


def test_a_simulation_runs_at_its_own_pace() -> None:
    wall = Wall()
    clock = wall.clock(pace=60)
    wall.pass_time(2)
    assert clock.now() == 100 + 120


def test_a_clock_that_was_never_set_is_known() -> None:
    wall = Wall()
    assert wall.clock().is_set
    wall.wall = 0.0
    assert not wall.clock().is_set


def test_the_boot_clock_counts_what_the_kernel_counts() -> None:
    # proc_uptime(5): the first number of /proc/uptime is the time since boot, suspends included
    uptime = Path("/proc/uptime").read_text().split()[0]
    assert boot_time() == pytest.approx(float(uptime), abs=1)
    before = boot_time()
    time.sleep(0.01)
    assert boot_time() > before
