"""What runs taught, told over HTTP from the store and forgotten through the watcher."""

import subprocess
import sys
from collections.abc import Iterator

import httpx
import pytest

from drydown.bus.local_client import ask
from drydown.estimate.parameters import NAMES
from support.broker import until
from support.demo_place import DemoPlace, demo_at
from support.problem import check_problem

pytestmark = pytest.mark.broker

LEARNED = "/api/v1/tanks/heron/learned"


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """After three quarters of an hour of bubbling."""
    with demo_at(tmp_path_factory.mktemp("boathouse"), 76) as place:
        yield place


def test_before_during_and_after_it_is_known(boathouse: DemoPlace, api: httpx.Client) -> None:
    before = api.get(LEARNED).json()
    assert (before["used"], before["quantities"], before["last"]) == (False, [], None)
    assert before["said"] == ["No run has taught anything of this tank and its blower yet."]

    with boathouse.living():
        order = {"command": "correct-stage", "stage": "resting", "who": "Wren"}
        answer = ask(boathouse.site.socket_path, "command", tank="heron", command=order)
        (taught,) = [line for line in answer["lines"] if line["kind"] == "taught"]
        until(lambda: api.get(LEARNED).json()["used"], 10)
    told = api.get(LEARNED).json()
    assert (told["runs"], told["since"], told["last"]) == (1, taught["time"], taught["time"])
    assert told["said"][0].startswith("Learned from 1 run since ")
    assert told["said"][-1].startswith("Not learned yet: ")
    assert {one["name"] for one in told["quantities"]} == set(NAMES)
    flow = next(one for one in told["quantities"] if one["name"] == "flow")
    assert flow["low"] < flow["median"] < flow["high"]
    assert flow["said"].startswith("Air flow 0.0")
    assert "rated" in flow["said"]
    said = ask(boathouse.site.socket_path, "state")["heron"]["learned"]
    assert said == {"runs": 1, "since": taught["time"]}
    lines = api.get("/api/v1/tanks/heron/lines", params={"start": told["last"], "end": told["last"]}).text
    assert '"kind": "taught"' in lines, "the record has it among the rest"

    check_problem(api.post(f"{LEARNED}/forget", json={"who": ""}), 422, "body.who")
    with boathouse.living():
        assert api.post(f"{LEARNED}/forget", json={"who": "Wren"}).json() == {"done": True}
        until(lambda: not api.get(LEARNED).json()["used"], 10)
    (forgotten,) = api.get(LEARNED).json()["said"]
    assert forgotten.startswith("What 1 run taught was forgotten on ")
    assert forgotten.endswith(" by Wren: the next run begins anew.")
    assert ask(boathouse.site.socket_path, "state")["heron"]["learned"] is None


def test_a_tank_that_is_not_there(api: httpx.Client) -> None:
    check_problem(api.get("/api/v1/tanks/plover/learned"), 404, "no tank of that name", "heron")


def test_the_pages_do_without_numpy_until_somebody_asks() -> None:
    """It would cost each board some 30 MB."""
    told = "import sys, drydown_api.app, drydown.record; print('numpy' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert ran.stdout == "False\n"
