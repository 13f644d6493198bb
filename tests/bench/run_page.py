"""run_page_kb, run_page_ready_ms: the page of a run of four hours, opened for the first time in Chromium."""

import statistics
import time
from functools import cache

import httpx
from playwright.sync_api import Browser, sync_playwright

from bench import review
from bench.figure import Figure, Measured
from bench.workbench import Workbench
from browser.conftest import CHROMIUM, SWITCHES
from support.processes import running, wait_until_said

SLOWER = 4  # times: about a cheap phone
OPENED = 9
LEFT_ALONE = 3.0  # s: to look for anything in a page puts a script of 330 kB into it first
READY = "performance.getEntriesByName('drydown:run').map((one) => one.startTime)[0]"
SIZES = """[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]
    .map((one) => [one.name.split('/').slice(3).join('/').split('?')[0] || 'page', one.encodedBodySize])"""

Opened = tuple[float, dict[str, int]]


def _kilobytes(bench: Workbench) -> Measured:
    (_, sizes), *_ = _opened(bench)
    largest = sorted(sizes.items(), key=lambda one: -one[1])[:4]
    named = ", ".join(f"{name.rpartition('/')[2]} {size / 1000:.1f}" for name, size in largest)
    return Measured(
        sum(sizes.values()) / 1000, f"{len(sizes)} files and answers as they were sent; largest: {named}"
    )


def _ready(bench: Workbench) -> Measured:
    times = [time for time, _ in _opened(bench)]
    return Measured(
        statistics.median(times),
        f"from the click until everything is drawn, at a {SLOWER}th of this machine's speed; the median of"
        f" {len(times)} first visits, from {min(times):.0f} to {max(times):.0f} ms",
    )


@cache
def _opened(bench: Workbench) -> list[Opened]:
    """Each time in a browser's profile of its own, in which nothing is cached."""
    assert CHROMIUM.exists(), f"{CHROMIUM} is not installed: `apt install chromium`"
    boathouse = bench.reviewed
    home = f"http://127.0.0.1:{boathouse.pages_port}"
    with (
        running("serve", "--config", boathouse.config, log=boathouse.folder / "run_page.log") as serve,
        sync_playwright() as playwright,
    ):
        wait_until_said(serve, "http://")
        (run,) = httpx.get(f"{home}/api/v1/tanks/{review.TANK}/runs", trust_env=False).json()
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        found = [_open(browser, f"{home}/tanks/{review.TANK}/runs/{run['start']}") for _ in range(OPENED)]
        browser.close()
    return found


def _open(browser: Browser, address: str) -> Opened:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(address)
    time.sleep(LEFT_ALONE)
    page.locator("main[data-drawn]").wait_for(timeout=20_000)
    ready, sizes = float(page.evaluate(READY)), dict(page.evaluate(SIZES))
    assert page.locator("[data-panels] canvas").count() > 4, "the page has not drawn what it should"
    context.close()
    return ready, sizes


KILOBYTES = Figure("run_page_kb", "kB", 150.0, "at most", _kilobytes)
READY_AFTER = Figure("run_page_ready_ms", "ms", 1000.0, "at most", _ready)
