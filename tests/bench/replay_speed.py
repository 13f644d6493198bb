"""replay_speed: how many times faster than real time a recorded run is replayed, start of Python included."""

import json
import statistics
import subprocess
import time
from pathlib import Path

from bench.figure import Figure, Measured
from bench.workbench import Workbench
from drydown.simulate.batch import MINUTE, Timetable, heron
from drydown.simulate.instruments import EVERYTHING
from drydown.simulate.scene import play
from drydown.simulate.write import FIRST_DAY, senml
from support.processes import DRYDOWN

SAMPLING = 10.0  # s
TIMETABLE = Timetable(
    starts=15 * MINUTE,
    pauses=75 * MINUTE,
    goes_on=87 * MINUTE,
    stops=225 * MINUTE,
    draws=234 * MINUTE,
    ends=240 * MINUTE,
)
REPETITIONS = 5


def measure(bench: Workbench) -> Measured:
    """The whole process, timed from outside."""
    run = bench.folder / "four-hours.senml"
    write(run)
    seconds = statistics.median(replay(run, bench.boathouse.config) for _ in range(REPETITIONS))
    return Measured(
        TIMETABLE.ends / seconds,
        f"{TIMETABLE.ends / 3600:g} h at {SAMPLING:g} s, {len(EVERYTHING)} series: {seconds:.2f} s as a "
        f"process, median of {REPETITIONS}",
    )


def write(path: Path) -> None:
    """The run of a whole afternoon, with every probe there is."""
    records = [
        json.dumps(record)
        for moment in play(heron(TIMETABLE), seed=1, interval=SAMPLING)
        for record in senml(moment, FIRST_DAY)
    ]
    path.write_text("[\n" + ",\n".join(records) + "\n]\n")


def replay(run: Path, config: Path) -> float:
    """Seconds from the start of the process to its end."""
    command: list[str | Path] = [DRYDOWN, "replay", "--json", run, "--config", config, "--tank", "heron"]
    output = run.with_suffix(".lines")
    with output.open("wb") as lines:
        begun = time.perf_counter()
        subprocess.run(command, stdout=lines, check=True)
        seconds = time.perf_counter() - begun
    estimates = output.read_text().count('"kind":"estimate"')
    minutes = TIMETABLE.ends / MINUTE
    assert estimates >= minutes, (
        f"the replay gave {estimates} estimates in {minutes:g} min: one a minute is due"
    )
    return seconds


FIGURE = Figure("replay_speed", "× real time", 5000, "at least", measure)
