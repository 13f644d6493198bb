"""What settles in a real browser: told on the tank's page, gone when the blower runs."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import expect

from browser.conftest import SCHEMES, Opener, is_too_wide, picture
from support.axe import violations
from support.broker import mosquitto
from support.demo_place import MINUTE, DemoPlace, recording
from support.served import served

pytestmark = [pytest.mark.broker, pytest.mark.browser]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """A tank that has settled for a while."""
    folder = tmp_path_factory.mktemp("settling")
    with mosquitto(folder) as broker:
        place = DemoPlace(folder, broker.port)
        with recording(place.site), served(place.config) as api, place:
            place.address = str(api.base_url).rstrip("/")
            place.play(12)
            place.watcher.catch_up(0)
            yield place


def test_told_while_it_settles_and_no_longer(place: DemoPlace, open_page: Opener) -> None:
    page = open_page(f"{place.address}/tanks/heron")
    settled = page.get_by_role("region", name="What has settled")
    expect(settled).to_contain_text("and more have fallen below the standpipe.")
    expect(settled).to_contain_text("Drain first at about")
    for scheme in SCHEMES:
        page.emulate_media(color_scheme=scheme)
        assert violations(page) == []
    picture(page, "settling-390-dark")
    assert not is_too_wide(page)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert not is_too_wide(page)
    page.evaluate("document.documentElement.style.fontSize = ''")
    with place.living(60 * MINUTE):
        expect(settled).to_be_hidden()
