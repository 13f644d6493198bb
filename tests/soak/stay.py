"""How each process grows in memory and file handles, while two tanks live many times as fast as real ones.

The watcher's clock, its polling, the boards and the tanks all go at one pace: at ten times, half an hour is
five ordinary hours in every respect, readings, messages, rows, estimates and runs. Batch after batch is
bubbled and drawn. What a process holds depends on how far a run has come, so each look is held against those
at the same point of other cycles: the slope is the median of all those pairs (Theil and Sen's, over whole
cycles), which no step or peak moves.

A slope per day of ordinary use is what grew, over the tank's time; per day of the wall clock it is as many
times more as the pace says.
"""

import json
import re
import statistics
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations
from pathlib import Path

import httpx
import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.config.model import Site, Tank
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.quantities import MEASURED
from drydown.simulate.instruments import EVERYTHING
from drydown.simulate.scene import Scenario, Spell
from support.broker import free_port, mosquitto
from support.processes import Running, running, wait_until_said
from support.site_file import write_site

SITE, TANKS, BOARD = "quay", ("heron", "plover"), "board"
CYCLE = 9000.0  # s of the tank's time, of a batch from the filling of the tank to that of the next
BLOWN, DRAWN = (900.0, 3000.0), (7200.0, 8400.0)  # s of it, from when to when
LOOKS = 40  # at the processes, in a cycle
WARM_UP = 1 / 3  # of the time is not counted: at least one cycle, in which everything is done once
UNITS = Path(__file__).parents[2] / "deploy/units"
PAGES = ("/", "/tanks/heron", "/tanks/heron/runs", "/api/v1/tanks/heron")
DAY = 86_400.0


@dataclass(frozen=True, slots=True)
class Look:
    """A process at one moment: bytes of resident memory, and open file handles."""

    memory: int
    handles: int


@dataclass(frozen=True, slots=True)
class Stay:
    """Bytes a day of ordinary use by which each process grew, and how many file handles more it had."""

    slopes: dict[str, float]
    handles: dict[str, int]


def stay(hours: float, pace: float) -> Stay:
    """Watch, record and serve for so many hours of the tanks, which go at `pace`."""
    with tempfile.TemporaryDirectory(prefix="drydown-soak-") as name, mosquitto(Path(name)) as broker:
        folder = Path(name)
        config = write_site(folder, SITE, TANKS, broker.port, EVERYTHING)
        pages = free_port()
        config.write_text(f"{config.read_text()}\n[serve]\nport = {pages}\n")
        cycles = max(3, round(3600.0 * hours / CYCLE))
        fast = (sys.executable, "-m", "soak.fast_watch")
        by_site, log = ("--config", config), partial(Path.joinpath, folder)
        with (
            running(config, str(pace), log=log("watch.log"), program=fast, **allocation("watch")) as watch,
            running("record", *by_site, log=log("record.log"), **allocation("record")) as record,
            running("serve", *by_site, log=log("serve.log"), **allocation("serve")) as serve,
            boards(load(config), pace),
        ):
            wait_until_said(serve, "http://")
            processes = {"watch": watch, "record": record, "serve": serve}
            seen = _looks(processes, pages, cycles, pace)
    counted = {name: looks[max(1, round(WARM_UP * cycles)) * LOOKS :] for name, looks in seen.items()}
    return Stay(
        {name: slope([look.memory for look in looks]) for name, looks in counted.items()},
        {name: looks[-1].handles - looks[-1 - LOOKS].handles for name, looks in counted.items()},
    )


def allocation(name: str) -> dict[str, str]:
    """How a service's unit has the C library keep its memory."""
    unit = (UNITS / f"drydown-{name}.service").read_text()
    return dict(re.findall(r"^Environment=(MALLOC_\w+)=(\w+)$", unit, re.MULTILINE))


def slope(sizes: Sequence[int]) -> float:
    """Bytes a day of the tank's time: the median over all pairs of looks that are whole cycles apart."""
    grown = [
        (sizes[after] - sizes[before]) / (after - before)
        for phase in range(LOOKS)
        for before, after in combinations(range(phase, len(sizes), LOOKS), 2)
    ]
    return statistics.median(grown) * LOOKS / CYCLE * DAY


def _looks(
    processes: Mapping[str, Running], pages: int, cycles: int, pace: float
) -> Mapping[str, Sequence[Look]]:
    begun, seen = time.monotonic(), {name: list[Look]() for name in processes}
    for count in range(1, cycles * LOOKS + 1):
        while time.monotonic() - begun < count * CYCLE / LOOKS / pace:
            time.sleep(1.0)
            _ask(pages)
        for name, process in processes.items():
            process.check()
            handles = len(list(Path(f"/proc/{process.pid}/fd").iterdir()))
            seen[name].append(Look(process.resident, handles))
    return seen


def _ask(pages: int) -> None:
    """What a person looks at now and then, and a page that is opened and left again."""
    home = f"http://127.0.0.1:{pages}"
    for page in PAGES:
        httpx.get(home + page, timeout=30)
    with httpx.stream("GET", f"{home}/api/v1/events", timeout=30) as events:
        next(events.iter_lines())


@contextmanager
def boards(site: Site, pace: float) -> Iterator[None]:
    """A board at each tank that tells each second of its clock what its probes read, while this lasts."""
    done = threading.Event()
    client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
    client.connect("127.0.0.1", site.broker.port)
    client.loop_start()
    stories = {TankTopics(SITE, tank.name).probe(BOARD): _story(tank) for tank in site.tank}

    def send() -> None:
        begun, cycle = time.monotonic(), -1
        while not done.wait(1.0 / pace):
            now = (time.monotonic() - begun) * pace
            if now // CYCLE > cycle:  # the tank is filled with another batch
                cycle = int(now // CYCLE)
                tanks = {topic: LiveTank(story, seed=cycle) for topic, story in stories.items()}
            for topic, tank in tanks.items():
                read = tank.look(now).readings
                client.publish(topic, json.dumps([_record(name, read[name]) for name in EVERYTHING]))

    thread = threading.Thread(target=send, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
        client.disconnect()
        client.loop_stop()


def _story(tank: Tank) -> Scenario:
    """A batch from a full tank to an empty one."""
    scenario = scenario_of(tank)
    begins, ends = DRAWN
    drawing = Spell(begins, ends, scenario.tank.vessel.volume(tank.height or 0.0) / (ends - begins))
    return replace(
        scenario,
        probes=replace(scenario.probes, kit=EVERYTHING),
        switches=BLOWN,
        drawings=(drawing,),
    )


def _record(name: str, value: float | bool) -> dict[str, object]:
    quantity = MEASURED[name]
    if quantity.is_boolean:
        return {"n": name, "vb": bool(value)}
    return {"n": name, "u": quantity.unit, "v": round(quantity.from_si(value), 6)}
