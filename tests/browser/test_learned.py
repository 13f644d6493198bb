"""What was learned, and what another probe would bring, worked out while somebody waits, in real Chromium."""

from collections.abc import Iterator

import httpx
import pytest
from playwright.sync_api import expect

from browser.conftest import Opener, is_too_wide, picture
from support import weekly
from support.axe import violations
from support.served import served

pytestmark = pytest.mark.browser

LONG = 150_000  # ms: it is worked out by a process that gives way to all others, and here many want the cores

RUN = weekly.Batch(
    methanol=0.010, bubbles=2760.0, fuel=313.0, air=292.0, humidity=0.4, flow=0.0142, volume=0.170
)


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    """Of a tank with one run, which bubbled just long enough; it has a probe of everything."""
    folder = tmp_path_factory.mktemp("learned")
    weekly.copied(folder / "store.sqlite3", [weekly.run_of(RUN, 1)], 1, weekly.WEEK)
    with served(weekly.site(folder, folder / "store.sqlite3")) as api:
        yield api


def test_it_is_worked_out_and_shown_without_a_reload(pages: httpx.Client, open_page: Opener) -> None:
    page = open_page(f"{pages.base_url}/tanks/heron/learned")
    found = page.get_by_role("region", name="What would improve the estimate")
    air = "Without the probes of the air’s temperature and humidity the range of water at the end of bubbling"
    expect(found).to_contain_text(air, timeout=LONG)
    expect(page.get_by_role("region", name="This tank and its blower")).to_contain_text("Learned from 1 run")
    assert violations(page) == []
    picture(page, "learned-390-light")
    assert not is_too_wide(page)
    told = pages.get("/api/v1/tanks/heron/learned/worth").json()
    (air_probe,) = [gain for gain in told["gains"] if gain["kind"] == "air"]
    assert air_probe["fitted"]
    assert air_probe["water"] < 0.5
    assert told["state"] == "told"
    assert any(sentence.startswith(air) for sentence in told["said"])
