"""What has settled over the API, from a store in which one tank settles and another rests."""

import time
from collections.abc import Iterator

import httpx
import pytest
from fluids.drag import v_terminal

from drydown.config.load import load
from drydown.physics import fuel, settling
from support.problem import check_problem
from support.served import served
from support.settling_store import CELSIUS, FILLED, HOUR, LEVEL, STOPPED, write_settling
from support.site_file import write_site

STANDPIPE = 0.152


@pytest.fixture(scope="module")
def api(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    tanks = ("heron", "plover", "egret", "teal")
    config = write_site(tmp_path_factory.mktemp("settled"), "boathouse", tanks, 1)
    store = load(config).store_path
    store.parent.mkdir(parents=True, exist_ok=True)
    write_settling(store, time.time())
    with served(config) as client:
        yield client


def speed(size: float) -> float:
    # fluids: terminal velocity by the drag curve of Clift, over all Reynolds numbers
    oil, kelvin = fuel.FEEDSTOCKS["used-cooking-oil"], CELSIUS + 273.15
    density = float(fuel.density(kelvin, oil.density))
    viscosity = float(fuel.dynamic_viscosity(kelvin, oil.density, oil.viscosity))
    glycerol = settling.GLYCEROL_DENSITY
    return float(v_terminal(D=size, rhop=glycerol, rho=density, mu=viscosity, Method="Clift"))


def test_settling_counts_from_the_end_of_the_filling(api: httpx.Client) -> None:
    told = api.get("/api/v1/tanks/heron/settling").json()
    assert (told["stage"], told["settles"], told["size"]) == ("settling", True, 15e-6)
    assert told["time"] - told["since"] == pytest.approx(FILLED, abs=1)
    assert told["height"] == pytest.approx(LEVEL - STANDPIPE)
    assert told["fallen"]["median"] == pytest.approx(speed(15e-6) * FILLED, rel=0.01)
    assert told["down_at"]["median"] - told["since"] == pytest.approx(
        (LEVEL - STANDPIPE) / speed(15e-6), rel=0.01
    )
    assert told["drain_at"]["median"] - told["since"] == pytest.approx(LEVEL / speed(30e-6), rel=0.01)
    assert told["said"][0] == "Drops of 26 µm (25 to 34 µm) and more have fallen below the standpipe."


def test_rest_counts_from_when_the_blower_stopped(api: httpx.Client) -> None:
    told = api.get("/api/v1/tanks/plover/settling", params={"size": 30e-6}).json()
    assert (told["stage"], told["settles"]) == ("resting", True)
    assert told["time"] - told["since"] == pytest.approx(STOPPED, abs=1)
    down = (LEVEL - STANDPIPE) / speed(30e-6)
    assert told["down_at"]["median"] - told["since"] == pytest.approx(down, rel=0.01)
    assert down < 4 * HOUR < STOPPED
    assert (told["counsel"], told["drain_again_at"]) == (
        "once-more",
        pytest.approx(told["time"] + HOUR, abs=1),
    )
    assert told["said"][-1].startswith("Drain once more at about")


def test_of_fuel_that_has_rested_it_is_told_which_tests_are_missing(api: httpx.Client) -> None:
    told = api.get("/api/v1/tanks/teal/settling").json()
    missing = api.get("/api/v1/tanks/teal/release").json()["missing"]
    assert told["stage"] == "ready"
    assert missing
    assert "appearance-test" not in missing
    assert told["said"][-1].startswith("Not tested enough. Missing: ")


def test_what_can_not_be_told(api: httpx.Client) -> None:
    told = api.get("/api/v1/tanks/egret/settling").json()
    assert (told["settles"], told["smallest"], told["down_at"]) == (False, None, None)
    assert told["said"] == ["Nothing settles now: the fuel is not left to settle or to rest."]
    check_problem(api.get("/api/v1/tanks/heron/settling", params={"size": 0.1}), 422, "size")
    check_problem(api.get("/api/v1/tanks/grebe/settling"), 404, "no tank of that name", "heron")
    check_problem(api.get("/api/v1/tanks/heron/start-list"), 503, "The watcher does not answer")
