"""page_kb, sse_delay_p99, sse_clients: a tank's page as a phone loads it, and how soon it shows a reading.

A delay begins when the watcher tells a reading on its socket, a moment after the probe was read. It ends
when the page that holds it is drawn (one page, in Chromium), or has arrived over loopback (many pages).
"""

import asyncio
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress

import httpx
from playwright.sync_api import Page, expect, sync_playwright

from bench.boathouse import Afternoon, Boathouse
from bench.figure import Figure, Measured
from bench.percentile import percentile
from bench.workbench import Workbench
from browser.conftest import CHROMIUM, SWITCHES
from drydown.bus.local_client import WatcherError, follow
from support.demo_place import demo_place
from support.processes import Running, running, wait_until_said

TANK = "heron"
READING = "fuel/temperature"
LASTS = 40.0  # s
PAGES = 100
EAR = 0.05  # s by which this process may hear of a reading later than the server does
LOADED = """[...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")]
    .filter((one) => !one.name.endsWith("/events"))
    .map((one) => [new URL(one.name).pathname, one.encodedBodySize])"""
WATCH_DRAWN = """() => { window.drawn = []; document.addEventListener("drydown:view", ({ detail }) =>
    requestAnimationFrame(() => window.drawn.push([detail.at, Date.now() / 1000]))); }"""
UNSEEN = "/worker.js", "/static/drydown.webmanifest", "/static/icon-192.png", "/static/drop.svg"
"""What a browser loads beside a page without saying so to it."""

Moment = tuple[float, float]
"""The tank's time of what was told or shown, and when that was; both in Unix s."""


def _page_kb(bench: Workbench) -> Measured:
    with demo_place(bench.folder) as place, _phone() as page:
        place.play(50)
        page.goto(f"{place.address}/tanks/{TANK}")
        expect(page.locator("[data-plots] canvas")).to_have_count(2)
        sizes = dict(page.evaluate(LOADED))
        with httpx.Client(base_url=place.address, trust_env=False) as client:
            sizes |= {path: _sent(client, path) for path in UNSEEN}
    largest = sorted(sizes.items(), key=lambda one: -one[1])[:4]
    named = ", ".join(f"{path.rpartition('/')[2]} {size / 1000:.1f}" for path, size in largest)
    return Measured(sum(sizes.values()) / 1000, f"{len(sizes)} files and answers as sent; largest: {named}")


def _sent(client: httpx.Client, path: str) -> int:
    with client.stream("GET", path) as answer:
        return sum(map(len, answer.iter_raw()))


def _delay(bench: Workbench) -> Measured:
    with _at_work(bench.boathouse) as serve, _Told(bench.boathouse) as told, _phone() as page:
        page.goto(f"http://127.0.0.1:{bench.boathouse.pages_port}/tanks/{TANK}")
        page.evaluate(WATCH_DRAWN)
        page.wait_for_timeout(LASTS * 1000)
        late = _delays(told.moments, [(at, when) for at, when in page.evaluate("window.drawn")])
        serve.check()
    return Measured(
        percentile(late, 0.99) * 1000,
        f"{len(late)} readings from the watcher's socket to a frame of Chromium; half within"
        f" {percentile(late, 0.5) * 1000:.0f} ms",
    )


def _clients(bench: Workbench) -> Measured:
    with _at_work(bench.boathouse) as serve, _Told(bench.boathouse) as told:
        before = serve.cpu_seconds
        heard = asyncio.run(_listen(bench.boathouse.pages_port))
        share, resident = (serve.cpu_seconds - before) / LASTS, serve.resident
    assert all(len(moments) > LASTS / 4 for moments in heard), "not every page was kept fresh"
    late = [delay for moments in heard for delay in _delays(told.moments, moments)]
    return Measured(
        percentile(late, 0.99) * 1000,
        f"{PAGES} pages open for {LASTS:.0f} s, {len(late)} arrivals over loopback; half within"
        f" {percentile(late, 0.5) * 1000:.0f} ms; serve holds {resident / 1e6:.0f} MB and uses"
        f" {share * 100:.0f} % of a core",
    )


def _delays(told: list[Moment], shown: list[Moment]) -> list[float]:
    """How late each reading was shown that was told while the page was open, in s."""
    begun, ended = shown[0][1], shown[-1][1]
    found = []
    for time_of_reading, told_at in told:
        if begun <= told_at < ended - 2.0:
            asked = (when for at, when in shown if at >= max(time_of_reading, told_at - EAR))
            found.append(max(0.0, next(asked) - told_at))
    assert len(found) > LASTS / 2, "too few readings were told"
    return found


@contextmanager
def _at_work(boathouse: Boathouse) -> Iterator[Running]:
    """Watcher and server of the boathouse, its blowers running; the server."""
    config, folder = boathouse.config, boathouse.folder
    with (
        Afternoon(boathouse, 1.0),
        running("watch", "--config", config, log=folder / "live.watch.log", **boathouse.environment),
        running("serve", "--config", config, log=folder / "live.serve.log") as serve,
    ):
        wait_until_said(serve, "http://")
        time.sleep(10.0)  # all that is done once is done by then
        yield serve


@contextmanager
def _phone() -> Iterator[Page]:
    assert CHROMIUM.exists(), f"{CHROMIUM} is not installed: `apt install chromium`"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        yield browser.new_page(viewport={"width": 390, "height": 844})
        browser.close()


class _Told:
    """What the watcher tells of one probe, noted on a thread while the block lasts."""

    def __init__(self, boathouse: Boathouse) -> None:
        self.moments: list[Moment] = []
        self._socket = boathouse.site.socket_path
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> "_Told":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._loop.call_soon_threadsafe(self._task.cancel)
        self._thread.join()
        self._loop.close()

    def _run(self) -> None:
        self._task = self._loop.create_task(self._follow())
        with suppress(asyncio.CancelledError):
            self._loop.run_until_complete(self._task)

    async def _follow(self) -> None:
        with suppress(WatcherError):
            async for told in follow(self._socket):
                line = told["line"]
                if told["tank"] == TANK and line.get("name") == READING:
                    self.moments.append((line["time"], time.time()))


async def _listen(port: int) -> list[list[Moment]]:
    """What each of many pages hears."""
    return await asyncio.gather(*(_page(port) for _ in range(PAGES)))


async def _page(port: int) -> list[Moment]:
    reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=1_000_000)
    writer.write(f"GET /api/v1/tanks/{TANK}/events HTTP/1.1\r\nHost: localhost\r\n\r\n".encode())
    moments: list[Moment] = []
    with suppress(TimeoutError):
        async with asyncio.timeout(LASTS):
            at = 0.0
            while line := await reader.readline():
                if line.startswith(b"id: "):
                    at = float(line[4:])
                elif line.startswith(b"data: "):
                    moments.append((at, time.time()))
    writer.close()
    return moments


KILOBYTES = Figure("page_kb", "kB", 60.0, "at most", _page_kb)
DELAY = Figure("sse_delay_p99", "ms", 250.0, "at most", _delay)
CLIENTS = Figure("sse_clients", "ms", 1000.0, "at most", _clients)
"""The p99 of the delay; the goal is ours: pages are to stay live, and one person has two or three of them."""
