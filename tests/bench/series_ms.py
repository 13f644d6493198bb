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
FIRST, ASKED = 40, 60


def measure(bench: Workbench) -> Measured:
    """Against the real server on loopback, until the last byte is there."""
    boathouse = bench.reviewed
    log = boathouse.folder / "series.log"
    with running("serve", "--config", boathouse.config, log=log) as serve:
        wait_until_said(serve, "http://")
        connection = http.client.HTTPConnection("127.0.0.1", boathouse.pages_port, timeout=10)
        taken, before = [], serve.cpu_seconds
        for nth in range(FIRST):
            took, body = _ask(connection, review.START + nth)
            _check(body, review.SECONDS - nth)
            taken.append(took)
        worked = (serve.cpu_seconds - before) * 1000 / FIRST
        kept = [_ask(connection, review.START + FIRST - 1)[0] for _ in range(ASKED)]
        connection.close()
    return Measured(
        percentile(taken, 0.95),
        f"{FIRST} spans of four hours, each asked for the first time, so that nothing of it is kept:"
        f" {len(review.READ)} series of {review.SECONDS} readings, {POINTS} points at most,"
        f" {len(body) / 1000:.0f} kB compressed; the very first {taken[0]:.0f} ms, half within"
        f" {percentile(taken, 0.5):.0f} ms, the longest {max(taken):.0f} ms; the server works {worked:.0f} ms"
        f" on each; asked for again, the p95 of {ASKED} is {percentile(kept, 0.95):.1f} ms",
    )


def _ask(connection: http.client.HTTPConnection, start: int) -> tuple[float, bytes]:
    """How many milliseconds it took, and what came."""
    names = [("name", name) for name in review.READ]
    query = urlencode([*names, ("points", str(POINTS)), ("start", str(start))])
    begun = time.perf_counter()
    connection.request(
        "GET", f"/api/v1/tanks/{review.TANK}/series?{query}", headers={"Accept-Encoding": "gzip"}
    )
    answer = connection.getresponse()
    body = answer.read()
    assert answer.status == 200, f"the series were answered with {answer.status}"
    return (time.perf_counter() - begun) * 1000, body


def _check(body: bytes, readings: int) -> None:
    found = json.loads(zlib.decompress(body, wbits=31))
    assert len(found) == len(review.READ), "not every series came"
    for one in found:
        assert POINTS / 2 < len(one["time"]) <= POINTS, f"{one['name']} has {len(one['time'])} points"
        assert sum(one["count"]) == readings, f"{one['name']} does not stand for every reading"


FIGURE = Figure("series_ms", "ms", 50.0, "at most", measure)
"""The p95 of first answers."""
