"""The page of a run that goes on tells by itself what came since."""

from pathlib import Path

import httpx
import pytest
from playwright.sync_api import expect

from browser.conftest import Opener, picture
from support.demo_place import demo_place

pytestmark = [pytest.mark.broker, pytest.mark.browser]


def test_what_comes_is_told_without_loading_the_page_again(tmp_path: Path, open_page: Opener) -> None:
    with demo_place(tmp_path) as place:
        place.play(40)
        place.watcher.catch_up(0)
        (run,) = httpx.get(f"{place.address}/api/v1/tanks/heron/runs", trust_env=False).json()
        page = open_page(f"{place.address}/tanks/heron/runs/{run['start']}")
        expect(page.locator("main[data-drawn]")).to_be_visible()
        told, at = page.locator(".going-on").inner_text(), page.locator("[data-at]").inner_text()
        page.evaluate("window.isTheSame = true")
        place.play(78)
        place.watcher.catch_up(0)
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")  # as after a locked screen
        expect(page.locator(".happened")).to_contain_text("pause")
        expect(page.locator(".going-on")).not_to_have_text(told)
        expect(page.locator("[data-at]")).not_to_have_text(at)  # whoever was at the end is there again
        end = page.locator("[data-at]").inner_text()
        expect(page.locator(".going-on")).to_contain_text(f"until {end}")
        told = page.locator(".going-on").inner_text()
        place.play(90)
        place.watcher.catch_up(0)
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        expect(page.locator(".going-on")).not_to_have_text(told)  # and so on
        assert page.evaluate("window.isTheSame")
        picture(page, "run-goes-on-390")
