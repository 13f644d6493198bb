"""An emergency told, seen, over and forgotten, through the API and the watcher's socket."""

from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from support.demo_place import DemoPlace, demo_place
from support.problem import check_problem
from support.served import served
from support.site_file import write_site

pytestmark = pytest.mark.broker

VENT = "/api/v1/tanks/heron/alarms/vent-closed"
WREN = {"who": "Wren"}


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """Just after the blower was started with the vent shut."""
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(87.5)
        yield place


def state(api: httpx.Client) -> str:
    """How the vent's alarm stands; others may have come with it."""
    alarms = api.get("/api/v1/tanks/heron").json()["alarms"]
    vent = (alarm for alarm in alarms if alarm["alarm"] == "vent-closed")
    return ", ".join(f"{alarm['state']} {alarm['who']}".strip() for alarm in vent)


@pytest.mark.parametrize(
    "body", [{}, {"who": ""}, {"who": "x" * 65}, {"who": 1}, {"who": "Wren", "why": "x"}, []]
)
def test_who_has_to_be_said(api: httpx.Client, body: object) -> None:
    check_problem(api.post(f"{VENT}/acknowledge", json=body), 422, "body")
    assert state(api) == "unacknowledged"


def test_what_is_no_json_is_refused(api: httpx.Client) -> None:
    for content in (b"", b"{", b"\xff\xfe", b'{"who": NaN}', b"[" * 10_000, b"who=Wren"):
        answer = api.post(
            f"{VENT}/acknowledge", content=content, headers={"content-type": "application/json"}
        )
        check_problem(answer, answer.status_code, "body")
        assert answer.status_code in (400, 422)


def test_an_alarm_that_does_not_exist(api: httpx.Client) -> None:
    answer = api.post("/api/v1/tanks/heron/alarms/dragon/acknowledge", json=WREN)
    check_problem(answer, 404, "no alarm of that name", "vent-closed")


def test_it_is_seen_once_and_stands_until_the_vent_is_open(boathouse: DemoPlace, api: httpx.Client) -> None:
    assert state(api) == "unacknowledged"
    check_problem(api.post(f"{VENT}/reset", json=WREN), 409, "not in a state")
    with boathouse.living():
        assert api.post(f"{VENT}/acknowledge", json={"who": "Wren\nof\tthe quay"}).json() == {"done": True}
        assert state(api) == "acknowledged Wren of\N{REPLACEMENT CHARACTER}the quay"
        check_problem(api.post(f"{VENT}/acknowledge", json=WREN), 409, "somebody was faster")
    boathouse.play(94)
    assert state(api) == ""
    boathouse.watcher.catch_up(0)
    start, end = boathouse.watcher.span
    lines = api.get("/api/v1/tanks/heron/lines", params={"start": start, "end": end}).text
    assert '"command": "acknowledge", "alarm": "vent-closed", "who": "Wren' in lines


def test_a_quiet_alarm_has_nothing_to_see(api: httpx.Client) -> None:
    answer = api.post("/api/v1/tanks/heron/alarms/fuel-hot/acknowledge", json=WREN)
    check_problem(answer, 409, "not in a state")


def test_the_phone_was_told_twice(boathouse: DemoPlace) -> None:
    assert [notice.title for notice in boathouse.told if "vent" in notice.title] == [
        "heron: EMERGENCY: The blower runs and the vent is closed",
        "heron: over: The blower runs and the vent is closed",
    ]


def test_commands_need_a_watcher(tmp_path: Path) -> None:
    with served(write_site(tmp_path, "boathouse", ["heron"], 1)) as api:
        check_problem(api.post(f"{VENT}/acknowledge", json=WREN), 503, "Start `drydown watch`")
        check_problem(api.post(f"{VENT}/reset", json=WREN), 503, "Start `drydown watch`")
