"""The core's clock never steps, whatever the wall clock does."""

import shutil
import subprocess
import time
from pathlib import Path

import pytest

from drydown import synchronised
from drydown.clock import EARLIEST, SETTLED, Clock, boot_time


class Wall:
    """A wall clock and a boot clock that a test sets."""

    def __init__(self) -> None:
        self.boot, self.wall = 100.0, 1_789_200_000.0
        self.kept = True

    def pass_time(self, seconds: float) -> None:
        self.boot += seconds
        self.wall += seconds

    def clock(self, pace: float = 1.0) -> Clock:
        return Clock(pace, boot=lambda: self.boot, wall=lambda: self.wall, synchronised=lambda: self.kept)


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


def test_who_is_held_up_between_reading_two_clocks_sees_no_step() -> None:
    wall, held_up = Wall(), iter([0.0, 0.3, 0.0, 0.0, 0.02, 0.05, 0.0])  # s, before the wall clock is read

    def read() -> float:
        wall.pass_time(next(held_up, 0.0))
        return wall.wall

    clock = Clock(boot=lambda: wall.boot, wall=read, synchronised=lambda: True)
    assert [clock.look() for _ in range(3)] == [0, 0, 0]
    assert clock.to_unix(clock.now()) == pytest.approx(wall.wall, abs=0.001)


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


def test_until_it_is_set_time_counts_from_a_day_that_every_standard_takes_for_one() -> None:
    wall = Wall()
    wall.wall, wall.kept = 17.0, False
    clock = wall.clock()
    assert clock.to_unix(clock.now()) == EARLIEST + 100
    assert not clock.label.mark.sure
    wall.pass_time(5)
    assert clock.look() == 0
    wall.wall, wall.kept = 1_789_200_000.0, True
    assert clock.look() == pytest.approx(1_789_200_000.0 - EARLIEST - 105)
    assert clock.to_unix(clock.now()) == wall.wall
    mark = clock.label.mark
    assert (mark.sure, mark.since, mark.at) == (True, 0, 105_000)


def test_a_step_reaches_back_a_day_on_a_clock_that_was_kept_right_and_not_further() -> None:
    wall = Wall()
    clock = wall.clock()
    wall.pass_time(3 * SETTLED)
    clock.look()
    wall.pass_time(10)
    wall.wall += 3600
    assert clock.look() == pytest.approx(3600)
    assert clock.label.mark.since == pytest.approx(1000 * (100 + 2 * SETTLED), abs=11_000)


def test_what_was_kept_right_is_not_touched_by_what_came_after() -> None:
    wall = Wall()
    clock = wall.clock()
    wall.pass_time(1000)
    wall.kept = False
    clock.look()
    assert clock.unkept_for == 0
    wall.pass_time(2000)
    clock.look()
    assert clock.unkept_for == 2000
    wall.kept = True
    wall.wall += 2
    assert clock.look() == pytest.approx(2)
    assert clock.unkept_for == 0
    assert clock.label.mark.since == 1000 * 1100


def test_a_service_that_keeps_the_clock_right_is_believed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(synchronised, "TOLD_BY_SERVICE", tmp_path / "synchronized")
    kernel = synchronised.is_synchronised()
    timedatectl = shutil.which("timedatectl")
    if timedatectl and Path("/run/systemd/system").exists():  # asks the kernel too (timedatectl(1))
        told = subprocess.run(
            [timedatectl, "show", "--property=NTPSynchronized", "--value"], capture_output=True, text=True
        )
        assert kernel is (told.stdout.strip() == "yes")
    (tmp_path / "synchronized").touch()
    assert synchronised.is_synchronised()
