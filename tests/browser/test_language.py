"""Every page in a made-up language: no visible word is out of a translator's reach, and it fits."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import Opener, is_too_wide, picture
from drydown.bus.local_client import ask
from support.brackets import NAME, bracketed, has_escaped
from support.broker import Mosquitto
from support.demo_place import DemoPlace, recording
from support.served import served
from support.site_file import SITE, TANK
from support.weekly import year

pytestmark = [pytest.mark.broker, pytest.mark.browser]

SHOWN = """() => {
  const found = [document.title];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const { parentElement: holder, textContent } = walker.currentNode;
    if (!holder.closest("script, style, noscript, [data-own]") && textContent.trim()) found.push(textContent);
  }
  for (const name of ["aria-label", "aria-valuetext", "title", "placeholder", "alt"]) {
    for (const node of document.querySelectorAll(`[${name}]`)) found.push(node.getAttribute(name));
  }
  return found;
}"""


def escaped(page: Page) -> list[str]:
    """What the page shows or tells a screen reader, as far as words of it stand outside all brackets."""
    return [text.strip() for text in page.evaluate(SHOWN) if has_escaped(text)]


def check(page: Page, name: str) -> None:
    picture(page, f"language-{name}")
    assert page.locator("html").get_attribute("lang") == NAME
    assert escaped(page) == []
    assert not is_too_wide(page)


@pytest.fixture(scope="module", autouse=True)
def language(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with bracketed(tmp_path_factory.mktemp("language")):
        yield


def test_an_evening(tmp_path: Path, broker: Mosquitto, open_page: Opener) -> None:
    place = DemoPlace(tmp_path, broker.port)
    with recording(place.site), place:
        with served(place.config) as api:
            address = str(api.base_url).rstrip("/")
            place.play(1)
            page = open_page(f"{address}/tanks/heron", expected="401|404|ERR_")
            check(page, "settling")
            place.play(50)
            with place.living():
                note = {"command": "note", "text": "opened the window", "who": "Wren"}
                ask(place.site.socket_path, "command", tank="heron", command=note)
            page.reload()
            expect(page.locator("[data-run]")).to_be_visible()
            check(page, "drying")
            place.play(87.5)
            page.reload()
            page.locator("details.tell summary").click()
            check(page, "alarm")
            two = SITE.format(site="boathouse", folder=place.folder, broker=broker.port)
            (tmp_path / "two.toml").write_text(two + TANK.format(name="heron") + TANK.format(name="plover"))
            with served(tmp_path / "two.toml") as both:
                manifest = both.get("/static/drydown.webmanifest").json()
                assert (manifest["lang"], has_escaped(manifest["description"])) == (NAME, False)
                page = open_page(str(both.base_url))
                check(page, "tanks")
                page.goto("about:blank")
            page = open_page(f"{address}/tanks/heron", expected="401|404|ERR_")
            place.play(150)
            place.watcher.catch_up(0)
            page.reload()
            expect(page.locator("[data-run]")).to_be_visible()
            check(page, "dry")
            start = api.get("/api/v1/tanks/heron/runs").json()[0]["start"]
            for path in (
                f"runs/{start}/report",
                "runs",
                "trends",
                "batches",
                "plan",
                "tests",
                "upkeep",
                "start",
            ):
                page.goto(f"{address}/tanks/heron/{path}")
                check(page, path.split("/")[-1])
            for path in ("settings", "enter", "blend", "tanks/egret"):
                page.goto(f"{address}/{path}")
                check(page, path.replace("/", "-"))
            page.goto(f"{address}/enter")
            page.get_by_role("textbox").fill("mistyped")
            page.get_by_role("button").click()
            expect(page.locator("[role=alert]")).to_be_visible()
            check(page, "refused")
            page.goto(f"{address}/tanks/heron/runs/{start}")
            expect(page.locator("[data-panels] canvas")).to_have_count(7)
            page.locator("[data-numbers] summary").click()
            check(page, "run")
            page.goto(f"{address}/tanks/heron")
        expect(page.locator("[data-lost]")).to_be_visible(timeout=12_000)
        check(page, "lost")


def test_runs_side_by_side(tmp_path_factory: pytest.TempPathFactory, open_page: Opener) -> None:
    with year(tmp_path_factory) as config, served(config) as api:
        address = f"{str(api.base_url).rstrip('/')}/tanks/heron"
        starts = [run["start"] for run in api.get("/api/v1/tanks/heron/runs").json()[:3]]
        page = open_page(f"{address}/trends", expected="503")
        check(page, "months")
        page.goto(f"{address}/compare?" + "&".join(f"run={start}" for start in starts))
        check(page, "compare")
        page.goto(address)
        check(page, "away")
