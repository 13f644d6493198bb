"""The page of a tank in real Chromium, while the tank lives: drying, an emergency, dry."""

import re
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from playwright.sync_api import Browser, Page, expect

from browser.conftest import Opener, in_each_view, is_too_wide, picture
from support.demo_place import DemoPlace, demo_place

pytestmark = [pytest.mark.broker, pytest.mark.browser]


@pytest.fixture(scope="module")
def drying(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """At minute 50, or a little later: the blower bubbles until 75."""
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(50)
        yield place


@pytest.fixture
def boathouse(tmp_path: Path) -> Iterator[DemoPlace]:
    """A tank whose story has not begun yet."""
    with demo_place(tmp_path) as place:
        yield place


def charted(page: Page) -> Page:
    expect(page.locator("[data-run]")).to_be_visible()
    expect(page.locator("[data-plots] canvas")).to_have_count(2)
    return page


def test_while_it_dries(drying: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(drying.address))
    expect(page.locator(".headline")).to_contain_text("Methanol")
    assert page.locator(".bubbles circle").count() > 0
    for view in in_each_view(page):
        assert not is_too_wide(page)
        picture(page, f"drying-{view}")


def test_it_keeps_itself_fresh_without_loading_again(drying: DemoPlace, open_page: Opener) -> None:
    page = open_page(drying.address)
    page.evaluate("window.loadedOnce = true")
    before = page.locator("[data-part=age]").inner_text()
    with drying.living():
        expect(page.locator("[data-part=age]")).not_to_have_text(before)
    assert page.evaluate("window.loadedOnce") is True
    expect(page.locator("[data-lost]")).to_be_hidden()


def test_the_run_is_told_in_words_and_numbers_too(drying: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(drying.address))
    summary = page.locator("[data-summary]").inner_text()
    assert re.search(
        r"methanol went from about [\d.]+\s% to about [\d.]+\s% \([\d.]+\s% to [\d.]+\s%\)", summary
    )
    assert re.search(r"the fuel went from \d+\s°C to \d+\s°C", summary)
    page.get_by_text("The same in numbers").click()
    rows = page.locator("[data-table] tr")
    assert 8 <= rows.count() <= 14
    assert rows.first.inner_text().split("\t") == ["Since the start", "Methanol", "Nine times in ten", "Fuel"]
    last = httpx.get(
        f"{drying.address}/api/v1/tanks/heron/series",
        params={"name": "estimate/methanol", "points": 20000},
        trust_env=False,
    ).json()[0]["value"][-1]
    share = float(re.findall(r"([\d.]+)\s%", rows.last.inner_text())[0])
    assert share == pytest.approx(100 * last, rel=0.06)


def test_the_chart_comes_after_the_page_is_painted(drying: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(drying.address))
    painted = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
    fetched = "performance.getEntriesByType('resource').find((one) => one.name.includes('uPlot')).startTime"
    assert page.evaluate(f"{fetched} > {painted}")


def test_a_page_without_the_chart_library_is_whole(drying: DemoPlace, chromium: Browser) -> None:
    context = chromium.new_context()
    faults: list[str] = []
    context.on("weberror", lambda error: faults.append(str(error.error)))
    page = context.new_page()
    page.route("**/vendor/**", lambda route: route.abort())
    page.goto(drying.address)
    expect(page.locator("[data-summary]")).to_contain_text("methanol went from about")
    assert page.locator("canvas").count() == 0
    assert page.locator("[data-table] tr").count() > 8
    assert faults == []
    context.close()


def test_the_first_load_is_small(drying: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(drying.address))
    sizes = page.evaluate(
        """[...performance.getEntriesByType('navigation'), ...performance.getEntriesByType('resource')]
            .filter((one) => !one.name.includes('/api/')).map((one) => one.encodedBodySize)"""
    )
    assert sum(sizes) < 60_000


@pytest.mark.parametrize(("width", "size"), [(320, "100%"), (390, "200%"), (1280, "200%")])
def test_small_screens_and_large_text(drying: DemoPlace, open_page: Opener, width: int, size: str) -> None:
    page = charted(open_page(drying.address, width))
    page.evaluate(f"document.documentElement.style.fontSize = '{size}'")
    page.get_by_text("The same in numbers").click()
    page.wait_for_timeout(200)
    assert not is_too_wide(page)
    picture(page, f"drying-{width}-text-{size[:-1]}")


def test_bubbles_stand_still_for_those_who_want_that(drying: DemoPlace, open_page: Opener) -> None:
    moving = "getComputedStyle(document.querySelector('.bubbles circle')).animationName"
    assert open_page(drying.address).evaluate(moving) == "rise"
    assert open_page(drying.address, reduced_motion="reduce").evaluate(moving) == "none"


def test_an_emergency_comes_first_and_one_tap_says_seen(boathouse: DemoPlace, open_page: Opener) -> None:
    boathouse.play(87)
    page, other = (open_page(boathouse.address) for _ in range(2))
    boathouse.play(87.5)
    expect(page.locator(".alarm.emergency h2")).to_have_text("The blower runs and the vent is closed")
    expect(page).to_have_title("Alarm! heron · drydown")
    card_of_vent = "#alarm-vent-closed"  # others may come: vapour stays in the room
    button = page.locator(card_of_vent).get_by_role("button", name="I have seen it")
    for view in in_each_view(page):
        card, headline = page.locator(card_of_vent).bounding_box(), page.locator(".headline").bounding_box()
        box = button.bounding_box()
        assert card and headline and box
        assert card["y"] < 100
        assert headline["y"] > card["y"] + card["height"]
        assert box["y"] + box["height"] <= 844, "in sight without scrolling"
        assert box["height"] >= 64  # far more than the 44 px of WCAG 2.5.5: gloves
        assert not is_too_wide(page)
        picture(page, f"alarm-{view}")
    with boathouse.living():
        button.click()
        for one in (page, other):
            expect(one.locator(f"{card_of_vent} .standing")).to_have_text(
                re.compile(r"Seen by somebody at the page at \d\d:\d\d. It still holds.")
            )
            expect(one.locator(card_of_vent).get_by_role("button")).to_have_count(0)


def test_what_is_dry_is_said_to_be_dry(boathouse: DemoPlace, open_page: Opener) -> None:
    boathouse.play(150)
    page = charted(open_page(boathouse.address))
    expect(page.locator(".headline")).to_have_text("The fuel is dry.")
    expect(page.locator(".content.within")).to_have_count(2)
    expect(page.locator("#alarm-vent-closed.over h2")).to_have_text("The blower runs and the vent is closed")
    for view in in_each_view(page):
        picture(page, f"dry-{view}")
