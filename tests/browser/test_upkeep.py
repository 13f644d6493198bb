"""Drawing and upkeep in a real browser: asked in litres, done with one tap, open to everybody."""

import re
import time
from collections.abc import Iterator

import httpx
import pytest
from playwright.sync_api import expect

from browser.conftest import SCHEMES, Opener, is_too_wide, picture
from support.axe import violations
from support.demo_place import DemoPlace, served_demo
from support.drawn_store import write_draws
from support.waiting import wait_for

pytestmark = [pytest.mark.broker, pytest.mark.browser]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """A tank that was drawn from in the days before its story begins."""
    folder = tmp_path_factory.mktemp("upkeep")
    with served_demo(folder, lambda store: write_draws(store, time.time() - 60)) as place:
        place.play(1)
        yield place


def test_from_the_tank_to_what_was_done(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron", expected="422", java_script_enabled=False)
    page.get_by_role("link", name="Drawing and upkeep").click()
    expect(page.locator(".headline")).to_contain_text("can be drawn, in")
    page.get_by_label("How much do you want to draw, in L?").fill("two cans")
    page.get_by_role("button", name="How long does it take?").click()
    expect(page.get_by_role("alert")).to_have_text("This has to be a number from 0 to 2000.")
    page.get_by_label("How much do you want to draw").fill("20")
    page.get_by_role("button", name="How long does it take?").click()
    expect(page.locator(".advice")).to_have_text(re.compile(r"20\sL take .+ \(.+ to .+\)\."))
    expect(page.get_by_text("Change the element: fuel runs much more slowly")).to_be_visible()
    cloth = page.locator(".result", has_text="Cover’s cloth")
    expect(cloth).to_contain_text("▲ due")
    with place.living():
        cloth.get_by_role("button", name="Done today").click()
        expect(page.get_by_role("status")).to_contain_text("Taken into the record")
        wait_for(lambda: _last(place, "cover-cloth"))
    page.reload()
    expect(cloth).to_contain_text("somebody at the page")
    expect(cloth).not_to_contain_text("▲ due")


def test_it_is_open_to_everybody(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron/upkeep?volume=20")
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == []
    picture(page, "upkeep-390-dark")
    assert not is_too_wide(page)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not is_too_wide(page)


def _last(place: DemoPlace, part: str) -> float | None:
    parts = httpx.get(f"{place.address}/api/v1/tanks/heron/upkeep", trust_env=False).json()["parts"]
    last: float | None = next(one["last"] for one in parts if one["part"] == part)
    return last
