"""The page on a phone without the board: it opens, it says how old it is, and it is never taken for new."""

import re
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import Opener, is_too_wide, picture
from drydown_pages.render import STATIC
from support.axe import violations
from support.broker import Mosquitto
from support.demo_place import DemoPlace, recording, serving
from support.waiting import wait_for

pytestmark = [pytest.mark.broker, pytest.mark.browser]

KEEPS: Any = {"service_workers": "allow", "expected": "ERR_|Failed to load|CONNECTION"}


@pytest.fixture
def place(tmp_path: Path, broker: Mosquitto) -> Iterator[DemoPlace]:
    place = DemoPlace(tmp_path, broker.port)
    with recording(place.site), place:
        place.play(50)
        yield place


def kept(page: Page, path: str) -> None:
    """Wait until this is kept on the device."""
    wait_for(lambda: is_kept(page, path))


def is_kept(page: Page, path: str) -> bool:
    """Whether it is."""
    found: bool = page.evaluate("(path) => caches.match(path).then(Boolean)", path)
    return found


def test_without_the_board_the_last_page_opens_as_old(place: DemoPlace, open_page: Opener) -> None:
    with ExitStack() as board:
        board.enter_context(serving(place.config))
        page = open_page(place.address, **KEEPS)
        assert page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        kept(page, "/tanks/heron")
        page.reload()
        expect(page.locator("[data-lost]")).to_be_hidden()
        kept(page, "/kept/tanks/heron")
        headline = page.locator(".headline").inner_text()
    page.clock.install()  # an hour passes before it is opened again
    page.clock.fast_forward(0)
    for path in ("/tanks/heron", "/"):  # as it was, and as the icon on the home screen opens it
        page.goto(place.address + path)
        expect(page).to_have_url(f"{place.address}/tanks/heron")
        expect(page.locator("body")).to_have_class(re.compile(r"\bold\b"))
        expect(page.locator("[data-lost]")).to_contain_text("No word from the board")
        expect(page.locator("[data-lost-age]")).to_contain_text("What stands below is old: it came")
        expect(page.locator(".headline")).to_have_text(headline)
    page.clock.fast_forward(3 * 3_600_000)
    expect(page.locator("[data-lost-age]")).to_contain_text("it came 3 h ago")
    assert not is_too_wide(page)
    assert violations(page) == []
    picture(page, "kept-390-light")
    with serving(place.config):
        page.reload()
        expect(page.locator("[data-lost]")).to_be_hidden()
        expect(page.locator("body")).not_to_have_class(re.compile(r"\bold\b"))


def test_what_was_heard_last_is_what_is_kept(place: DemoPlace, open_page: Opener) -> None:
    with serving(place.config):
        page = open_page(place.address, **KEEPS)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        kept(page, "/tanks/heron")
        kept(page, "/kept/tanks/heron")
        before = page.locator("[data-part=age]").inner_text()
        page.evaluate("caches.open('drydown-kept').then((kept) => kept.delete('/kept/tanks/heron'))")
        place.play(52)
        expect(page.locator("[data-part=age]")).not_to_have_text(before)
        kept(page, "/kept/tanks/heron")  # ten seconds later at most
        last = "caches.match('/kept/tanks/heron').then((one) => one.json())"
        heard = page.evaluate(f"{last}.then((one) => one.view.parts.age.trim())")
    assert heard != before
    page.goto(f"{place.address}/tanks/heron")
    expect(page.locator("[data-part=age]")).to_have_text(heard)


def test_a_door_that_was_shut_takes_what_is_kept_with_it(place: DemoPlace, open_page: Opener) -> None:
    with serving(place.config):
        page = open_page(place.address, **KEEPS)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        kept(page, "/tanks/heron")
        page.context.set_extra_http_headers({"X-Forwarded-For": "192.0.2.7"})  # a stranger from now on
        page.goto(f"{place.address}/tanks/heron")
        expect(page.locator("h1")).to_have_text("Who is there?")
        wait_for(lambda: not is_kept(page, "/tanks/heron"))
        assert not is_kept(page, "/kept/tanks/heron")


def test_it_can_be_put_on_the_home_screen(place: DemoPlace, open_page: Opener) -> None:
    with serving(place.config):
        page = open_page(place.address, **KEEPS)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        devtools = page.context.new_cdp_session(page)
        manifest = devtools.send("Page.getAppManifest")
        assert manifest["errors"] == []
        assert manifest["url"].endswith("/static/drydown.webmanifest")
        errors = devtools.send("Page.getInstallabilityErrors")["installabilityErrors"]
        # a context of its own is what Chromium calls incognito, where nothing is ever installed
        assert [one["errorId"] for one in errors if one["errorId"] != "in-incognito"] == []


@pytest.mark.parametrize("size", [192, 512])
def test_the_icons_are_as_large_as_they_say(size: int) -> None:
    head = (STATIC / f"icon-{size}.png").read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n"  # PNG specification, sections 5.2 and 11.2.2
    assert [int.from_bytes(head[at : at + 4], "big") for at in (16, 20)] == [size, size]
