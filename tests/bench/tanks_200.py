"""tanks_200_cpu: what one recorder takes to keep what 200 tanks' watchers say through one mosquitto."""

import tempfile
import threading
import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from bench.figure import Figure, Measured
from bench.workbench import Workbench
from drydown.bus import wire
from drydown.bus.counter import Counter
from drydown.bus.publisher import Publisher
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
SERIES = len(EVERYTHING) + 2  # with the volume and what of it can be drawn, as a watcher says them
ESTIMATE_ROWS = 3 + 6 * 3
SETTLES = 15.0  # s until CPU time is counted
WATCHED = 60.0  # s for which it is counted


def measure(bench: Workbench) -> Measured:
    """CPU time of recorder and broker, while every tank has a connection, numbers and a cursor of its own."""
    names = [f"heron-{i}" for i in range(1, TANKS + 1)]
    with tempfile.TemporaryDirectory(dir=bench.folder) as place:
        config = write_site(Path(place), "boathouse", names, bench.broker.port)
        site = load(config)
        with running("record", "--config", config, log=Path(place) / "record.log") as record:
            with Watchers(site) as watchers:
                time.sleep(SETTLES)
                begun = time.monotonic()
                before = record.cpu_seconds, cpu_seconds(bench.broker.pid)
                time.sleep(WATCHED)
                length = time.monotonic() - begun
                after = record.cpu_seconds, cpu_seconds(bench.broker.pid)
                record.check()
            resident = record.resident
        rows = stored(site.store_path)
    assert rows == watchers.rows, f"{watchers.rows} rows were said, {rows} were recorded"
    recorder, broker = ((end - start) / length for start, end in zip(before, after, strict=True))
    return Measured(
        100 * recorder,
        f"one `drydown record` taking what {TANKS} tanks say, {SERIES} series each at 1 Hz and an estimate a "
        f"minute, {watchers.rows:,} rows in all and none missing; it holds {resident / 1e6:.0f} MB, and "
        f"mosquitto took {100 * broker:.1f} % of a core: {WATCHED:g} s, without the first {SETTLES:g} s",
    )


class Watchers:
    """A watcher's voice for each tank of a site, which says what a simulated tank reads, once a second."""

    def __init__(self, site: Site) -> None:
        self.rows = 0
        self._late = 0.0  # s
        site.folder.mkdir(exist_ok=True)
        self._voices = [Voice(site, tank, seed) for seed, tank in enumerate(site.tank)]
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
                self.rows += voice.say(is_estimate_due=(second - i) % 60 == 0)
            second += 1
        self._late = time.monotonic() - begun - second


class Voice:
    """One tank."""

    def __init__(self, site: Site, tank: Tank, seed: int) -> None:
        scenario = scenario_of(tank)
        probes = replace(scenario.probes, kit=EVERYTHING)
        self._live = LiveTank(replace(scenario, switches=(1.0,), vent_openings=(), probes=probes), seed)
        self._vessel = vessel_of(tank)
        self._dead = float(self._vessel.volume(tank.standpipe))
        self._topics = TankTopics(site.site, tank.name)
        counter = Counter(site.folder / f"batches-{tank.name}")
        self.publisher = Publisher(site.broker, self._topics, counter, wake=lambda: None)

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


FIGURE = Figure("tanks_200_cpu", "% of a core", 20, "at most", measure)
