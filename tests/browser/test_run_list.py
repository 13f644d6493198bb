"""The list of a year's runs in real Chromium: found by day, end, alarms and words; ticked to be compared."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from support.axe import violations
from support.served import served
from support.weekly import year

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Of the list of a year's runs of heron."""
    with year(tmp_path_factory) as config, served(config) as client:
        yield f"{client.base_url}/tanks/heron/runs"


def test_each_run_says_what_came_of_it(address: str, open_page: Opener) -> None:
    page = open_page(address)
    expect(page.locator(".found")).to_have_text("52 runs, 1 to 20 here, the newest first.")
    first = page.locator(".runs li").first
    expect(first.get_by_role("heading")).to_have_text("heron, 21 May 2027")
    expect(first.locator("dd")).to_have_text(
        [
            re.compile(r"^Friday, \d\d:\d\d$"),  # as 21 May 2027 is, by Python's calendar
            re.compile(r"^1\d\d\sL$"),
            "1 h 30 min",
            re.compile(r"% \([\d.]+ to [\d.]+\s%\)$"),
            re.compile("alarm"),
        ]
    )
    expect(first.get_by_role("link", name="heron, 21 May 2027", exact=True)).to_have_attribute(
        "href", re.compile(r"^/tanks/heron/runs/\d+\.000$")
    )
    for view in in_each_view(page):
        assert not is_too_wide(page)
        assert violations(page) == []
        picture(page, f"runs-{view}")
    page.get_by_role("link", name="Older runs").click()
    expect(page.locator(".found")).to_have_text("52 runs, 21 to 40 here, the newest first.")


def test_they_are_found_while_one_writes(address: str, open_page: Opener) -> None:
    page = open_page(address)
    assert page.get_by_label("Words in name or notes").is_hidden()  # the runs come first
    page.get_by_text("Find a run").click()
    page.get_by_label("Words in name or notes").fill("july")
    expect(page.locator(".found")).to_have_text("5 runs of 52, the newest first.")
    expect(page).to_have_url(f"{address}?words=july")
    page.get_by_label("From").fill("2026-07-10")
    expect(page.locator(".found")).to_have_text("4 runs of 52, the newest first.")
    page.get_by_label("Words in name or notes").fill("")
    page.get_by_label("How it ended").select_option("broken off")
    expect(page.locator(".found")).to_have_text("4 runs of 52, the newest first.")
    expect(page.locator(".ending")).to_have_text(["broken off"] * 4)
    page.get_by_label("To", exact=True).fill("2026-07-09")
    expect(page.locator(".found")).to_have_text("None of its 52 runs is like that.")
    picture(page, "runs-none")


def test_without_scripts_a_button_finds_and_compares(address: str, chromium: Browser) -> None:
    context = chromium.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(address)
    page.get_by_text("Find a run").click()
    page.get_by_label("How it ended").select_option("dry")
    page.get_by_label("Only with alarms").check()
    page.get_by_role("button", name="Find").click()
    expect(page.locator(".found")).to_have_text(re.compile(r"^\d+ runs of 52, .*the newest first\.$"))
    assert set(page.locator(".ending").all_inner_texts()) == {"dry"}
    expect(page.get_by_label("Only with alarms")).to_be_checked()
    context.close()


def test_what_was_ticked_stays_ticked(address: str, open_page: Opener) -> None:
    page = open_page(address)
    button = page.get_by_role("button", name="Compare the ticked runs")
    expect(button).to_be_disabled()
    page.get_by_label("Compare heron, 21 May 2027").check()
    page.get_by_text("Find a run").click()
    page.get_by_label("Words in name or notes").fill("july")
    expect(page.locator(".runs li")).to_have_count(5)
    page.get_by_label("Compare heron, 3 July 2026").check()
    expect(page.locator("[data-compare-said]")).to_have_text("2 runs are ticked.")
    button.click()
    expect(page).to_have_url(re.compile(r"/tanks/heron/compare\?run=\d+\.000&run=\d+\.000$"))
