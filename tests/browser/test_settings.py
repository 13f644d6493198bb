"""Units, decimal mark and clock as chosen: pages, events and charts follow; a wrong cookie does no harm."""

import re
from collections.abc import Iterator

import httpx
import pytest
from playwright.sync_api import expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from drydown_api.tokens import Right, TokenFile
from support.demo_place import DemoPlace, demo_place

pytestmark = [pytest.mark.broker, pytest.mark.browser]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    with demo_place(tmp_path_factory.mktemp("liked")) as place:
        place.play(50)
        yield place


def test_what_is_chosen_is_followed_everywhere(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron")
    page.get_by_role("link", name="Units and clock").click()
    for view in in_each_view(page):
        assert not is_too_wide(page)
        picture(page, f"settings-{view}")
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not is_too_wide(page)
    for words in ("°F", "US gallons", "0,5", "4:40 pm"):
        page.get_by_label(words, exact=True).check()
    page.get_by_role("button", name="Show everything like this").click()
    expect(page).to_have_url(f"{place.address}/tanks/heron")
    expect(page.locator("[data-part=age]")).to_have_text(re.compile(r"as of \d{1,2}:\d\d [ap]m"))
    expect(page.locator(".degrees")).to_have_text(re.compile(r"^\d+ °F$"))
    expect(page.locator(".litres")).to_have_text(re.compile(r"^\d+ gal$"))
    expect(page.locator(".contents")).to_contain_text(re.compile(r"limit 0,20\s%"))
    expect(page.locator("[data-summary]")).to_contain_text(re.compile(r"its limit is 0,20\s%.*\d+\s°F"))
    assert not re.search(r"\d\s(°C|L)\b", page.locator("main").inner_text())
    place.play(50.5)
    before = page.locator("[data-part=age]").inner_text()
    with place.living():  # events follow too
        expect(page.locator("[data-part=age]")).not_to_have_text(before)
    expect(page.locator(".degrees")).to_have_text(re.compile(r"^\d+ °F$"))
    picture(page, "drying-other-units-390-dark")
    page.get_by_role("link", name="Units and clock").click()
    expect(page.get_by_label("°F")).to_be_checked()


def test_who_may_only_look_chooses_too(place: DemoPlace) -> None:
    secret = TokenFile(place.site.tokens_path).make("Finch", Right.VIEW)
    asks = {"X-Forwarded-For": "192.0.2.7", "Authorization": f"Bearer {secret}"}
    with httpx.Client(base_url=place.address, trust_env=False, headers=asks) as phone:
        answer = phone.post("/settings", data={"temperature": "fahrenheit", "to": "/tanks/heron"})
        assert (answer.status_code, answer.headers["location"]) == (303, "/tanks/heron")
        search = "/tanks/heron/runs?words=ferry"
        assert f'value="{search}"' in phone.get("/settings", headers={"Referer": place.address + search}).text
        cookie = answer.headers["set-cookie"].lower()
        assert all(part in cookie for part in ("httponly", "samesite=lax"))
        assert "°F" in phone.get("/tanks/heron").text
        assert phone.post("/settings", data={}, headers={"Sec-Fetch-Site": "cross-site"}).status_code == 403
    stranger = {"X-Forwarded-For": "192.0.2.7"}
    assert httpx.post(f"{place.address}/settings", headers=stranger, trust_env=False).status_code == 401


@pytest.mark.parametrize("kept", ["kelvin.pints.x.13", "", "....", '"<script>"', "fahrenheit" * 300])
def test_a_cookie_that_means_nothing_changes_nothing(place: DemoPlace, kept: str) -> None:
    answer = httpx.get(
        f"{place.address}/tanks/heron", headers={"Cookie": f"drydown-liking={kept}"}, trust_env=False
    )
    assert answer.status_code == 200
    assert 'data-temperature="celsius"' in answer.text


def test_it_leads_back_to_our_own_pages_alone(place: DemoPlace) -> None:
    answer = httpx.post(f"{place.address}/settings", data={"to": "https://evil.example/"}, trust_env=False)
    assert answer.headers["location"] == "/"
