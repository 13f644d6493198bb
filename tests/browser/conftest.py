"""A real Chromium, and pages that fail their test when anything on them goes wrong or leads elsewhere."""

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, expect, sync_playwright

CHROMIUM = Path(os.environ.get("DRYDOWN_CHROMIUM", "/usr/bin/chromium"))
OUTPUT = Path(__file__).parents[1] / "output"
PICTURES = os.environ.get("DRYDOWN_PICTURES") != "0"
SWITCHES = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

PATIENCE = 30_000.0  # ms for what takes moments where nothing else runs
expect.set_options(timeout=PATIENCE)

BLOCKED = "Service Worker registration blocked by Playwright"

SCHEMES: tuple[Literal["light"], Literal["dark"]] = ("light", "dark")

Opener = Callable[..., Page]


@pytest.fixture(scope="package")  # while it lives, its event loop forbids any other in this process
def chromium() -> Iterator[Browser]:
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is not installed: `apt install chromium`")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        yield browser
        browser.close()


class Watch:
    """What went wrong on a page."""

    def __init__(self, context: BrowserContext, home: str, expected: str) -> None:
        self.faults: list[str] = []
        self._home, self._expected = home, expected
        context.on("request", self._on_request)
        context.on("weberror", lambda error: self.faults.append(f"error: {error.error}"))
        context.on("console", lambda message: self._on_console(message.type, message.text))

    def _on_request(self, request: Request) -> None:
        if not request.url.startswith(self._home):
            self.faults.append(f"request to elsewhere: {request.url}")

    def _on_console(self, kind: str, text: str) -> None:
        if kind in ("error", "warning") and not re.search(f"{self._expected}|{BLOCKED}", text):
            self.faults.append(f"console {kind}: {text}")


@pytest.fixture
def open_page(chromium: Browser) -> Iterator[Opener]:
    """`open_page(address, width=390, expected="", **context options)`; checks all pages at the end.

    `expected` is a pattern of what the console may say without being a fault.
    """
    contexts: list[tuple[BrowserContext, Watch]] = []

    def opened(
        address: str, width: int = 390, height: int = 844, expected: str = "^$", **options: Any
    ) -> Page:
        options.setdefault("service_workers", "block")  # most tests ask for what the board itself says
        context = chromium.new_context(viewport={"width": width, "height": height}, **options)
        context.set_default_timeout(PATIENCE)
        home = "/".join(address.split("/")[:3]) + "/"
        contexts.append((context, Watch(context, home, expected)))
        page = context.new_page()
        page.goto(address)
        return page

    yield opened
    for context, _ in contexts:
        context.close()
    assert [fault for _, watch in contexts for fault in watch.faults] == []


def in_each_view(page: Page) -> Iterator[str]:
    """Turn the page into what it is on a phone and on a desk, bright and dark; the name of each view."""
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            page.wait_for_timeout(250)  # the charts follow
            yield f"{width}-{scheme}"


def is_too_wide(page: Page) -> bool:
    """Whether the page can be scrolled sideways."""
    found: bool = page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
    return found


def picture(page: Page, name: str) -> None:
    """Keep a screenshot of the whole page for people to look at, where they ask for it: taking it is slow."""
    if PICTURES:
        OUTPUT.mkdir(exist_ok=True)
        page.screenshot(path=OUTPUT / f"{name}.png", full_page=True)
