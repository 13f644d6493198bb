"""The blend for the cold in a real browser: asked without instruction, answered, kept out of nobody's way."""

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
    with demo_place(tmp_path_factory.mktemp("blended")) as place:
        place.play(1)
        yield place


def test_asked_and_answered(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron")
    page.get_by_role("link", name="A blend for the cold").click()
    for label, answer in (
        ("How much the vehicle", "60"),
        ("How much is in it now", "70"),
        ("How much of that is your own", "30"),
        ("The coldest night", "-2"),
        ("Your own fuel’s", "4"),
        ("The diesel", "-15"),
    ):
        page.get_by_label(label).fill(answer)
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("alert")).to_have_text("This has to be a number from 0 to 60.")
    assert violations(page) == []
    picture(page, "blend-refused-390-light")
    page.get_by_label("How much is in it now").fill("20")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".headline")).to_contain_text("of diesel")
    for view in in_each_view(page):
        assert not is_too_wide(page)
        assert violations(page) == []
        picture(page, f"blend-{view}")


def test_programs_get_the_same(place: DemoPlace) -> None:
    asked = {"size": 0.06, "holds": 0.02, "share": 0.3, "low": 273.15, "diesel": 258.15, "cloud": 279.15}
    answer = httpx.get(f"{place.address}/api/v1/blend", params=asked, trust_env=False).json()
    assert answer["possible"]
    assert answer["own"] == pytest.approx(0.06 * 3 / 21 - 0.006)
    nothing = httpx.get(f"{place.address}/api/v1/blend", params={**asked, "low": 250.0}, trust_env=False)
    assert nothing.json()["possible"] is False
