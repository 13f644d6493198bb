"""When to bubble, in a real browser and for programs: by two days of record, and by a pasted table."""

import time
from collections.abc import Iterator
from datetime import UTC, datetime

import httpx
import pytest
from playwright.sync_api import expect

from browser.conftest import Opener, is_too_wide, picture
from support.air_days import DAY, HOUR, write_air
from support.axe import violations
from support.demo_place import DemoPlace, served_demo
from support.problem import check_problem

pytestmark = [pytest.mark.broker, pytest.mark.browser]

API = "/api/v1/tanks/heron/outlook"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """Fuel that settles, where the air was read for three days."""
    with served_demo(tmp_path_factory.mktemp("outlook")) as place:
        place.play(5)
        told = httpx.get(place.address + API, trust_env=False).json()
        assert (told["starts"], told["days"]) == ([], [])
        assert told["said"][0].startswith("The record of the air does not hold a whole day yet")
        place.watcher.catch_up(0)  # from here on only one writes the store
        write_air(place.site.store_path, time.time() - 60, 3.1)
        yield place


@pytest.fixture
def api(place: DemoPlace) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=place.address, trust_env=False, timeout=30) as client:
        yield client


def table(start: float, hours: int) -> str:
    """Damp for ten hours, then dry."""
    times = (datetime.fromtimestamp(start + k * HOUR, UTC) for k in range(hours))
    return "\n".join(f"{one:%Y-%m-%dT%H:%MZ};9,5;{96 if k < 10 else 30}" for k, one in enumerate(times))


def test_programs_get_the_day_ahead_by_the_record(api: httpx.Client) -> None:
    told = api.get(API).json()
    assert told["source"] == "record"
    assert [told["first"] - day for day in told["days"]] == [DAY, 2 * DAY, 3 * DAY]
    assert len(told["starts"]) == 24
    assert 1 <= len(told["best"]) <= 3
    assert told["first"] - told["time"] <= HOUR
    assert [one["prospect"]["warmer_by"] for one in told["warmings"]] == [5.0, 10.0, 15.0]
    assert told["said"][-1].startswith("The air ahead is taken from 3 whole days of the tank’s own record")


def test_programs_get_the_day_ahead_by_a_table(api: httpx.Client) -> None:
    now = api.get(API).json()["time"]
    told = api.post(API, json={"table": "time;air;humidity\n" + table(now, 30)}).json()
    assert (told["source"], told["days"]) == ("table", [])
    assert told["courses"][0]["humidity"][5] == pytest.approx(0.96)
    assert told["best"][0] >= now + 9 * HOUR
    check_problem(api.post(API, json={"table": "14:00,8"}), 422, "Line 1 has 2 columns")
    check_problem(api.post(API, json={}), 422, "table")


def test_from_the_tank_to_an_answer_by_a_table(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron", expected="422")
    page.get_by_role("link", name="When to bubble").click()
    expect(page.locator(".headline")).to_contain_text("Best start at")
    expect(page.locator(".planned").first).to_contain_text("dry in about")
    expect(page.get_by_text("The heat for it is at least").first).to_be_visible()
    picture(page, "when-390-light")
    assert not is_too_wide(page)
    box = page.get_by_label("Paste its hours here")
    box.fill("14:00, 8.5, 171\n15:00, 8, 70")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("alert")).to_contain_text("Line 1, column 3 (humidity): “171” is no number")
    expect(box).to_have_value("14:00, 8.5, 171\n15:00, 8, 70")
    page.emulate_media(color_scheme="dark")
    assert violations(page) == []
    picture(page, "when-refused-390-dark")
    box.fill(table(time.time(), 30))
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_text("the table that was pasted")).to_be_visible()
    expect(page.locator(".headline")).to_contain_text("Best start at")
