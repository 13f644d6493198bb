"""series_ms: twelve series of four hours, read once a second, asked for as a browser does."""

import http.client
import json
import time
import zlib
from urllib.parse import urlencode

from bench import review
from bench.figure import Figure, Measured
from bench.percentile import percentile
from bench.workbench import Workbench
from support.processes import running, wait_until_said

POINTS = 2000
ASKED = 60
QUERY = urlencode([("name", name) for name in review.READ] + [("points", str(POINTS))])


def measure(bench: Workbench) -> Measured:
    """Against the real server on loopback, until the last byte is there."""
    boathouse = bench.reviewed
    log = boathouse.folder / "series.log"
    with running("serve", "--config", boathouse.config, log=log) as serve:
        wait_until_said(serve, "http://")
        connection = http.client.HTTPConnection("127.0.0.1", boathouse.pages_port, timeout=10)
        begun = time.perf_counter()
        _check(_ask(connection))
        first = (time.perf_counter() - begun) * 1000
        taken, before = [], serve.cpu_seconds
        for _ in range(ASKED):
            begun = time.perf_counter()
            body = _ask(connection)
            taken.append((time.perf_counter() - begun) * 1000)
        connection.close()
        worked = (serve.cpu_seconds - before) * 1000 / ASKED
    return Measured(
        percentile(taken, 0.95),
        f"{first:.0f} ms the first time, when nothing of the run is kept in memory yet; then {ASKED} requests"
        f" for {len(review.READ)} series of {review.SECONDS} readings, {POINTS} points at"
        f" most, {len(body) / 1000:.0f} kB compressed; half within {percentile(taken, 0.5):.1f} ms,"
        f" the longest {max(taken):.1f} ms; the server works {worked:.1f} ms on each",
    )


def _ask(connection: http.client.HTTPConnection) -> bytes:
    path = f"/api/v1/tanks/{review.TANK}/series?{QUERY}"
    connection.request("GET", path, headers={"Accept-Encoding": "gzip"})
    answer = connection.getresponse()
    body = answer.read()
    assert answer.status == 200, f"the series were answered with {answer.status}"
    return body


def _check(body: bytes) -> None:
    found = json.loads(zlib.decompress(body, wbits=31))
    assert len(found) == len(review.READ), "not every series came"
    for one in found:
        assert POINTS / 2 < len(one["time"]) <= POINTS, f"{one['name']} has {len(one['time'])} points"
        assert sum(one["count"]) == review.SECONDS, f"{one['name']} does not stand for every reading"


FIGURE = Figure("series_ms", "ms", 50.0, "at most", measure)
"""The p95."""
