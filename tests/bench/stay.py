"""Minutes of the boathouse in real time, with watch, record and serve as processes, and what they used."""

import http.client
import json
import time
from dataclasses import dataclass

from bench.boathouse import Afternoon, Boathouse
from support.processes import Running, running, wait_until_said

STARTS = 8.0  # s from the beginning: the blowers
SETTLES = 30.0  # s from the beginning until CPU time is counted: all that is done once is done by then
WATCHED = 120.0  # s for which CPU time is counted
ASKED = 20  # times that each page and each route of the API is asked for
PATHS = (
    "/",
    "/tanks/heron",
    "/tanks/plover",
    "/openapi.json",
    "/api/v1/health",
    "/api/v1/tanks",
    "/api/v1/tanks/heron",
    "/api/v1/tanks/heron/runs",
    "/api/v1/tanks/heron/series?name=fuel/temperature&name=fuel/level&name=estimate/methanol",
)


@dataclass(frozen=True, slots=True)
class Stay:
    """CPU of the watcher as a share of one core, and resident memory at the end in bytes."""

    watch_cpu: float
    watch: int
    record: int
    serve: int
    length: float  # s


def stay(boathouse: Boathouse) -> Stay:
    """Let it all run, then ask for pages. Raises AssertionError if a part does not do its work."""
    config, folder = boathouse.config, boathouse.folder
    begun = time.monotonic()
    with (
        Afternoon(boathouse, STARTS),
        running("record", "--config", config, log=folder / "record.log") as record,
        running("watch", "--config", config, log=folder / "watch.log", **boathouse.environment) as watch,
        running("serve", "--config", config, log=folder / "serve.log") as serve,
    ):
        wait_until_said(serve, "http://")
        time.sleep(begun + SETTLES - time.monotonic())
        share = _cpu_share(watch, WATCHED)
        for process in (watch, record, serve):
            process.check()
        try:
            _ask(boathouse.pages_port)
        except (http.client.HTTPException, OSError) as error:
            raise AssertionError(f"the pages failed ({error!r}): {serve.log.read_text()[-500:]}") from error
        _check_work(boathouse)
        return Stay(share, watch.resident, record.resident, serve.resident, time.monotonic() - begun)


def _cpu_share(process: Running, seconds: float) -> float:
    before, begun = process.cpu_seconds, time.monotonic()
    time.sleep(seconds)
    return (process.cpu_seconds - before) / (time.monotonic() - begun)


def _ask(port: int) -> None:
    """Every page and route, again and again, with one page open all the while."""
    follower = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    follower.request("GET", "/api/v1/tanks/heron/events")
    assert follower.getresponse().read(20), "the page gets no events"
    for path in PATHS * ASKED:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request("GET", path, headers={"Accept-Encoding": "gzip"})
        answer = connection.getresponse()
        answer.read()
        assert answer.status in (200, 307), f"{path} was answered with {answer.status}"
        connection.close()
    follower.close()


def _check_work(boathouse: Boathouse) -> None:
    """Both blowers are known to run, and methanol is being estimated: so the load was real."""
    for tank in boathouse.site.tank:
        connection = http.client.HTTPConnection("127.0.0.1", boathouse.pages_port, timeout=10)
        connection.request("GET", f"/api/v1/tanks/{tank.name}")
        state = json.loads(connection.getresponse().read())
        connection.close()
        assert state["blower"]["running"] is True, f"{tank.name}: the watcher does not see the blower run"
        assert state["estimate"]["methanol"], f"{tank.name}: methanol is not being estimated"
        missing = tank.probes.keys() - state["readings"].keys()
        assert not missing, f"{tank.name}: no readings of {', '.join(missing)}"
        bad = {name: line for name, line in state["readings"].items() if "quality" in line}
        assert not bad, f"{tank.name}: readings that are not good: {bad}"
