"""The described shape of a state is that of a real one, in every stage of it: nothing more, nothing less."""

import json
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from drydown.alarms.catalogue import KINDS
from drydown.commands import Acknowledge, CorrectStage, Shelve
from drydown.config.model import Tank
from drydown.effects import Change, Priority
from drydown.estimate.result import Verdict
from drydown.run.stages import Stage
from drydown_api.state_answers import TankAnswer
from support.boathouse import CELSIUS, at_rest, heron
from support.demo_place import DemoPlace, demo_place
from support.problem import check_problem
from support.tank_state import estimate, spread, state_after

RUNNING = at_rest(blower__running=True, vent__open=True)
CLOSED = at_rest(blower__running=True, vent__open=False)
HOT = at_rest(blower__motor_temperature=95 + CELSIUS)
SILENT = at_rest(fuel__temperature=None, fuel__level=None)
HELD_OFF: Any = {"relay": {"gpio": 24, "cuts_on": ["vent-closed"]}}

STATES: dict[str, tuple[Tank, Any, Any]] = {
    "nothing read": (heron(), (), ()),
    "at rest": (heron(), ((30, at_rest()),), ()),
    "bubbling": (heron(), ((400, RUNNING),), ()),
    "paused": (heron(), ((400, RUNNING), (120, at_rest())), ()),
    "probes that say nothing": (heron(), ((60, SILENT),), ()),
    "an emergency that was seen": (heron(), ((30, CLOSED),), (Acknowledge("vent-closed", "Wren"),)),
    "a blower held off": (heron(**HELD_OFF), ((30, CLOSED),), ()),
    "latched": (heron(), ((30, HOT), (200, at_rest())), (Acknowledge("blower-hot", "Wren"),)),
    "shelved": (heron(), ((30, HOT),), (Shelve("blower-hot", "Wren", 3600.0),)),
    "put right": (heron(), ((30, at_rest()),), (CorrectStage(Stage.RESTING, "Wren"),)),
}


@pytest.mark.parametrize("name", STATES)
def test_a_real_state_has_this_shape(name: str) -> None:
    tank, happenings, commands = STATES[name]
    check(state_after(tank, *happenings, commands=commands))


@pytest.mark.parametrize("verdict", Verdict)
def test_a_full_estimate_has_this_shape(verdict: Verdict) -> None:
    told = estimate(verdict, methanol=spread(0.002), dry_at=spread(1.7e9), emission=spread(1e-5))
    check(state_after(heron(), (5, at_rest())) | {"estimate": told})


def check(state: dict[str, Any]) -> None:
    told = TankAnswer.model_validate_json(json.dumps(state))
    assert json.loads(told.model_dump_json(exclude_unset=True)) == state  # what is not described falls out


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(20)
        yield place


@pytest.mark.broker
def test_what_is_answered_is_what_the_watcher_says(boathouse: DemoPlace) -> None:
    with httpx.Client(base_url=boathouse.address, trust_env=False) as api:
        every, one = api.get("/api/v1/tanks").json(), api.get("/api/v1/tanks/heron").json()
        assert every == {"heron": one}
        check(one)
        assert "quality" not in one["readings"]["fuel/temperature"]


@pytest.mark.broker
def test_the_plan_says_what_a_start_would_bring_and_none_while_it_bubbles(boathouse: DemoPlace) -> None:
    with httpx.Client(base_url=boathouse.address, trust_env=False) as api:
        plan = api.get("/api/v1/tanks/heron/plan").json()
        assert plan["prospects"] == api.get("/api/v1/tanks/heron").json()["estimate"]["plan"]
        assert plan["prospects"][0]["warmer_by"] == plan["prospects"][0]["wait"] == 0
        assert plan["said"][0].startswith("If you start now: ")
        assert any(one["warmer_by"] > 0 for one in plan["prospects"])
        limit = api.get("/api/v1/tanks/heron/plan", params={"fuel_temperature": 99})
        check_problem(limit, 422, "fuel_temperature")
        warmth = {one["warmer_by"]: one for one in plan["prospects"] if not one["wait"]}
        fuel = api.get("/api/v1/tanks/heron").json()["readings"]["fuel/temperature"]["value"]
        asked = api.get("/api/v1/tanks/heron/plan", params={"fuel_temperature": fuel + 10}).json()
        now, warm = asked["prospects"]
        assert now["warmer_by"] == 0
        assert warm["warmer_by"] == pytest.approx(10, abs=1.5)  # the probe lags behind the fuel
        near = warmth[10]["methanol_gone_in"]["median"]
        assert warm["methanol_gone_in"]["median"] == pytest.approx(near, rel=0.15)
        assert asked["said"][1].startswith("With the fuel at ")
        page = api.get("/tanks/heron/plan", params={"fuel": f"{fuel + 10:.1f}".replace(".", ",")})
        assert page.status_code == 200
        assert "With the fuel at" in page.text
        wrong = api.get("/tanks/heron/plan", params={"fuel": "warm"})
        assert wrong.status_code == 422
        assert "Give the fuel’s temperature as a number from −10" in wrong.text
        boathouse.play(35)
        none = api.get("/api/v1/tanks/heron/plan").json()
        assert (none["time"], none["prospects"]) == (None, [])
        assert none["said"][0].startswith("There is no plan: the blower runs.")


@pytest.mark.broker
def test_there_is_a_sheet_for_every_alarm_and_each_of_its_causes(boathouse: DemoPlace) -> None:
    sheets = httpx.get(f"{boathouse.address}/api/v1/alarms", trust_env=False).json()
    assert {(sheet["alarm"], sheet["cause"]) for sheet in sheets} >= {
        (kind.name, str(cause)) for kind in KINDS for cause in kind.deadlines
    }
    terms = {kind.name: kind for kind in KINDS}
    for sheet in sheets:
        kind = terms[sheet["alarm"]]
        assert (sheet["priority"], sheet["deadline"]) == (kind.least, kind.deadlines[sheet["cause"]])
        assert all(sheet[part] for part in ("title", "happened", "leads_to", "do", "within"))


def test_the_words_of_the_description_are_those_of_the_alarms() -> None:
    schema = TankAnswer.model_json_schema()["$defs"]
    assert schema["Priority"]["enum"] == list(Priority)
    assert schema["Change"]["enum"] == list(Change)
