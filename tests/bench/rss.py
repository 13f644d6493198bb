"""rss_watch, rss_record, rss_serve: what the three processes hold in memory after minutes of work."""

from collections.abc import Callable

from bench.figure import Figure, Measured
from bench.stay import ASKED, PATHS, Stay
from bench.workbench import Workbench

MB = 1e6


def _measure(of: Callable[[Stay], int], after: str) -> Callable[[Workbench], Measured]:
    def measure(bench: Workbench) -> Measured:
        return Measured(of(bench.stay) / MB, f"VmRSS after {bench.stay.length:.0f} s of {after}")

    return measure


WATCH = Figure("rss_watch", "MB", 80, "at most", _measure(lambda stay: stay.watch, "watching two tanks"))
RECORD = Figure("rss_record", "MB", 45, "at most", _measure(lambda stay: stay.record, "recording two tanks"))
SERVE = Figure(
    "rss_serve",
    "MB",
    80,
    "at most",
    _measure(lambda stay: stay.serve, f"serving, and {ASKED * len(PATHS)} pages and answers"),
)
