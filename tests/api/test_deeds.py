"""What a person tells a tank over the API: obeyed at once, recorded, refused in a sentence."""

from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from support.demo_place import DemoPlace, demo_place
from support.problem import check_problem
from support.waiting import wait_for

pytestmark = pytest.mark.broker

HERON = "/api/v1/tanks/heron"
WREN = {"who": "Wren"}


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """At minute 50, bubbling, and living on."""
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(50)
        with place.living():
            yield place


def told(api: httpx.Client, path: str, **body: Any) -> None:
    answer = api.post(f"{HERON}/{path}", json=WREN | body)
    assert (answer.status_code, answer.json()) == (200, {"done": True}), answer.text


def recorded(api: httpx.Client, command: str) -> dict[str, Any]:
    """The last command of that name in the store, once it is there."""

    def found() -> dict[str, Any] | None:
        happened = api.get(f"{HERON}/happenings", params={"kind": "command"}).json()
        return next((body for body in reversed(happened) if body["command"] == command), None)

    return wait_for(found)


def test_a_note_stands_in_the_record(api: httpx.Client) -> None:
    told(api, "notes", text="opened the window: 5 °C outside")
    note = recorded(api, "note")
    assert (note["text"], note["who"]) == ("opened the window: 5 °C outside", "Wren")


def test_a_test_of_the_fuel_narrows_the_estimate(api: httpx.Client) -> None:
    def methanol() -> dict[str, float]:
        found: dict[str, float] = api.get(HERON).json()["estimate"]["methanol"]
        return found

    before = methanol()
    told(api, "tests", quantity="methanol", value=before["median"], sigma=before["median"] * 0.02)
    wait_for(lambda: methanol() != before)
    after = methanol()
    assert after["high"] / after["low"] < 0.7 * before["high"] / before["low"]
    assert recorded(api, "bench-test")["quantity"] == "methanol"


def test_a_stage_is_put_right(api: httpx.Client) -> None:
    told(api, "stage", stage="paused")
    assert wait_for(lambda: api.get(HERON).json()["stage"] == "paused")
    told(api, "stage", stage="bubbling")
    assert wait_for(lambda: api.get(HERON).json()["stage"] == "bubbling")


@pytest.mark.parametrize(("path", "command"), [("draws", "draw"), ("drains", "drain")])
def test_draws_and_drains_are_declared(api: httpx.Client, path: str, command: str) -> None:
    told(api, path)
    assert recorded(api, command)["who"] == "Wren"


@pytest.mark.parametrize(
    ("path", "body", "status", "said"),
    [
        ("notes", {}, 422, "body.text"),
        ("notes", {"text": "x" * 501}, 422, "500"),
        ("stage", {"stage": "sleeping"}, 422, "'idle'"),
        ("tests", {"quantity": "soap", "value": 0.1, "sigma": 0.1}, 422, "'methanol' or 'water'"),
        ("tests", {"quantity": "water", "value": 2, "sigma": 0.1}, 422, "0.5"),
        ("tests", {"quantity": "water", "value": 0.001, "sigma": 0}, 422, "greater than"),
        ("alarms/vent-closed/shelve", {"duration": 1e9}, 422, "86400"),
        ("alarms/vent-closed/shelve", {"duration": 60}, 409, "An emergency cannot be kept quiet"),
        ("alarms/fuel-hot/unshelve", {}, 409, "not in a state"),
        ("alarms/none/shelve", {"duration": 60}, 404, "There are: "),
        ("supply/restore", {}, 409, "does not hold the blower off"),
    ],
)
def test_what_cannot_be_is_refused(
    api: httpx.Client, path: str, body: dict[str, Any], status: int, said: str
) -> None:
    check_problem(api.post(f"{HERON}/{path}", json=WREN | body), status, said)
