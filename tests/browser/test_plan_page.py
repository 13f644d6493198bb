"""What a start would bring, asked on a page that works without scripts."""

from pathlib import Path

import pytest
from playwright.sync_api import expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from support.axe import violations
from support.demo_place import demo_place

pytestmark = [pytest.mark.broker, pytest.mark.browser]


def test_what_if_the_fuel_were_at_40_degrees(tmp_path: Path, open_page: Opener) -> None:
    with demo_place(tmp_path) as place:
        place.play(5)
        page = open_page(f"{place.address}/tanks/heron/plan", expected="422")
        expect(page.locator(".planned").first).to_contain_text("If you start now: methanol gone in about")
        page.get_by_label("Fuel at, in °C").fill("400")
        page.get_by_role("button", name="Work it out").click()
        expect(page.get_by_role("alert")).to_contain_text("from −10 °C to 60 °C")
        assert violations(page) == []
        page.get_by_label("Fuel at, in °C").fill("40")
        page.keyboard.press("Enter")
        expect(page.locator(".planned").nth(1)).to_contain_text(
            "With the fuel at 40 °C: methanol gone in about"
        )
        for view in in_each_view(page):
            assert violations(page) == [], view
            assert not is_too_wide(page)
            picture(page, f"plan-{view}")
        plain = open_page(page.url, java_script_enabled=False)
        expect(plain.locator(".planned").nth(1)).to_contain_text("With the fuel at 40 °C")
