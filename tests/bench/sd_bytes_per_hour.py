"""sd_bytes_per_hour: what watcher and recorder have the kernel write to the disk, which wears an SD card.

The kernel counts what a process sends towards the disk (proc_pid_io(5), `write_bytes`). What the file system
and the card add to it (their own logs, whole blocks for parts of one) is not in it.
"""

import time
from pathlib import Path

from bench.boathouse import PROBES, Afternoon, Boathouse
from bench.figure import Figure, Measured
from bench.workbench import Workbench
from support.broker import free_port
from support.processes import Running, running

STARTS, SETTLES = 8.0, 30.0  # s from the beginning: the blowers; and all that is written once is written
COUNTED = 300.0  # s: the log is taken into the store at least once
HOUR = 3600.0


def measure(bench: Workbench) -> Measured:
    """Minutes of the boathouse in real time, made an hour."""
    folder = bench.folder / "wear"
    folder.mkdir()
    boathouse = Boathouse(folder, bench.broker.port, free_port())
    config = boathouse.config
    with (
        Afternoon(boathouse, STARTS),
        running("record", "--config", config, log=folder / "record.log") as record,
        running("watch", "--config", config, log=folder / "watch.log", **boathouse.environment) as watch,
    ):
        time.sleep(SETTLES)
        before, begun = [_written(record), _written(watch)], time.monotonic()
        time.sleep(COUNTED)
        seconds = time.monotonic() - begun
        recorded, watched = (
            (_written(process) - first) * HOUR / seconds
            for process, first in zip((record, watch), before, strict=True)
        )
        for process in (record, watch):
            process.check()
    assert recorded > 0, f"nothing was written: {folder} does not lie on a disk"
    return Measured(
        recorded + watched,
        f"{recorded / 1e6:.1f} MB/h of record and {watched / 1e6:.1f} MB/h of watch, from {seconds:.0f} s"
        f" with {PROBES} probes of two tanks at 1 Hz, blowers running",
    )


def _written(process: Running) -> int:
    """Bytes that were sent towards the disk."""
    lines = Path(f"/proc/{process.pid}/io").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("write_bytes:"))


FIGURE = Figure("sd_bytes_per_hour", "B", 100e6, "at most", measure)
