"""The page of tests in a real browser: entered without instruction, refused beside the field, released."""

import re
from collections.abc import Iterator

import httpx
import pytest
from playwright.sync_api import expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from support.axe import violations
from support.demo_place import DemoPlace, demo_place

pytestmark = [pytest.mark.broker, pytest.mark.browser]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    with demo_place(tmp_path_factory.mktemp("tested")) as place:
        place.play(50)
        yield place


def test_from_the_tank_to_a_release(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron", expected="422", java_script_enabled=False)
    page.locator("summary", has_text="Tell the tank").click()
    page.get_by_role("link", name="Enter a test").click()
    expect(page.locator(".headline")).to_have_text("Don't use it yet. Not as it should be: Methanol.")
    with place.living():
        page.locator("summary", has_text="Appearance").click()
        page.get_by_label("bright and clear").check()
        page.get_by_role("button", name="Enter it").locator("visible=true").click()
        expect(page.get_by_role("status")).to_have_text("Taken into the record.")
        page.locator("summary", has_text="Soap").click()
        page.get_by_label("Acid that the sample took").fill("0,6")
        page.get_by_label("Fuel in the sample").fill("12 g")
        page.get_by_role("button", name="Enter it").locator("visible=true").click()
        expect(page.get_by_role("alert")).to_have_text("This has to be a number from 0.1 to 500.")
        expect(page.locator("[aria-invalid]")).to_be_focused()  # so that it is in sight
        expect(page.get_by_label("Acid that the sample took")).to_have_value("0,6")
        page.get_by_label("Fuel in the sample").fill("12")
        page.get_by_role("button", name="Enter it").locator("visible=true").click()
        expect(page.get_by_role("status")).to_have_text("Taken into the record.")
        page.reload()
        expect(page.locator(".result.beyond").first).to_contain_text(re.compile(r"Soap 150\smg"))
        page.get_by_role("button", name="Release it all the same").click()
        page.reload()
        expect(page.get_by_text("Released by somebody at the page on")).to_be_visible()
    told = httpx.get(f"{place.address}/api/v1/tanks/heron/release", trust_env=False).json()
    assert (told["clear"], told["against"]) == (False, ["methanol", "soap-test"])
    assert "drydown has not tested this fuel" in told["said"]


def test_every_form_is_open_to_everybody(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron/tests")
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    for view in in_each_view(page):
        assert not is_too_wide(page)
        assert violations(page) == []
        picture(page, f"tests-{view}")
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.set_viewport_size({"width": 390, "height": 844})
    assert not is_too_wide(page)
