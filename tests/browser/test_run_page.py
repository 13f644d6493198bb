"""The page of a run in real Chromium: looked at, moved about, read as a table, and with little to show."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from playwright.sync_api import FloatRect, Locator, Page, expect

from browser.conftest import SCHEMES, Opener, in_each_view, is_too_wide, picture
from drydown.bus.local_client import ask
from support.axe import violations
from support.demo_place import DemoPlace, demo_place

pytestmark = [pytest.mark.broker, pytest.mark.browser]

PANELS = 7
SPEAKS = "new Intl.NumberFormat('de').format(0.5)"  # what the chart library does without while it loads
HERON = "/api/v1/tanks/heron"
WHEN = r"\d\d:\d\d(?: on \d+ \w+)?"


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """Four hours: dried with a pause in between, an emergency, a note and a test."""
    with demo_place(tmp_path_factory.mktemp("evening")) as place:
        place.play(40)
        tell(place, {"command": "note", "text": "opened the window", "who": "Wren"})
        place.play(60)
        tell(
            place,
            {"command": "bench-test", "quantity": "methanol", "value": 0.0018, "sigma": 4e-4, "who": "Wren"},
        )
        place.play(240)
        place.watcher.catch_up(0)
        yield place


def tell(place: DemoPlace, command: dict[str, Any]) -> None:
    with place.living():
        ask(place.site.socket_path, "command", tank="heron", command=command)


def get(place: DemoPlace, path: str) -> Any:
    answer = httpx.get(f"{place.address}{HERON}/{path}", trust_env=False)
    assert answer.status_code == 200, answer.text
    return answer.json()


def address(place: DemoPlace) -> str:
    (run,) = get(place, "runs")
    return f"{place.address}/tanks/heron/runs/{run['start']}"


def charted(page: Page) -> Page:
    expect(page.locator("[data-panels] canvas")).to_have_count(PANELS)
    return page


def minutes(said: str) -> int:
    """Of the day; a run of a late evening passes midnight, and names its day then."""
    hours, rest = said.split(" on ")[0].split(":")
    return int(hours) * 60 + int(rest)


def moment(page: Page) -> str:
    return page.locator("[data-at]").inner_text()


def box(place: Locator) -> FloatRect:
    found = place.bounding_box()
    assert found
    return found


def caption(page: Page) -> str:
    """What span the table tells, which is what the charts show."""
    return page.locator("[data-table] caption").inner_text()


def test_it_tells_what_happened_and_why(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening), width=1280))
    told = page.locator(".short").inner_text()
    assert re.search(
        rf"The blower sent air through 17\d\sL of fuel from {WHEN} until {WHEN}, with one break", told
    )
    assert re.search(r"Methanol, first put at [\d.]+\s%, came to less than 0.01\s%", told)
    assert "1 emergency" in told
    assert re.search(rf"A test at {WHEN} found: Methanol 0.18\s%, give", told)
    happened = page.locator(".happened").inner_text()
    for said in (
        "The blower runs and the vent is closed",
        "opened the window",
        "Methanol gone.",
        "The fuel is dry.",
    ):
        assert said in happened
    expect(page.locator(".rows .row-name")).to_have_text(["Stage", "Blower", "Vent", "Verdict", "Events"])
    assert page.evaluate(SPEAKS) == "0,5"
    for view in in_each_view(page):
        expect(page.locator("[data-panels] canvas")).to_have_count(PANELS)
        assert not is_too_wide(page)
        picture(page, f"run-{view}")


def test_each_download_gives_the_run(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening)))
    begun = []
    for link in page.locator(".downloads a[download]").all():
        answer = page.request.get(f"{evening.address}{link.get_attribute('href')}")
        assert answer.ok
        begun.append(answer.body()[:4])
    assert begun[0] == b"time"
    assert begun[1][:1] == b"{"
    assert begun[2] == b"PK\x03\x04"  # a ZIP file's first bytes, APPNOTE.TXT 4.3.7


def test_the_marker_is_dragged_to_what_was_believed(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening), width=1280))
    course = get(evening, f"{address(evening).split('heron/')[1]}/course")
    expect(page.locator("[data-sentence]")).to_have_text("The fuel is dry.")
    page.locator("#course").evaluate("heading => heading.scrollIntoView()")
    handle, chart = box(page.locator(".handle")), box(page.locator(".u-over").first)
    page.mouse.move(handle["x"] + 13, handle["y"] + 13)
    page.mouse.down()
    page.mouse.move(chart["x"] + chart["width"] * 0.2, handle["y"] + 30, steps=4)
    page.mouse.up()
    page.mouse.move(0, 0)
    meant = course["start"] + 0.2 * (course["until"] - course["start"])
    belief = [one for one in course["beliefs"] if one["time"] <= meant][-1]
    assert belief["sentence"] != "The fuel is dry."
    expect(page.locator("[data-sentence]")).to_have_text(belief["sentence"])
    expect(page.locator("[data-then=gone]")).to_have_text(belief["gone"]["said"])
    expect(page.locator("[data-came=gone]")).to_contain_text(belief["gone"]["came"])
    expect(page.locator(".foreseen").first).to_be_visible()
    whisker, over = box(page.locator(".foreseen").first), box(page.locator(".u-over").first)
    assert over["y"] < whisker["y"] < over["y"] + over["height"], "it lies on the limit"
    for view in in_each_view(page):
        assert not is_too_wide(page)
        picture(page, f"run-marker-{view}")


def test_the_moment_is_moved_with_keys_alone(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening), width=1280))
    slider = page.get_by_role("slider")
    slider.focus()
    last = moment(page)
    for _ in range(10):
        page.keyboard.press("ArrowLeft")
    assert (minutes(last) - minutes(moment(page))) % 1440 in (9, 10)  # the run ended within a minute
    page.keyboard.press("Home")
    expect(page.locator("[data-sentence]")).not_to_have_text("The fuel is dry.")
    said = slider.get_attribute("aria-valuetext") or ""
    assert said.startswith(f"{moment(page)}. ")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    expect(page.locator("[data-timed]")).to_be_focused()
    first = moment(page)
    page.keyboard.press("ArrowRight")
    assert minutes(moment(page)) == (minutes(first) + 1) % 1440


def test_keys_look_closer_and_the_table_follows(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening), width=1280))
    page.get_by_text("The charts in numbers").click()
    whole = caption(page)
    page.locator("[data-timed]").focus()
    page.keyboard.press("+")
    page.keyboard.press("+")
    assert caption(page) != whole
    closer = caption(page)
    page.keyboard.press("Shift+ArrowLeft")
    assert caption(page) != closer
    page.keyboard.press("0")
    assert caption(page) == whole
    page.get_by_role("button", name="Show less, but closer").click()
    assert caption(page) != whole
    page.get_by_role("button", name="Whole run").click()
    assert caption(page) == whole


def test_finer_readings_come_where_one_looks_closer(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening), width=1280))
    page.locator("[data-timed]").focus()
    with page.expect_response(re.compile("/series")) as fetched:
        for _ in range(4):
            page.keyboard.press("+")
    found = {one["name"]: one for one in fetched.value.json()}
    assert found["fuel/temperature"]["step"] == 0
    assert len(found["fuel/temperature"]["time"]) > 100
    picture(page, "run-closer-1280")


def test_the_table_says_what_the_charts_show(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening)))
    page.get_by_text("The charts in numbers").click()
    table = page.locator("[data-table]")
    heads = table.locator("thead th").all_inner_texts()
    assert heads[:5] == ["Time", "Stage", "Blower", "Vent", "Verdict"]
    assert "Methanol in the fuel" in heads
    rows = [row.locator("th, td").all_inner_texts() for row in table.locator("tbody tr").all()]
    assert 10 <= len(rows) <= 21
    column = heads.index("Temperatures: fuel")
    (series,) = get(evening, "series?name=fuel/temperature&points=20000")
    course = get(evening, f"{address(evening).split('heron/')[1]}/course")
    middle = rows[len(rows) // 2]
    days = (course["start"] + course["ahead"]) // 86400
    at = days * 86400 - course["ahead"] + minutes(middle[0]) * 60
    at += 86400 if at < course["start"] else 0
    real = [value for time, value in zip(series["time"], series["value"], strict=True) if time <= at][-1]
    assert float(middle[column].split()[0].replace("−", "-")) == pytest.approx(real, abs=0.35)
    assert middle[1] in ("bubbling", "paused", "settling", "resting")
    assert not is_too_wide(page)
    picture(page, "run-table-390-light")


def test_two_fingers_look_closer_and_one_moves_along(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening), has_touch=True))
    page.get_by_text("The charts in numbers").click()
    page.locator(".u-over").nth(2).scroll_into_view_if_needed()
    whole, chart = caption(page), box(page.locator(".u-over").nth(2))
    touch = page.context.new_cdp_session(page)
    middle, y = chart["x"] + chart["width"] / 2, chart["y"] + chart["height"] / 2

    def fingers(kind: str, *places: float) -> None:
        points = [{"x": x, "y": y, "id": i} for i, x in enumerate(places)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    fingers("touchStart", middle - 20, middle + 20)
    fingers("touchMove", middle - 50, middle + 50)
    fingers("touchMove", middle - 80, middle + 80)
    fingers("touchEnd")
    expect(page.locator("[data-table] caption")).not_to_have_text(whole)
    closer = caption(page)
    fingers("touchStart", middle)
    fingers("touchMove", middle + 30)
    fingers("touchMove", middle + 90)
    fingers("touchEnd")
    expect(page.locator("[data-table] caption")).not_to_have_text(closer)


def test_what_lies_below_the_mouse_is_read_out(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening), width=1280))
    value = page.locator('[data-line="fuel/temperature"]')
    at_the_end, last = value.inner_text(), moment(page)
    page.locator(".u-over").nth(2).hover()
    expect(value).not_to_have_text(at_the_end)
    assert moment(page) != last
    page.mouse.move(2, 2)
    expect(value).to_have_text(at_the_end)
    assert moment(page) == last


def test_it_is_drawn_in_the_units_that_somebody_likes(evening: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{evening.address}/static/look.css", width=1280, expected="404")
    likes = "fahrenheit.gallons.comma.12"
    page.context.add_cookies([{"name": "drydown-liking", "value": likes, "url": evening.address}])
    page.goto(address(evening))
    charted(page)
    expect(page.locator('[data-line="fuel/temperature"]')).to_have_text(re.compile(r"^7\d,\d\s°F$"))
    expect(page.locator('[data-line="fuel/volume"]')).to_have_text(re.compile(r"^4\d\sgal$"))
    expect(page.locator(".short")).to_contain_text(re.compile(r"through 4\d\sgal of fuel"))
    expect(page.locator("[data-at]")).to_have_text(re.compile(r"^\d+:\d\d\s[ap]m( on \d+ \w+)?$"))
    picture(page, "run-likes-1280-light")


@pytest.mark.parametrize("scheme", SCHEMES)
def test_nothing_keeps_anybody_out(evening: DemoPlace, open_page: Opener, scheme: str) -> None:
    page = charted(open_page(address(evening), color_scheme=scheme))
    page.get_by_text("The charts in numbers").click()
    expect(page.locator("[data-table] tbody tr").first).to_be_visible()
    assert violations(page) == []
    page.set_viewport_size({"width": 1280, "height": 844})
    assert violations(page) == []


def test_the_report_is_one_step_away(evening: DemoPlace, open_page: Opener) -> None:
    page = charted(open_page(address(evening)))
    page.get_by_role("link", name="A report to print or hand over").click()
    expect(page.locator("h1")).to_contain_text("heron")


def test_the_page_of_the_tank_leads_here(evening: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{evening.address}/tanks/heron")
    page.get_by_role("link", name="Look at this run closely").click()
    charted(page)
    expect(page.locator("h1")).to_contain_text("heron, ")


@pytest.mark.parametrize(("width", "size"), [(320, "100%"), (390, "200%")])
def test_small_screens_and_large_text(evening: DemoPlace, open_page: Opener, width: int, size: str) -> None:
    page = charted(open_page(address(evening), width))
    page.evaluate(f"document.documentElement.style.fontSize = '{size}'")
    page.wait_for_timeout(200)
    picture(page, f"run-{width}-text-{size[:-1]}")
    assert not is_too_wide(page)


def test_a_page_without_the_chart_library_still_tells_in_numbers(
    evening: DemoPlace, open_page: Opener
) -> None:
    page = open_page(f"{evening.address}/static/look.css", expected="ERR_FAILED|404")
    page.route("**/vendor/**", lambda route: route.abort())
    page.goto(address(evening))
    page.get_by_text("The charts in numbers").click()
    expect(page.locator("[data-table] tbody tr").nth(8)).to_be_visible()
    expect(page.locator(".rows .row-name").first).to_have_text("Stage")
    assert page.locator("canvas").count() == 0
    assert page.evaluate(SPEAKS) == "0,5"


def test_a_run_that_has_only_begun(tmp_path: Path, open_page: Opener) -> None:
    with demo_place(tmp_path) as place:
        place.play(2)
        place.watcher.catch_up(0)
        page = open_page(address(place))
        expect(page.locator(".short")).to_contain_text(
            "The blower has not run yet, so there is little to tell."
        )
        expect(page.locator("[data-drawing]")).to_be_visible()
        expect(page.locator(".happened")).to_contain_text("The fuel settles.")
        expect(page.locator("[data-trouble]")).to_be_hidden()
        for view in in_each_view(page):
            assert not is_too_wide(page)
            picture(page, f"run-begun-{view}")


def test_a_run_that_there_is_not(evening: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{evening.address}/tanks/heron/runs/1", expected="404")
    expect(page.locator("main")).to_contain_text("No run of heron began then.")


def test_a_store_that_is_away_is_said_and_waited_for(tmp_path: Path, open_page: Opener) -> None:
    with demo_place(tmp_path) as place:
        place.play(2)
        place.watcher.catch_up(0)
        where, store = address(place), place.site.store_path
        page = open_page(where, expected="503|ERR_")
        expect(page.locator("[data-drawing]")).to_be_visible()
        away = store.with_suffix(".away")
        store.rename(away)
        page.reload()
        expect(page.locator("h1")).to_have_text("The record can’t be read")
        expect(page.locator("main")).to_contain_text("there is no store yet")
        picture(page, "run-store-away-390-light")
        away.rename(store)
        expect(page.locator("h1")).to_contain_text("heron, ")


def test_charts_that_cannot_be_fetched_leave_the_rest(evening: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{evening.address}/static/look.css", expected="503|404")
    body = json.dumps({"detail": "the disk is full, so nothing more can be recorded; free some space on it."})
    page.route("**/series?*", lambda route: route.fulfill(status=503, body=body))
    page.goto(address(evening))
    expect(page.locator("[data-trouble]")).to_contain_text("free some space on it")
    expect(page.locator(".short")).to_contain_text("The blower sent air")
    picture(page, "run-no-charts-390-light")
