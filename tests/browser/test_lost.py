"""What the pages say when the board, the server or the watcher is gone, and what when it is back."""

import re
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Route, expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from drydown.config.load import load
from support.axe import violations
from support.broker import Mosquitto, free_port
from support.demo_place import DemoPlace, recording, serving
from support.processes import running, wait_until_said
from support.site_file import write_site

OLD = re.compile(r"What stands below is old: it came \d+ s ago\.")

pytestmark = [pytest.mark.broker, pytest.mark.browser]


@pytest.fixture
def emergency(tmp_path: Path, broker: Mosquitto) -> Iterator[DemoPlace]:
    """The vent was shut too early; the pages are not served yet."""
    place = DemoPlace(tmp_path, broker.port)
    with recording(place.site), place:
        place.play(87.5)
        yield place


def test_the_demo_is_killed(open_page: Opener, tmp_path: Path) -> None:
    log, port = tmp_path / "demo.log", free_port()
    with running("demo", "--port", str(port), log=log) as demo:
        wait_until_said(demo, "The page of the tank", 30)
        page = open_page(f"http://127.0.0.1:{port}", expected="ERR_")
        expect(page.locator("[data-lost]")).to_be_hidden()
        demo.signal(signal.SIGTERM)
        expect(page.get_by_role("alert").first).to_contain_text("No word from the board", timeout=8000)
        expect(page.locator("[data-lost-age]")).to_have_text(OLD)
        assert not is_too_wide(page)
        picture(page, "lost-390-light")
        demo.wait(10)


def test_a_board_without_power_says_nothing_at_all(emergency: DemoPlace, open_page: Opener) -> None:
    with serving(emergency.config) as server:
        page = open_page(emergency.address, expected="ERR_")
        expect(page.locator("[data-part=age]")).to_contain_text("as of")
        page.clock.install()
        page.reload()
        expect(page.locator("#alarm-vent-closed")).to_be_visible()
        server.pause()
        page.wait_for_timeout(1000)  # what was under way when it stopped arrives, so that silence begins
        page.clock.fast_forward(2000)
        expect(page.locator("[data-lost]")).to_be_hidden()
        page.clock.fast_forward(7000)
        expect(page.locator("[data-lost]")).to_contain_text("No word from the board")
        page.clock.fast_forward(300_000)
        expect(page.locator("[data-lost-age]")).to_contain_text("it came 5 min ago")
        server.resume()
        expect(page.locator("[data-lost]")).to_be_hidden()


def test_an_alarm_that_nobody_takes_goes_on_standing(emergency: DemoPlace, open_page: Opener) -> None:
    with serving(emergency.config):
        page = open_page(emergency.address, expected="503|ERR_")
        button = page.locator("#alarm-vent-closed").get_by_role("button")
        emergency.watcher.close()
        expect(page.locator("[data-lost]")).to_contain_text("Nobody watches the tank.", timeout=4000)
        button.click()
        expect(page.locator("[data-refused]")).to_contain_text("The watcher does not answer")
        expect(button).to_be_enabled()
        picture(page, "away-390-light")


def test_it_can_be_seen_with_keys_alone(emergency: DemoPlace, open_page: Opener) -> None:
    with serving(emergency.config), emergency.living():
        page = open_page(emergency.address, 1280, expected="ERR_")
        held_back: list[Route] = []
        page.route("**/events", lambda route: held_back.append(route))
        page.reload()
        button = page.locator("#alarm-vent-closed").get_by_role("button")
        for key in ("Tab", "Tab", "Tab"):  # past the way to what matters and the site's name
            page.keyboard.press(key)
        expect(button).to_be_focused()
        button.evaluate("button => { button.title = 'as it was'; }")
        held_back[0].continue_()
        expect(button).not_to_have_attribute("title", "as it was")
        expect(button).to_be_focused()
        page.keyboard.press("Enter")
        expect(page.locator("#alarm-vent-closed .standing")).to_contain_text("Seen by somebody at the page")


def test_a_page_without_a_watcher_shows_itself_when_it_comes(
    tmp_path: Path, broker: Mosquitto, open_page: Opener
) -> None:
    config = write_site(tmp_path, "boathouse", ["heron", "plover"], broker.port, ["fuel/temperature"])
    config.write_text(config.read_text().replace("[broker]", f"[serve]\nport = {free_port()}\n\n[broker]"))
    home = f"http://127.0.0.1:{load(config).serve.port}"
    with serving(config):
        tank, front = (open_page(home + path, expected="503|ERR_") for path in ("/tanks/plover", "/"))
        for page in (tank, front):
            expect(page.locator("h1")).to_have_text("The watcher is away")
            expect(page.get_by_role("status")).to_have_text("This page shows itself as soon as it can.")
        picture(tank, "without-watcher-390-light")
        with running("watch", "--config", config, log=tmp_path / "watch.log"):
            expect(tank.locator("h1")).to_have_text("plover")
            expect(tank.locator(".headline")).to_have_text("The tank is at rest.")
            expect(front.locator("h1")).to_have_text("boathouse")
            expect(front.locator(".tanks li")).to_have_count(2)
            for view in in_each_view(front):
                assert violations(front) == []
                picture(front, f"tanks-{view}")
        for page in (tank, front):
            expect(page.locator("[data-lost]")).to_contain_text("Nobody watches the tank.")
        with running("watch", "--config", config, log=tmp_path / "watch.log"):
            for page in (tank, front):
                expect(page.locator("[data-lost]")).to_be_hidden()
            front.get_by_role("link", name="heron").click()
            expect(front.locator("h1")).to_have_text("heron")


def test_a_page_that_there_is_not(emergency: DemoPlace, open_page: Opener) -> None:
    with serving(emergency.config):
        page = open_page(f"{emergency.address}/tanks/egret", expected="404|ERR_")
        expect(page.locator("h1")).to_have_text("There is nothing here")
        expect(page.locator("main")).to_contain_text("There is no tank of that name. There are: heron.")
        page.get_by_role("link", name="To the tanks").click()
        expect(page.locator("h1")).to_have_text("heron")
