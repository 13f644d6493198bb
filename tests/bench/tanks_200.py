"""tanks_200_cpu, tanks_200_shared_cpu: what recorders take for 200 tanks that talk through one mosquitto."""

import tempfile
import threading
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace
from pathlib import Path

from bench.figure import Figure, Measured
from bench.workbench import Workbench
from drydown.bus import wire
from drydown.bus.counter import Counter as BatchCounter
from drydown.bus.publisher import Publisher
from drydown.bus.shelf import DiskShelf
from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.config.model import Site, Tank
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.reading import Reading
from drydown.run.fuel_level import vessel_of
from drydown.simulate.instruments import EVERYTHING
from drydown.store.schema import open_for_reading
from support.broker import until
from support.processes import cpu_seconds, running
from support.site_file import write_site

TANKS = 200
SITES = ("boathouse", "annexe", "slipway", "yard")  # that share them
SERIES = len(EVERYTHING) + 2  # with the volume and what of it can be drawn, as a watcher says them
ESTIMATE_ROWS = 3 + 6 * 3
SETTLES = 15.0  # s until CPU time is counted
WATCHED = 60.0  # s for which it is counted


def measure_one(bench: Workbench) -> Measured:
    """CPU time of recorder and broker, while every tank has a connection, numbers and a cursor of its own."""
    found = recorded(bench, ("boathouse",))
    return Measured(100 * found.recorders, f"one `drydown record` taking what {TANKS} tanks say{found.told}")


def measure_shared(bench: Workbench) -> Measured:
    """The same for all recorders together, where the tanks are shared out by sites."""
    found = recorded(bench, SITES)
    return Measured(
        100 * found.recorders,
        f"{len(SITES)} × `drydown record` taking what {TANKS} tanks of {len(SITES)} sites say{found.told}",
    )


@dataclass(frozen=True, slots=True)
class Load:
    """CPU time of all recorders over wall time, and how it came about."""

    recorders: float
    told: str


def recorded(bench: Workbench, names: Sequence[str]) -> Load:
    """What the recorders of some sites with so many tanks in all take. Raises AssertionError."""
    with tempfile.TemporaryDirectory(dir=bench.folder) as place, ExitStack() as stack:
        folder, tanks = Path(place), [f"heron-{i}" for i in range(1, TANKS // len(names) + 1)]
        configs = [write_site(folder, name, tanks, bench.broker.port) for name in names]
        sites = [load(config) for config in configs]
        records = [
            stack.enter_context(running("record", "--config", config, log=Path(f"{config}.log")))
            for config in configs
        ]

        def used() -> tuple[float, float, float]:
            broker = cpu_seconds(bench.broker.pid)
            return time.monotonic(), sum(record.cpu_seconds for record in records), broker

        with Watchers(sites) as watchers:
            time.sleep(SETTLES)
            before = used()
            time.sleep(WATCHED)
            length, recorders, broker = (end - start for start, end in zip(before, used(), strict=True))
            resident = max(record.resident for record in records)
            for record in records:
                record.check()
        rows = {site.site: stored(site.store_path) for site in sites}
    assert rows == watchers.rows, f"{watchers.rows} rows were said, {rows} were recorded"
    return Load(
        recorders / length,
        f", {SERIES} series each at 1 Hz and an estimate a minute, {sum(rows.values()):,} rows and none "
        f"missing; each recorder holds at most {resident / 1e6:.0f} MB, and mosquitto took "
        f"{100 * broker / length:.1f} % of a core: {WATCHED:g} s, without the first {SETTLES:g} s",
    )


class Watchers:
    """A watcher's voice for each tank of some sites, which says once a second what a simulated tank reads."""

    def __init__(self, sites: Sequence[Site]) -> None:
        self.rows = Counter[str]()  # that were said of each site
        self._late = 0.0  # s
        for site in sites:
            site.folder.mkdir(exist_ok=True)
        self._voices = [Voice(site, tank, seed) for site in sites for seed, tank in enumerate(site.tank)]
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run, name="watchers", daemon=True)

    def __enter__(self) -> "Watchers":
        self._thread.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        """Returns when the recorder has confirmed everything."""
        self._done.set()
        self._thread.join()
        if kind is None:
            assert self._late < 1.0, f"the tanks fell {self._late:.1f} s behind: too much else goes on here"
            until(self._is_confirmed, what="everything is confirmed")
        for voice in self._voices:
            voice.publisher.close()

    def _is_confirmed(self) -> bool:
        for voice in self._voices:
            voice.publisher.pump()
        return not any(voice.publisher.unconfirmed for voice in self._voices)

    def _run(self) -> None:
        """The tanks take turns within the second, as nobody keeps step between boards."""
        for voice in self._voices:
            voice.publisher.start()
        second, begun = 0, time.monotonic()
        while not self._done.is_set():
            for i, voice in enumerate(self._voices):
                time.sleep(max(0.0, begun + second + i / TANKS - time.monotonic()))
                self.rows[voice.site] += voice.say(is_estimate_due=(second - i) % 60 == 0)
            second += 1
        self._late = time.monotonic() - begun - second


class Voice:
    """One tank."""

    def __init__(self, site: Site, tank: Tank, seed: int) -> None:
        self.site = site.site
        scenario = scenario_of(tank)
        probes = replace(scenario.probes, kit=EVERYTHING)
        self._live = LiveTank(replace(scenario, switches=(1.0,), vent_openings=(), probes=probes), seed)
        self._vessel = vessel_of(tank)
        self._dead = float(self._vessel.volume(tank.standpipe))
        self._topics = TankTopics(site.site, tank.name)
        numbers = BatchCounter(site.folder / f"batches-{tank.name}")
        shelf = DiskShelf(site.folder / f"waiting-{tank.name}.sqlite3", 1e8)
        self.publisher = Publisher(site.broker, self._topics, numbers, shelf, wake=lambda: None)

    def say(self, *, is_estimate_due: bool) -> int:
        """What the probes read now; returns how many rows that makes in a store."""
        now = time.time()
        read = dict(self._live.look(time.monotonic()).readings)
        volume = float(self._vessel.volume(read["fuel/level"]))
        read |= {"fuel/volume": volume, "fuel/drawable": max(0.0, volume - self._dead)}
        body = wire.readings([Reading(name, now, value) for name, value in read.items()], float)
        self.publisher.say_series(self._topics.readings, body)
        if not is_estimate_due:
            return len(read)
        self.publisher.say_series(self._topics.estimates, wire.estimate(believed(now), float))
        return len(read) + ESTIMATE_ROWS


def believed(now: float) -> Estimate:
    """An estimate with everything in it: its numbers change nothing in what it costs to keep it."""
    spread, soon = Spread(0.004, 0.003, 0.006), Spread(now + 3600, now + 3000, now + 4500)
    return Estimate(
        time=now,
        run_time=3600.0,
        methanol=spread,
        water=spread,
        water_floor=spread,
        emission=spread,
        methanol_done_at=soon,
        dry_at=soon,
        methanol_done=False,
        verdict=Verdict.DRYING,
    )


def stored(path: Path) -> int:
    """How many rows of readings and estimates a store holds."""
    with closing(open_for_reading(path)) as store:
        return int(store.execute("SELECT count(*) FROM reading").fetchone()[0])


ONE = Figure("tanks_200_cpu", "% of a core", 20, "at most", measure_one)
SHARED = Figure("tanks_200_shared_cpu", "% of a core", 20, "at most", measure_shared)
