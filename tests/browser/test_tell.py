"""What a person tells a tank from its page, by touch and by keys; and what the board refuses, in words."""

from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from drydown_api.tokens import Right, TokenFile
from support.demo_place import DemoPlace, demo_place
from support.waiting import wait_for

pytestmark = [pytest.mark.broker, pytest.mark.browser]

TAKEN = "The tank has taken it."
SLOWLY = 6.0  # times as fast as a real tank: all this happens in the few minutes in which the vent is shut
GLOVED = 56  # CSS px: ours, for a thumb in a glove


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """The vent was shut on a running blower; the tank does not live on by itself."""
    with demo_place(tmp_path_factory.mktemp("telling")) as place:
        place.play(87.5)
        yield place


def opened(page: Page) -> Page:
    page.locator("summary", has_text="Tell the tank").click()
    return page


def form(page: Page, button: str) -> Locator:
    return page.locator("form", has=page.get_by_role("button", name=button))


def recorded(place: DemoPlace, command: str, **fields: Any) -> dict[str, Any]:
    """A command of that name and with these fields in the store, once it is there."""

    wanted = {"command": command} | fields

    def found() -> dict[str, Any] | None:
        path = f"{place.address}/api/v1/tanks/heron/happenings"
        happened = httpx.get(path, params={"kind": "command"}, trust_env=False).json()
        return next((body for body in happened if body.items() >= wanted.items()), None)

    return wait_for(found)


def test_one_button_opens_big_targets(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(place.address)
    assert page.locator(".tell form").first.is_hidden()
    opened(page)
    for view in in_each_view(page):
        assert not is_too_wide(page)
        for target in page.locator(".tell").locator("summary, button, input:visible, select, textarea").all():
            box = target.bounding_box()
            assert box
            assert min(box["height"], box["width"]) >= GLOVED
        picture(page, f"tell-{view}")


@pytest.mark.parametrize("width", [320, 390])
def test_it_holds_text_twice_as_large(place: DemoPlace, open_page: Opener, width: int) -> None:
    page = opened(open_page(place.address, width))
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not is_too_wide(page)
    picture(page, f"tell-{width}-text-200")


def test_all_of_it_by_keys_alone(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(place.address)
    page.locator("summary", has_text="Tell the tank").focus()
    page.keyboard.press("Enter")
    with place.living(SLOWLY):
        page.keyboard.press("Tab")
        expect(page.get_by_role("button", name="I am drawing")).to_be_focused()
        page.keyboard.press("Enter")
        expect(form(page, "I am drawing").get_by_role("status")).to_have_text(TAKEN)
        expect(page.get_by_role("button", name="I am drawing")).to_be_focused()
        recorded(place, "draw", who="somebody at the page")
        for _ in range(8):  # past draining, what came out of the drain, and where fuel went
            page.keyboard.press("Tab")
        expect(page.get_by_role("link", name="Enter a test")).to_be_focused()
        page.keyboard.press("Tab")
        page.keyboard.type("opened the window")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(form(page, "Write it down").get_by_role("status")).to_have_text(TAKEN)


def test_notes_and_stages(place: DemoPlace, open_page: Opener) -> None:
    page = opened(open_page(place.address))
    with place.living(SLOWLY):
        page.get_by_label("What happened").fill("opened the window: 5 °C outside")
        page.get_by_role("button", name="Write it down").click()
        expect(form(page, "Write it down").get_by_role("status")).to_have_text(TAKEN)
        expect(page.get_by_label("What happened")).to_have_value("")
        for words, stage in (("paused, goes on soon", "paused"), ("bubbling", "bubbling")):
            page.get_by_label("What it really is").select_option(words)
            page.get_by_role("button", name="Put the stage right").click()
            expect(form(page, "Put the stage right").get_by_role("status")).to_have_text(TAKEN)
            recorded(place, "correct-stage", stage=stage)
        recorded(place, "note", text="opened the window: 5 °C outside")


def test_what_the_board_does_not_take_is_said_in_words(place: DemoPlace, open_page: Opener) -> None:
    page = opened(open_page(place.address, expected="422"))
    too_long = "opened the window " * 30
    page.get_by_label("What happened").evaluate("field => field.removeAttribute('maxlength')")
    page.get_by_label("What happened").fill(too_long)
    page.get_by_role("button", name="Write it down").click()
    expect(form(page, "Write it down").get_by_role("status")).to_contain_text("500 characters")
    expect(page.get_by_label("What happened")).to_have_value(too_long)  # nothing typed is lost
    assert not is_too_wide(page)
    picture(page, "tell-refused-390-light")


def test_an_alarm_keeps_quiet_for_an_hour_but_no_emergency(place: DemoPlace, open_page: Opener) -> None:
    page = opened(open_page(place.address))
    with place.living(SLOWLY):
        quiet = page.get_by_role("button", name="Quiet for an hour: Stay out: vapour in the room")
        expect(page.locator(".quiet button")).to_have_count(1)  # none for the vent
        quiet.click()
        expect(page.locator("#alarm-keep-out .priority b")).to_have_text("Kept quiet")
        page.get_by_role("button", name="Let it speak again").click()
        expect(page.locator("#alarm-keep-out .priority b")).not_to_have_text("Kept quiet")
        recorded(place, "shelve", alarm="keep-out", duration=3600)


def test_who_may_only_look_sees_no_buttons(place: DemoPlace, open_page: Opener) -> None:
    secret = TokenFile(place.site.tokens_path).make("Finch's phone", Right.VIEW)
    page = open_page(f"{place.address}/static/look.css", expected="401|404")
    page.context.set_extra_http_headers({"X-Forwarded-For": "192.0.2.7", "Authorization": f"Bearer {secret}"})
    page.goto(f"{place.address}/tanks/heron")
    expect(page.locator(".alarm").first).to_be_visible()
    expect(page.locator("button:visible, summary:has-text('Tell')")).to_have_count(0)


def test_all_of_it_without_scripts(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(place.address, java_script_enabled=False, expected="409")
    with place.living(SLOWLY):
        page.locator("#alarm-vent-closed").get_by_role("button", name="I have seen it").click()
        expect(page.locator("#alarm-vent-closed .standing")).to_contain_text(
            "Seen by somebody at the page at"
        )
        expect(page.get_by_role("status").first).to_have_text(TAKEN)
        opened(page).get_by_label("What happened").fill("opened the window\nand the door")
        page.get_by_role("button", name="Write it down").click()
        recorded(place, "note", text="opened the window and the door")
        for button, command in (("I am drawing", "draw"), ("I am draining", "drain"), ("Quiet", "shelve")):
            opened(page).get_by_role("button", name=button).click()
            expect(page.get_by_role("status").first).to_have_text(TAKEN)
            recorded(place, command, who="somebody at the page")
        opened(page).get_by_label("What it really is").select_option("paused, goes on soon")
        page.get_by_role("button", name="Put the stage right").click()
        recorded(place, "correct-stage", stage="paused", who="somebody at the page")
