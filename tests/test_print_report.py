"""A run's report on a terminal of 80 columns, whatever the hour at which the run was."""

import io
from datetime import timedelta, timezone

import pytest
from rich.console import Console

from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.print_report import print_report
from drydown.run.report import RunReport
from support.tank_state import NOON

HOUR = 3600.0


def told(minutes: float) -> Estimate:
    """With as many digits as there can be, and an end on another day."""
    time = NOON + minutes * 60
    end = Spread(time + 10 * HOUR, time + 9 * HOUR, time + 12 * HOUR)
    return Estimate(
        time=time,
        run_time=minutes * 60,
        methanol=Spread(0.0123, 0.0112, 0.0134),
        water=Spread(0.00123, 0.00112, 0.00134),
        water_floor=None,
        emission=None,
        methanol_done_at=end,
        dry_at=end,
        methanol_done=False,
        verdict=Verdict.AIR_LIMITED,
    )


@pytest.mark.parametrize("ahead", [0, 5, 9, 11])
def test_nothing_is_cut_off_in_80_columns(ahead: int) -> None:
    report = RunReport(first=NOON, last=NOON + 5 * HOUR, run_time=5 * HOUR)
    report.estimates = [told(minutes) for minutes in range(20, 300, 10)]
    console = Console(file=io.StringIO(), width=80)
    print_report(report, "heron", timezone(timedelta(hours=ahead)), console)
    printed = console.file.getvalue()  # type: ignore[attr-defined]
    assert "…" not in printed
    assert max(map(len, printed.splitlines())) <= 80
    assert printed.count("1200 (1100–1300)") > 10
    assert "January" in printed.split("Bubbled")[1], "its end is on the next day"
