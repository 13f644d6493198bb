"""Nothing keeps people out: WCAG 2.2 A and AA by axe-core, on every page and in every state."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import Opener, in_each_view
from support.axe import violations
from support.broker import Mosquitto
from support.demo_place import DemoPlace, demo_place, recording, serving
from support.served import served
from support.site_file import write_site

pytestmark = [pytest.mark.broker, pytest.mark.browser]


def check(page: Page) -> None:
    found = {view: violations(page) for view in in_each_view(page)}
    assert {view: broken for view, broken in found.items() if broken} == {}


@pytest.fixture(scope="module")
def alarmed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """The vent was shut on a running blower."""
    with demo_place(tmp_path_factory.mktemp("alarmed")) as place:
        place.play(87.5)
        yield place


def test_at_rest_and_drying(tmp_path: Path, open_page: Opener) -> None:
    with demo_place(tmp_path) as place:
        place.play(1)
        page = open_page(place.address)
        expect(page.locator(".headline")).to_have_text("The fuel is settling.")
        check(page)
        place.play(50)
        page.reload()
        expect(page.locator("[data-run]")).to_be_visible()
        page.get_by_text("The same in numbers").click()
        check(page)


def test_an_alarm_with_everything_open(alarmed: DemoPlace, open_page: Opener) -> None:
    page = open_page(alarmed.address, expected="422")
    expect(page.locator(".alarm.emergency")).to_be_visible()
    page.locator("summary", has_text="Tell the tank").click()
    page.get_by_label("What happened").evaluate("field => field.removeAttribute('maxlength')")
    page.get_by_label("What happened").fill("opened the window " * 30)
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".answered.refused")).to_be_visible()
    check(page)


def test_dry_with_an_alarm_that_is_over(tmp_path: Path, open_page: Opener) -> None:
    with demo_place(tmp_path) as place:
        place.play(150)
        page = open_page(place.address)
        expect(page.locator(".headline")).to_have_text("The fuel is dry.")
        check(page)


@pytest.mark.parametrize("path", ["/settings", "/enter", "/tanks/egret"])
def test_settings_door_and_error(alarmed: DemoPlace, open_page: Opener, path: str) -> None:
    page = open_page(alarmed.address + path, expected="404")
    expect(page.locator("h1")).to_be_visible()
    check(page)


def test_lost(tmp_path: Path, broker: Mosquitto, open_page: Opener) -> None:
    place = DemoPlace(tmp_path, broker.port)
    with recording(place.site), place:
        place.play(87.5)
        with serving(place.config):
            page = open_page(place.address, expected="ERR_")
            expect(page.locator(".alarm.emergency")).to_be_visible()
        expect(page.locator("body")).to_have_class(re.compile(r"\bold\b"), timeout=12_000)
        check(page)


def test_the_list_and_nobody_there(tmp_path: Path, open_page: Opener) -> None:
    with served(write_site(tmp_path, "boathouse", ["heron", "plover"], 1)) as api:
        page = open_page(str(api.base_url), expected="503|ERR_")
        expect(page.locator("h1")).to_have_text("The watcher is away")
        check(page)
