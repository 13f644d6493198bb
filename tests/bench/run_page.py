"""run_page_kb, run_page_ready_ms: the page of a run of four hours, the first that a Chromium opens."""

import statistics
import time
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from playwright.sync_api import Browser, Page, sync_playwright

from bench import review
from bench.figure import Figure, Measured
from bench.workbench import Workbench
from browser.conftest import CHROMIUM, SWITCHES
from support.processes import running, wait_until_said

SLOWER = 4  # times: about a cheap phone
OPENED = 9  # times each way
LEFT_ALONE = 3.0  # s: to look for anything in a page puts a script of 330 kB into it first
READY = "performance.getEntriesByName('drydown:run').map((one) => one.startTime)[0]"
SIZES = """[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]
    .map((one) => [one.name.split('/').slice(3).join('/').split('?')[0] || 'page', one.encodedBodySize])"""


@dataclass(frozen=True, slots=True)
class Visit:
    """How long until all was drawn (ms), and of each file and answer how much was sent (bytes)."""

    ready: float
    sizes: dict[str, int]


@dataclass(frozen=True, slots=True)
class Visits:
    """`clicked` on the run in the list of runs, and `typed` as an address into a tab that was just opened."""

    clicked: list[Visit]
    typed: list[Visit]


def _kilobytes(bench: Workbench) -> Measured:
    sizes = _visits(bench).typed[0].sizes
    largest = sorted(sizes.items(), key=lambda one: -one[1])[:4]
    named = ", ".join(f"{name.rpartition('/')[2]} {size / 1000:.1f}" for name, size in largest)
    return Measured(
        sum(sizes.values()) / 1000, f"{len(sizes)} files and answers as they were sent; largest: {named}"
    )


def _ready(bench: Workbench) -> Measured:
    visits = _visits(bench)
    return Measured(
        _median(visits.clicked),
        f"from the click in the list of runs until all is drawn, at a {SLOWER}th of this machine's speed;"
        f" {_span(visits.clicked)}. Not counted here: the address typed into a new tab, median"
        f" {_median(visits.typed):.0f} ms, {_span(visits.typed)}",
    )


def _median(visits: Sequence[Visit]) -> float:
    return statistics.median(one.ready for one in visits)


def _span(visits: Sequence[Visit]) -> str:
    times = [one.ready for one in visits]
    return f"{len(times)} visits, from {min(times):.0f} to {max(times):.0f} ms"


@cache
def _visits(bench: Workbench) -> Visits:
    """Each in a browser's profile of its own, which keeps nothing of another."""
    assert CHROMIUM.exists(), f"{CHROMIUM} is not installed: `apt install chromium`"
    boathouse = bench.reviewed
    runs = f"http://127.0.0.1:{boathouse.pages_port}/tanks/{review.TANK}/runs"
    with (
        running("serve", "--config", boathouse.config, log=boathouse.folder / "run_page.log") as serve,
        sync_playwright() as playwright,
    ):
        wait_until_said(serve, "http://")
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        found = Visits([], [])
        for _ in range(OPENED):
            found.clicked.append(_visit(browser, runs, typed=False))
            found.typed.append(_visit(browser, runs, typed=True))
        browser.close()
    return found


def _visit(browser: Browser, runs: str, *, typed: bool) -> Visit:
    page = _slow_page(browser)
    page.goto(runs)
    (run,) = page.locator(".runs h2 a").all()
    if typed:
        address = str(run.evaluate("link => link.href"))
        page.context.close()
        page = _slow_page(browser)
        page.goto(address)
    else:
        run.click(no_wait_after=True)
    time.sleep(LEFT_ALONE)
    page.locator("main[data-drawn]").wait_for(timeout=20_000)
    visit = Visit(float(page.evaluate(READY)), dict(page.evaluate(SIZES)))
    assert page.locator("[data-panels] canvas").count() > 4, "the page has not drawn what it should"
    page.context.close()
    return visit


def _slow_page(browser: Browser) -> Page:
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return page


KILOBYTES = Figure("run_page_kb", "kB", 150.0, "at most", _kilobytes)
READY_AFTER = Figure("run_page_ready_ms", "ms", 1000.0, "at most", _ready)
