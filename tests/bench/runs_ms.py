"""runs_ms: the list of two hundred runs, as a browser asks for it of the real server."""

import http.client
import time

from bench.figure import Figure, Measured
from bench.percentile import percentile
from bench.workbench import Workbench
from support import weekly
from support.broker import free_port
from support.processes import running, wait_until_said

RUNS, DISTINCT, ASKED = 200, 4, 40
PAGES = ("/tanks/heron/runs", "/tanks/heron/trends")


def measure(bench: Workbench) -> Measured:
    """The p95 of the list; what is said besides: the first time after a start, and the trends."""
    folder = bench.folder / "runs"
    folder.mkdir()
    different = [weekly.run_of(batch, week) for week, batch in enumerate(weekly.batches(DISTINCT))]
    weekly.copied(folder / "written.sqlite3", different, RUNS, weekly.WEEK)
    config, port = weekly.site(folder, folder / "written.sqlite3"), free_port()
    config.write_text(config.read_text().replace("[broker]", f"[serve]\nport = {port}\n\n[broker]"))
    with running("serve", "--config", config, log=folder / "serve.log") as serve:
        wait_until_said(serve, "http://")
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        first = _ask(connection, PAGES[0])
        taken = [_ask(connection, PAGES[0]) for _ in range(ASKED)]
        before = serve.resident / 1e6
        trends = _ask(connection, PAGES[1])
        connection.close()
        after = serve.resident / 1e6
    return Measured(
        percentile(taken, 0.95),
        f"{RUNS} runs, asked for {ASKED} times; the first time after a start {first:.0f} ms, half of the rest"
        f" within {percentile(taken, 0.5):.0f} ms; the trends {trends:.0f} ms; the server holds"
        f" {before:.0f} MB, after the trends {after:.0f} MB",
    )


def _ask(connection: http.client.HTTPConnection, path: str) -> float:
    """How many milliseconds until the last byte is there."""
    begun = time.perf_counter()
    connection.request("GET", path, headers={"Accept-Encoding": "gzip"})
    answer = connection.getresponse()
    answer.read()
    assert answer.status == 200, f"{path} was answered with {answer.status}"
    return (time.perf_counter() - begun) * 1000


FIGURE = Figure("runs_ms", "ms", 200.0, "at most", measure)
"""The p95."""
