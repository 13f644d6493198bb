"""Every page that there is, at both widths, bright and dark: open to everybody, no wider than the screen, and
with nothing to press that a thumb would miss."""

import re
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from fastapi.routing import APIRoute, iter_route_contexts
from playwright.sync_api import expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from drydown.config.load import load
from drydown_api.app import create_app
from support.axe import violations
from support.demo_place import DemoPlace, served_demo
from support.drawn_store import write_draws
from support.site_file import write_site

pytestmark = [pytest.mark.broker, pytest.mark.browser]

PAGES = {
    "/tanks/{tank}": "",
    "/tanks/{tank}/plan": "?fuel=warm",
    "/tanks/{tank}/runs": "",
    "/tanks/{tank}/runs/{start}": "",
    "/tanks/{tank}/runs/{start}/report": "",
    "/tanks/{tank}/compare": "?run={start}&run={before}",
    "/tanks/{tank}/trends": "",
    "/tanks/{tank}/batches": "",
    "/tanks/{tank}/tests": "",
    "/tanks/{tank}/upkeep": "?volume=20",
    "/tanks/{tank}/start": "",
    "/tanks/{tank}/when": "",
    "/tanks/{tank}/learned": "",
    "/blend": "",
    "/settings": "",
    "/enter": "",
}
"""Each page's route, and what is asked of it."""

NO_PAGES = {
    "/",
    "/worker.js",
    "/static/drydown.webmanifest",
}  # one leads to a page, the others are for browsers

LEAST = 44  # CSS px: WCAG 2.2, 2.5.5 (which is of level AAA, and the least that a glove hits)

OUT_OF_REACH = """(least) => [...document.querySelectorAll("a, button, input, select, textarea, summary")]
  .filter((one) => one.checkVisibility() && !one.matches(".skip"))
  .filter((one) => getComputedStyle(one).display !== "inline"
    || one.parentElement.textContent.trim() === one.textContent)
  .map((one) => (one.matches("[type=radio], [type=checkbox]") && (one.closest("label, .tick") ?? one)) || one)
  .map((one) => [one.textContent.trim() || one.name, one.getBoundingClientRect()])
  .filter(([, { width, height }]) => Math.min(width, height) < least)
  .map(([name, { width, height }]) => `${name}: ${width} × ${height}`)"""
"""What can be pressed and is smaller than that; a link within a sentence is as high as its line."""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """A tank that was drawn from some days ago, and whose fuel of today is dry."""
    folder = tmp_path_factory.mktemp("every-page")
    with served_demo(folder, lambda store: write_draws(store, time.time() - 60)) as place:
        place.play(150)
        place.watcher.catch_up(0)
        yield place


def test_no_page_is_left_out(tmp_path: Path) -> None:
    app = create_app(load(write_site(tmp_path, "boathouse", ["heron"], 1)))
    routes = [one.route for one in iter_route_contexts(app.routes)]
    asked = (one for one in routes if isinstance(one, APIRoute) and "GET" in (one.methods or ()))
    assert {one.path for one in asked if not one.include_in_schema} - NO_PAGES == PAGES.keys()


def test_a_run_of_many_days_names_them(place: DemoPlace, open_page: Opener) -> None:
    run = httpx.get(f"{place.address}/api/v1/tanks/heron/runs", trust_env=False).json()[1]
    page = open_page(f"{place.address}/tanks/heron/runs/{run['start']}")
    expect(page.locator("[data-at]")).to_have_text(re.compile(r"^\d\d:\d\d on \d+ [A-Z][a-z]+$"))
    expect(page.locator(".happened time").last).to_have_text(re.compile(" on "))
    picture(page, "run-of-many-days-390-light")


@pytest.mark.long
@pytest.mark.parametrize("route", PAGES)
def test_it_is_open_to_everybody(place: DemoPlace, open_page: Opener, route: str) -> None:
    runs = httpx.get(f"{place.address}/api/v1/tanks/heron/runs", trust_env=False).json()
    address = f"{place.address}{route}{PAGES[route]}"
    page = open_page(
        address.format(tank="heron", start=runs[0]["start"], before=runs[1]["start"]), expected="422"
    )
    expect(page.locator("h1")).to_be_visible()
    for view in in_each_view(page):
        assert (view, violations(page)) == (view, [])
        assert not is_too_wide(page)
        picture(page, f"every{route.format(tank='', start='one').replace('/', '-')}-{view}")
        assert page.evaluate(OUT_OF_REACH, LEAST) == []
    page.set_viewport_size({"width": 390, "height": 844})
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not is_too_wide(page)
