"""A phone at the door: a token typed, a token from the picture code, one that may only look, a wrong one."""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from drydown_api.tokens import Right, TokenFile
from support.demo_place import DemoPlace, demo_place

pytestmark = [pytest.mark.broker, pytest.mark.browser]

VENT = "#alarm-vent-closed button"


@dataclass(frozen=True)
class Door:
    """The demo's tank in an emergency, and its tokens."""

    place: DemoPlace
    tokens: TokenFile

    def ask_by_name(self, page: Page) -> None:
        """From here on the page asks as a phone does that reached the board by another name."""
        page.context.set_extra_http_headers({"X-Forwarded-For": "192.0.2.7"})
        page.goto(f"{self.place.address}/tanks/heron")


@pytest.fixture(scope="module")
def door(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    with demo_place(tmp_path_factory.mktemp("door")) as place:
        place.play(87.5)
        yield Door(place, TokenFile(place.site.tokens_path))


@pytest.fixture
def phone(door: Door, open_page: Opener) -> Page:
    page = open_page(f"{door.place.address}/static/look.css", expected="401|404")  # its icon, before or after
    door.ask_by_name(page)
    return page


def test_whoever_types_a_token_gets_where_they_wanted(door: Door, phone: Page) -> None:
    expect(phone.get_by_role("heading", level=1)).to_have_text("Who is there?")
    for view in in_each_view(phone):
        assert not is_too_wide(phone)
        picture(phone, f"door-{view}")
    phone.get_by_label("Token").fill("a guess")
    phone.get_by_role("button", name="Let me in").click()
    expect(phone.get_by_role("alert")).to_contain_text("mistyped or revoked")
    picture(phone, "door-refused-1280-dark")
    phone.get_by_label("Token").fill(door.tokens.make("Wren's phone", Right.OPERATE))
    phone.keyboard.press("Enter")
    expect(phone.locator("h1")).to_have_text("heron")
    expect(phone.locator("[data-run]")).to_be_visible()  # its scripts run: a tap is heard
    with door.place.living(pace=6.0):  # slowly, so that the emergency lasts
        phone.locator(VENT).click()
        expect(phone.locator(".emergency .standing")).to_contain_text("Seen by Wren's phone")


def test_the_picture_code_lets_in_at_once_and_leaves_no_trace(door: Door, phone: Page) -> None:
    secret = door.tokens.make("Finch's phone", Right.VIEW)
    phone.goto(f"{door.place.address}/enter#{secret}")
    expect(phone.locator("h1")).to_have_text("heron")
    assert secret not in phone.evaluate("document.cookie + location.href")
    expect(phone.locator(".alarm").first).to_be_visible()
    expect(phone.locator(VENT)).to_be_hidden()  # may only look
