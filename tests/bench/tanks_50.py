"""tanks_50 and tanks_50_step: what fifty tanks cost the watcher, and how long one of their steps takes."""

import tempfile
import time
from dataclasses import replace
from pathlib import Path

from bench.fifty import SERIES, TANKS, Boards, fifty
from bench.figure import Figure, Measured
from bench.percentile import percentile
from bench.workbench import Workbench
from drydown.bus.local_client import ask
from drydown.config.model import Tank
from drydown.core import Core
from drydown.effects import Estimated
from drydown.probes.simulated import scenario_of
from drydown.reading import Reading
from drydown.simulate.instruments import EVERYTHING
from drydown.simulate.scene import play
from support.broker import free_port
from support.processes import running

STARTS = 20.0  # s from the beginning: the blowers
SETTLES = 45.0  # s from the beginning until CPU time is counted
WATCHED = 120.0  # s for which it is counted
STEPPED = 600  # simulated seconds


def measure(bench: Workbench) -> Measured:
    """CPU time of the real watcher, over wall time, while all blowers run and a recorder confirms."""
    with tempfile.TemporaryDirectory(dir=bench.folder) as place:
        folder = Path(place)
        config, site = fifty(folder, bench.broker.port, free_port())
        with (
            running("record", "--config", config, log=folder / "record.log") as record,
            running("watch", "--config", config, log=folder / "watch.log") as watch,
            Boards(site, STARTS),
        ):
            time.sleep(SETTLES)
            before, begun = watch.cpu_seconds, time.monotonic()
            time.sleep(WATCHED)
            share = (watch.cpu_seconds - before) / (time.monotonic() - begun)
            for process in (watch, record):
                process.check()
            states = ask(site.socket_path, "state")
    for name, state in states.items():
        assert state["blower"]["running"] is True, f"{name}: the watcher does not see the blower run"
        assert state["estimate"]["methanol"], f"{name}: methanol is not being estimated"
        missing = set(EVERYTHING) - state["readings"].keys()
        assert not missing, f"{name}: no readings of {', '.join(missing)}"
        late = state["time"] - min(state["readings"][one]["time"] for one in EVERYTHING)
        assert late < 3.0, f"{name}: its oldest reading is {late:.1f} s old: the watcher falls behind"
    assert len(states) == TANKS, f"{len(states)} tanks have a state"
    return Measured(
        100 * share,
        f"one `drydown watch` process with {TANKS} tanks x {SERIES} series at 1 Hz from boards by MQTT, an "
        f"estimate a minute each, recorded: CPU over {WATCHED:g} s of wall time, all blowers on",
    )


def measure_step(_bench: Workbench) -> Measured:
    """Steps of fifty cores in one process, in turn, second by second."""
    cores = [(Core(tank), _moments(tank, i)) for i, tank in enumerate(_tanks())]
    times, estimates = [], 0
    for second in range(STEPPED):
        for core, moments in cores:
            begun = time.perf_counter()
            effects = core.step(float(second), moments[second], ())
            times.append(time.perf_counter() - begun)
            estimates += sum(isinstance(effect, Estimated) for effect in effects)
    assert estimates >= TANKS * STEPPED / 60, f"{estimates} estimates: one a minute and tank is due"
    return Measured(
        1000 * percentile(times, 0.99),
        f"{len(times)} steps of {TANKS} cores in one process, {len(EVERYTHING)} readings each, "
        f"{estimates} estimates; half take {1000 * percentile(times, 0.5):.2f} ms, "
        f"the longest {1000 * max(times):.1f} ms",
    )


def _tanks() -> tuple[Tank, ...]:
    with tempfile.TemporaryDirectory() as folder:
        return fifty(Path(folder), 1883, 8470)[1].tank


def _moments(tank: Tank, seed: int) -> list[list[Reading]]:
    whole = scenario_of(tank)
    probes = replace(whole.probes, kit=EVERYTHING)
    scenario = replace(whole, duration=STEPPED, switches=(60.0,), vent_openings=(), probes=probes)
    return [
        [Reading(name, moment.elapsed, value) for name, value in moment.readings.items()]
        for moment in play(scenario, seed=seed, interval=1.0)
    ]


CPU = Figure("tanks_50", "% of a core", 60, "at most", measure)
STEP = Figure("tanks_50_step", "ms", 10, "at most", measure_step)
