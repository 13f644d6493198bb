"""How each process grows in memory and file handles, while two tanks are watched at ten times their pace."""

import json
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import httpx
import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.topics import TankTopics
from drydown.config.load import load
from drydown.config.model import Site
from drydown.probes.simulated import LiveTank, scenario_of
from drydown.quantities import MEASURED
from drydown.simulate.instruments import EVERYTHING
from support.broker import free_port, mosquitto
from support.processes import Running, running
from support.site_file import write_site

SITE, TANKS, BOARD = "quay", ("heron", "plover"), "board"
RATE = 10.0  # messages of each board a second: ten times the usual
PACE = 10.0  # of the simulated tanks' time
LOOK = 15.0  # s between two looks at the processes
PAGES = ("/", "/tanks/heron", "/tanks/heron/runs", "/api/v1/tanks/heron")
DAY = 86_400.0


@dataclass(frozen=True, slots=True)
class Stay:
    """MB a day by which each process grew, and how many file handles more it had in the end."""

    slopes: dict[str, float]
    handles: dict[str, int]


def stay(minutes: float) -> Stay:
    """Watch, record and serve for so long; the first third, in which everything warms up, is not counted."""
    with tempfile.TemporaryDirectory(prefix="drydown-soak-") as name, mosquitto(Path(name)) as broker:
        folder = Path(name)
        config = write_site(folder, SITE, TANKS, broker.port, EVERYTHING)
        pages = free_port()
        config.write_text(f"{config.read_text()}\n[serve]\nport = {pages}\n")
        site = load(config)
        with (
            running("watch", "--config", config, log=folder / "watch.log") as watch,
            running("record", "--config", config, log=folder / "record.log") as record,
            running("serve", "--config", config, log=folder / "serve.log") as serve,
            boards(site),
        ):
            return _looked_at({"watch": watch, "record": record, "serve": serve}, pages, 60 * minutes)


def _looked_at(processes: dict[str, Running], pages: int, seconds: float) -> Stay:
    begun = time.monotonic()
    seen: dict[str, list[tuple[float, int, int]]] = {name: [] for name in processes}
    while (passed := time.monotonic() - begun) < seconds:
        time.sleep(LOOK)
        for page in PAGES:
            httpx.get(f"http://127.0.0.1:{pages}{page}", timeout=30)
        if passed < seconds / 3:
            continue
        for name, process in processes.items():
            process.check()
            handles = len(list(Path(f"/proc/{process.pid}/fd").iterdir()))
            seen[name].append((passed, process.resident, handles))
    slopes, handles_grown = {}, {}
    for name, looks in seen.items():
        times, sizes, handles_open = zip(*looks, strict=True)
        slopes[name] = statistics.linear_regression(times, sizes).slope * DAY / 1e6
        handles_grown[name] = handles_open[-1] - handles_open[0]
    return Stay(slopes, handles_grown)


@contextmanager
def boards(site: Site) -> Iterator[None]:
    """A board at each tank that sends what its probes read, while the block lasts."""
    done = threading.Event()
    client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
    client.connect("127.0.0.1", site.broker.port)
    client.loop_start()
    tanks = {}
    for tank in site.tank:
        scenario = scenario_of(tank)
        whole = replace(scenario, probes=replace(scenario.probes, kit=EVERYTHING))
        tanks[TankTopics(SITE, tank.name).probe(BOARD)] = LiveTank(whole)

    def send() -> None:
        begun = time.monotonic()
        while not done.wait(1 / RATE):
            now = (time.monotonic() - begun) * PACE
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


def _record(name: str, value: float | bool) -> dict[str, object]:
    quantity = MEASURED[name]
    if quantity.is_boolean:
        return {"n": name, "vb": bool(value)}
    return {"n": name, "u": quantity.unit, "v": round(quantity.from_si(value), 6)}
