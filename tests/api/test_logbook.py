"""Entries of the logbook over the API: taken, recorded, told again; refused by field."""

from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from support.demo_place import DemoPlace, demo_place
from support.waiting import wait_for

pytestmark = pytest.mark.broker

LOGBOOK = "/api/v1/tanks/heron/logbook"


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """A few minutes old, and living on."""
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(2)
        with place.living():
            yield place


def test_an_entry_is_taken_recorded_and_told_again(api: httpx.Client) -> None:
    entry = {"entry": "drained", "values": {"seen": "milky", "volume": 0.004}, "who": "Wren"}
    assert api.post(LOGBOOK, json=entry).json() == {"done": True}
    (found,) = wait_for(lambda: api.get(LOGBOOK).json())
    assert {name: found[name] for name in entry} == entry
    assert api.get(LOGBOOK, params={"end": found["time"] - 1}).json() == []


def test_one_without_values_needs_none(api: httpx.Client) -> None:
    assert api.post(LOGBOOK, json={"entry": "released", "who": "Wren"}).status_code == 200


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"entry": "soup-test", "values": {}}, "drained"),
        ({"entry": "drained", "values": {"seen": "green"}}, "seen"),
        ({"entry": "drained", "values": {"seen": "dark", "smell": "fish"}}, "smell"),
        ({"entry": "soap-test", "values": {"value": 2}}, "value"),
        ({"entry": "sent", "values": {"volume": 0.02}}, "to"),
    ],
)
def test_what_is_wrong_is_told_by_field(api: httpx.Client, body: dict[str, Any], said: str) -> None:
    answer = api.post(LOGBOOK, json=body | {"who": "Wren"})
    assert answer.status_code == 422
    assert said in answer.json()["detail"]
