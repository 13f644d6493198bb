"""Batches in a real browser: what came out and where fuel went, told with a tap, found again by a word."""

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
    with demo_place(tmp_path_factory.mktemp("batches")) as place:
        place.play(50)
        yield place


def test_where_a_litre_went_is_found_again(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron", expected="422")
    with place.living():
        page.locator("summary", has_text="Tell the tank").click()
        page.get_by_role("button", name="Milky").click()
        expect(page.locator("h1")).to_have_text("Batches")
        page.goto(f"{place.address}/tanks/heron")
        page.locator("summary", has_text="Tell the tank").click()
        page.get_by_label("How much, in L").fill("two cans")
        page.get_by_label("Into what").fill("the launch")
        page.get_by_role("button", name="Note where it went").click()
        expect(page.locator("main")).to_contain_text("This has to be a number from 0 to 2000.")
        page.go_back()
        page.locator("summary", has_text="Tell the tank").click()
        page.get_by_label("How much, in L").fill("37,5")
        page.get_by_label("Into what").fill("the launch")
        page.get_by_role("button", name="Note where it went").click()
        expect(page.locator("h1")).to_have_text("Batches")
    page.reload()
    page.get_by_label("Which batch was it?").fill("LAUNCH")
    page.get_by_role("button", name="Find it").click()
    expect(page.get_by_role("status")).to_have_text("1 batch, the newest first.")
    expect(page.locator(".card")).to_contain_text("went into the launch (somebody at the page)")
    expect(page.locator(".card")).to_contain_text("Drained something milky")
    for view in in_each_view(page):
        assert not is_too_wide(page)
        assert violations(page) == []
        picture(page, f"batches-{view}")
    page.get_by_label("Which batch was it?").fill("ferry")
    page.get_by_role("button", name="Find it").click()
    expect(page.get_by_role("status")).to_contain_text("Nothing is called that among 1 recorded.")


def test_programs_and_spreadsheets_get_the_same(place: DemoPlace) -> None:
    api = f"{place.address}/api/v1/tanks/heron"
    (batch,) = httpx.get(f"{api}/batches", trust_env=False).json()
    assert batch["sent"][0]["volume"] == pytest.approx(0.0375)
    head, row = httpx.get(f"{api}/batches.csv", trust_env=False).text.splitlines()
    assert head.startswith("name,start [Unix s],outcome,filled [L at 15 °C]")
    assert row.endswith("the launch")
