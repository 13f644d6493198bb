"""watch_cpu: how much of one core the watcher takes while both blowers run."""

from bench.boathouse import PROBES
from bench.figure import Figure, Measured
from bench.stay import SETTLES, WATCHED
from bench.workbench import Workbench


def measure(bench: Workbench) -> Measured:
    """User and system time of the process over a stretch that begins after it has started up."""
    return Measured(
        100 * bench.stay.watch_cpu,
        f"`drydown watch` on two tanks with {PROBES} probes at 1 Hz, an estimate a minute each, recorded and "
        f"served: {WATCHED:g} s, without the first {SETTLES:g} s",
    )


FIGURE = Figure("watch_cpu", "% of a core", 2, "at most", measure)
