"""Trends, runs laid over each other, and the report on screen and on paper, in real Chromium."""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

import httpx
import pypdf
import pytest
from playwright.sync_api import Browser, expect

from browser.conftest import OUTPUT, Opener, in_each_view, is_too_wide, picture
from drydown.commands import BenchTest, Note
from drydown.config.load import load
from drydown.orders import order_of
from drydown.store.write import StoreWriter
from support.axe import violations
from support.served import served
from support.weekly import FIRST, SETTLES, WEEK, year
from support.written import record_event

pytestmark = pytest.mark.browser

RUN = FIRST + WEEK  # the second one, which got dry


@dataclass(frozen=True)
class Place:
    """Where the pages of a year's runs of heron are."""

    client: httpx.Client

    def at(self, path: str) -> str:
        return f"{self.client.base_url}/tanks/heron/{path}"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    with year(tmp_path_factory) as config:
        store = StoreWriter(load(config).store_path)
        for after, command in (
            (SETTLES - 60, Note("Two cans from the ferry, dark", "Ash")),
            (SETTLES + 3000, BenchTest("methanol", 0.0004, 0.0002, "Ash")),
        ):
            told = {"kind": "command", "time": RUN + after, **(order_of(command) or {})}
            record_event(store, told)
        store.commit({})
        store.close()
        with served(config) as client:
            yield Place(client)


def test_trends_are_told_drawn_and_tabled(place: Place, open_page: Opener) -> None:
    page = open_page(place.at("trends"))
    expect(page.locator(".trend h2")).to_have_count(4)
    told = page.locator(".told").all_inner_texts()
    assert told[0].startswith("The blower’s air fell beyond its scatter")
    assert told[1].startswith("Methanol at the start: no trend beyond the scatter of 52 runs.")
    assert told[2].startswith("The time until the methanol was gone rose beyond its scatter")
    assert re.match(r"Since 29 May 2026 the blower ran 7\d\sh \d+\smin in 52 runs", told[3])
    expect(page.locator(".trend .rule")).to_have_count(2)
    expect(page.locator(".trend circle")).not_to_have_count(0)
    for view in in_each_view(page):
        assert not is_too_wide(page)
        assert violations(page) == []
        picture(page, f"trends-{view}")
    page.get_by_text("The same in numbers").nth(1).click()
    assert page.locator(".trend").nth(1).locator("tr").count() == 53


def test_runs_lie_over_each_other_in_a_chart_and_a_table(place: Place, open_page: Opener) -> None:
    runs = "&".join(f"run={FIRST + week * WEEK}" for week in (1, 21, 41))
    page = open_page(place.at(f"compare?{runs}"))
    expect(page.locator("[data-over] canvas")).to_have_count(3)
    expect(page.locator(".legend a")).to_have_text(
        ["heron, 5 June 2026", "heron, 23 October 2026", "heron, 12 March 2027"]
    )
    first = page.locator(".why h3").first
    expect(first).to_have_text(
        re.compile(r"heron, 23 October 2026 took \d+\smin longer than heron, 5 June 2026 until")
    )
    expect(page.locator(".why tbody th").first).to_have_text("Methanol at the start")
    for view in in_each_view(page):
        assert not is_too_wide(page)
        assert violations(page) == []
        picture(page, f"compare-{view}")
    page.get_by_text("The same in numbers").click()
    rows = page.locator("[data-table] tbody tr")
    assert rows.count() == 10  # 90 min, one every 10
    assert re.fullmatch(r"0\smin\t.+\s%, 4\d\s°C\t.+\s%, 3\d\s°C\t.+", rows.first.inner_text())


def test_comparing_goes_without_scripts(place: Place, chromium: Browser) -> None:
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(place.at(f"compare?run={FIRST}&run={RUN}"))
    page.get_by_text("The same in numbers").click()
    expect(page.locator("[data-table] tbody tr")).to_have_count(10)
    context.close()


@pytest.mark.parametrize("runs", ["", f"run={FIRST}", f"run={FIRST}&run=17"])
def test_it_takes_two_to_compare(place: Place, runs: str) -> None:
    answer = place.client.get(f"/tanks/heron/compare?{runs}", headers={"Accept": "text/html"})
    assert answer.status_code == 422
    assert "2 to 6 can be laid over each other" in answer.text


def test_a_report_tells_all_of_a_run(place: Place, open_page: Opener) -> None:
    page = open_page(place.at(f"runs/{RUN}/report"))
    text = page.locator("main").inner_text().replace("\N{NO-BREAK SPACE}", " ")
    reckoned = r"Dry by drydown’s reckoning at \d\d:\d\d(?: on \d+ \w+)?, after \d+ min of bubbling\."
    assert re.search(reckoned, text)
    for said in (
        "Two cans from the ferry, dark (Ash)",
        "Methanol 0.040 %, give or take 0.020 %, entered by Ash",
        "Fuel: methanol 0.20 %, water 500 mg/kg.",
        "Heat: fuel 60 °C, air from the blower 80 °C, its motor 90 °C.",
        "Stay out: vapour in the room",
        "heron: the fuel is dry",
        "Confirm it by a test before the fuel is used.",
    ):
        assert said in text.replace("\N{WORD JOINER}", ""), said
    for view in in_each_view(page):
        assert not is_too_wide(page)
        assert violations(page) == []
        picture(page, f"report-{view}")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_fits_on_two_sheets_at_most(place: Place, open_page: Opener, paper: str) -> None:
    page = open_page(place.at(f"runs/{RUN}/report"), color_scheme="dark")
    printed = page.pdf(format=paper, prefer_css_page_size=False)
    OUTPUT.mkdir(exist_ok=True)
    (OUTPUT / f"report-{paper}.pdf").write_bytes(printed)
    sheets = pypdf.PdfReader(io.BytesIO(printed)).pages
    assert len(sheets) in (1, 2)
    text = " ".join(" ".join(sheet.extract_text() for sheet in sheets).split())
    for said in (
        "Run of heron, 5 June 2026",
        "Limits used",
        "Methanol vapour burns and is poisonous",
        "leave mains and hazardous-area work to licensed people",
    ):
        assert said in text
    assert "Skip to what matters" not in text
    width, height = sheets[0].mediabox.width, sheets[0].mediabox.height
    wanted = (595, 842) if paper == "A4" else (612, 792)  # points: ISO 216 and ANSI/ASME Y14.1
    assert (width, height) == pytest.approx(wanted, abs=1)
