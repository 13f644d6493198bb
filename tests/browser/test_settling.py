"""Before the blower runs, in a real browser: what settled is told, the list before a start ticked."""

from collections.abc import Iterator

import httpx
import pytest
from playwright.sync_api import expect

from browser.conftest import SCHEMES, Opener, is_too_wide, picture
from support.axe import violations
from support.demo_place import MINUTE, DemoPlace, served_demo
from support.waiting import wait_for

pytestmark = [pytest.mark.broker, pytest.mark.browser]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """A tank that has settled for a while."""
    with served_demo(tmp_path_factory.mktemp("settling")) as place:
        place.play(12)
        place.watcher.catch_up(0)
        yield place


def test_from_settling_to_the_start(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron")
    settled = page.get_by_role("region", name="What has settled")
    expect(settled).to_contain_text("and more have fallen below the standpipe.")
    expect(settled).to_contain_text("Drain first at about")
    assert violations(page) == []
    picture(page, "settling-390-light")
    assert not is_too_wide(page)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not is_too_wide(page)
    page.evaluate("document.documentElement.style.fontSize = ''")
    page.get_by_role("link", name="Go through the list before a start").click()
    expect(page.locator(".headline")).to_have_text("1 thing is not as it should be.")
    expect(page.locator(".beyond")).to_contain_text("The vent is shut: open it.")
    page.get_by_label("The drain is shut.").check()
    page.get_by_label("No flame, spark or heater is near").check()
    with place.living():
        page.get_by_role("button", name="I have looked at these").click()
        expect(page.get_by_role("status")).to_contain_text("Taken into the record")
        wait_for(lambda: len(_looked_at(place)) == 2)
    page.reload()
    expect(page.locator(".within", has_text="The drain is shut.")).to_contain_text("somebody at the page at")
    assert _looked_at(place) == {"drain-closed", "no-flame"}
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == []
    picture(page, "start-390-dark")
    assert not is_too_wide(page)
    page.goto(f"{place.address}/tanks/heron")
    with place.living(60 * MINUTE):
        expect(settled).to_be_hidden()


def _looked_at(place: DemoPlace) -> set[str]:
    told = httpx.get(f"{place.address}/api/v1/tanks/heron/start-list", trust_env=False).json()
    return {one["item"] for one in told["asked"] if one["time"]}
