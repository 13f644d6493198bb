"""Drawing and upkeep over the API, from a store with four draws through a filter that fades."""

import time
from collections.abc import Iterator
from math import sqrt

import httpx
import pytest

from drydown.config.load import load
from support.drawn import AREA, STANDPIPE
from support.drawn_store import COEFFICIENT, DAY, DRAWABLE, HOUR, OUTLET, SHARES, write_draws
from support.problem import check_problem
from support.served import served
from support.site_file import write_site

TANK = "/api/v1/tanks/heron"


@pytest.fixture(scope="module")
def api(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    config = write_site(tmp_path_factory.mktemp("drawn"), "boathouse", ["heron", "plover"], 1)
    store = load(config).store_path
    store.parent.mkdir(parents=True, exist_ok=True)
    write_draws(store, time.time())
    with served(config) as client:
        yield client


def test_how_long_a_draw_takes(api: httpx.Client) -> None:
    told = api.get(f"{TANK}/drawing", params={"volume": 0.02}).json()
    assert (told["drawable"], told["draws"], told["enough"]) == (DRAWABLE, 3, True)
    # Torricelli's law for a straight tank, textbook form, with the coefficient as it was in the last draws
    level = STANDPIPE + DRAWABLE / AREA
    slowest = 2 * AREA * (sqrt(level - OUTLET) - sqrt(STANDPIPE - OUTLET)) / (COEFFICIENT * SHARES[-1])
    assert told["whole"]["low"] < slowest < told["whole"]["high"]
    assert told["takes"]["median"] < told["whole"]["median"] / 2
    assert told["said"].startswith("About 60 L can be drawn, in ")
    more = api.get(f"{TANK}/drawing", params={"volume": 0.5}).json()
    assert (more["enough"], more["takes"]) == (False, more["whole"])


def test_the_filter_and_what_is_due(api: httpx.Client) -> None:
    told = api.get(f"{TANK}/upkeep").json()
    through = told["filter"]
    assert through["by"] == "Wren"
    assert through["drawn"] == pytest.approx(4 * 0.2 * AREA)
    assert through["left"]["low"] < 0.525 / 0.985 < through["left"]["high"]
    assert through["reasons"] == ["faded"]
    assert through["said"].startswith("Change the element")
    parts = {one["part"]: one for one in told["parts"]}
    assert {part for part, one in parts.items() if one["due"]} == {"filter", "cover-cloth"}
    assert parts["cover-cloth"]["blown"] == 22 * HOUR
    assert parts["hoses"]["lasted"] == pytest.approx(10 * DAY, abs=60)
    assert (parts["filter"]["blown"], parts["hoses"]["last"]) == (0, None)


def test_a_tank_of_which_nothing_is_recorded(api: httpx.Client) -> None:
    told = api.get("/api/v1/tanks/plover/drawing").json()
    assert (told["drawable"], told["whole"]) == (None, None)
    assert "Nobody knows yet" in told["said"]
    through = api.get("/api/v1/tanks/plover/upkeep").json()["filter"]
    assert (through["drawn"], through["left"], through["reasons"]) == (0, None, [])
    assert api.get("/tanks/plover/upkeep").status_code == 200


def test_what_is_refused(api: httpx.Client) -> None:
    check_problem(api.get(f"{TANK}/drawing", params={"volume": -1}), 422, "volume")
    check_problem(api.get("/api/v1/tanks/egret/upkeep"), 404, "no tank of that name", "heron")
    refused = api.get("/tanks/heron/upkeep", params={"volume": "two cans"})
    assert refused.status_code == 422
    assert "This has to be a number from 0 to 2000." in refused.text
