"""The watcher's socket: answers, streams, refuses, and is never held up by who does not read."""

import asyncio
import json
import socket
import stat
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from drydown.bus import local_client, local_server
from drydown.bus.local_server import LocalServer, Reply
from drydown.errors import UserError
from drydown.outlook.air import AirAhead, Hour
from drydown.outlook.lines import air_line, air_of, outlook_line
from drydown.outlook.ranking import Outlook
from support.broker import until


class Desk:
    """Answers from another thread, as a tank does."""

    def state(self) -> dict[str, Any]:
        return {"heron": {"stage": "idle"}}

    def command(self, tank: str, order: dict[str, Any], reply: Reply) -> None:
        if order.get("command") == "stumble":
            raise RuntimeError("a mistake in the desk")
        if tank != "heron":
            raise UserError(f"there is no tank {tank}; there is heron")
        threading.Thread(target=reply, args=({"lines": [order]},)).start()

    def what_if(self, tank: str, fuel_temperature: float) -> list[dict[str, Any]]:
        return [{"tank": tank, "warm": fuel_temperature}]

    def outlook(self, tank: str, air: object) -> dict[str, Any] | None:
        return outlook_line(Outlook((), ())) | {"tank": tank, "first": air_of(air).first}


@pytest.fixture
def server(tmp_path: Path) -> Iterator[LocalServer]:
    running = LocalServer(tmp_path / "watch.sock", Desk())
    running.start()
    yield running
    running.close()


@pytest.fixture
def path(server: LocalServer) -> Path:
    return server._path


def connect(path: Path) -> socket.socket:
    connection = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    connection.settimeout(5)
    connection.connect(str(path))
    return connection


def test_state_and_commands_are_answered(path: Path) -> None:
    assert local_client.ask(path, "state") == {"heron": {"stage": "idle"}}
    assert local_client.ask(path, "command", tank="heron", command={"a": 1}) == {"lines": [{"a": 1}]}
    assert asyncio.run(local_client.ask_async(path, "state")) == {"heron": {"stage": "idle"}}


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"what": "nonsense"}, '"ask" is "state", "follow", "what-if", "outlook" or "command"'),
        ({"what": "command"}, 'a command needs "tank"'),
        ({"what": "command", "tank": "plover", "command": {}}, "there is no tank plover; there is heron"),
    ],
)
def test_what_can_t_be_done_is_told_in_a_sentence(path: Path, fields: dict[str, Any], told: str) -> None:
    with pytest.raises(local_client.WatcherError, match=told):
        local_client.ask(path, **fields)


@pytest.mark.parametrize("request_line", [b"{", b"[]", b"\xff", b"[" * 50_000, b'"state"', b"1"])
def test_nonsense_is_answered_too(path: Path, request_line: bytes) -> None:
    with connect(path) as connection:
        connection.sendall(request_line + b"\n")
        answer = json.loads(connection.makefile("rb").readline())
    assert answer["ok"] is False
    assert "JSON" in answer["error"]


def test_several_requests_on_one_connection_keep_their_numbers(path: Path) -> None:
    with connect(path) as connection:
        connection.sendall(b'{"id":"a","ask":"state"}\n{"id":2,"ask":"sta')
        connection.sendall(b'te"}\n')
        answers = connection.makefile("rb")
        assert [json.loads(answers.readline())["id"] for _ in range(2)] == ["a", 2]


def test_a_mistake_behind_the_desk_is_told_and_ends_nothing(path: Path) -> None:
    with pytest.raises(local_client.WatcherError, match="see its log"):
        local_client.ask(path, "command", tank="heron", command={"command": "stumble"})
    assert local_client.ask(path, "state")


def test_an_id_of_any_depth_ends_nothing(path: Path) -> None:
    for depth in range(900, 1000):
        with connect(path) as connection:
            connection.sendall(b'{"ask":"state","id":' + b"[" * depth + b"]" * depth + b"}\n")
            assert json.loads(connection.makefile("rb").readline())["id"] is None
    assert local_client.ask(path, "state")


def test_lines_go_to_those_who_follow(server: LocalServer, path: Path) -> None:
    async def first_two() -> list[Any]:
        heard = []
        async for line in local_client.follow(path):
            heard.append(line)
            if len(heard) == 2:
                break
        return heard

    def speak() -> None:
        until(lambda: server.is_followed)
        for number in (1, 2):
            server.tell("heron", {"kind": "stage", "number": number})

    speaker = threading.Thread(target=speak)
    speaker.start()
    heard = asyncio.run(first_two())
    speaker.join()
    assert [line["line"]["number"] for line in heard] == [1, 2]
    until(lambda: not server.is_followed)


def test_who_follows_learns_when_the_watcher_goes(server: LocalServer, path: Path) -> None:
    async def listen() -> None:
        async for _ in local_client.follow(path):
            pass

    def leave() -> None:
        until(lambda: server.is_followed)
        server.close()

    threading.Thread(target=leave).start()
    with pytest.raises(local_client.WatcherAwayError, match="Start `drydown watch`"):
        asyncio.run(listen())


def test_who_does_not_read_is_cut_off_and_holds_nobody_up(server: LocalServer, path: Path) -> None:
    with connect(path) as sleeper:
        sleeper.sendall(b'{"ask":"follow"}\n')
        until(lambda: server.is_followed)
        slowest = 0.0
        for _ in range(300):
            before = time.perf_counter()
            server.tell("heron", {"text": "x" * 10_000})
            slowest = max(slowest, time.perf_counter() - before)
        until(lambda: not server.is_followed)
    assert slowest < 1.0
    assert local_client.ask(path, "state")


def test_too_long_a_request_ends_the_connection(path: Path) -> None:
    with connect(path) as connection, pytest.raises(OSError):
        for _ in range(100):
            connection.sendall(b"x" * local_server.LONGEST_REQUEST)
    assert local_client.ask(path, "state")


def test_there_are_only_so_many_clients(path: Path) -> None:
    crowd = [connect(path) for _ in range(local_server.MOST_CLIENTS)]
    with pytest.raises(local_client.WatcherAwayError):
        local_client.ask(path, "state")
    for connection in crowd:
        connection.close()
    until(lambda: _answers(path))


def _answers(path: Path) -> bool:
    try:
        return bool(local_client.ask(path, "state"))
    except local_client.WatcherError:
        return False


def test_the_socket_is_for_user_and_group_alone(path: Path) -> None:
    assert stat.S_IMODE(path.stat().st_mode) == 0o660


def test_a_socket_that_was_left_behind_is_replaced(tmp_path: Path) -> None:
    left = socket.socket(socket.AF_UNIX)
    left.bind(str(tmp_path / "watch.sock"))
    left.close()
    server = LocalServer(tmp_path / "watch.sock", Desk())
    server.start()
    assert local_client.ask(tmp_path / "watch.sock", "state")
    server.close()


def test_it_ends_in_good_order_where_its_socket_can_no_longer_be_deleted(tmp_path: Path) -> None:
    folder = tmp_path / "site"
    server = LocalServer(folder / "watch.sock", Desk())
    server.start()
    folder.rename(tmp_path / "elsewhere")
    folder.touch()
    server.close()
    assert (tmp_path / "elsewhere/watch.sock").exists()


def test_a_place_that_can_t_be_had_is_told_of(tmp_path: Path) -> None:
    with pytest.raises(UserError, match="socket can't be made"):
        LocalServer(tmp_path / ("x" * 120), Desk())


def test_a_watcher_that_is_not_there_is_told_of(tmp_path: Path) -> None:
    with pytest.raises(local_client.WatcherAwayError, match="nothing is watched from here"):
        local_client.ask(tmp_path / "watch.sock", "state")
    with pytest.raises(local_client.WatcherAwayError):
        asyncio.run(local_client.ask_async(tmp_path / "watch.sock", "state"))


def test_the_air_ahead_is_passed_on(path: Path) -> None:
    air = AirAhead(600.0, ((Hour(283.15, 0.8), Hour(284.65, 0.7512)),), (0.5, 1.0))
    assert air_of(json.loads(json.dumps(air_line(air)))) == air
    answer = local_client.ask(path, "outlook", tank="heron", air=air_line(air))
    assert answer == {"outlook": {"starts": [], "warmings": [], "tank": "heron", "first": 600.0}}


@pytest.mark.parametrize(
    "change",
    [
        {"first": -1.0},
        {"first": True},
        {"courses": []},
        {"courses": [[[283.15, 0.8]]] * 8},
        {"courses": [[[283.15, 80.0]]]},
        {"courses": [[[283.15, 0.8]], [[283.15, 0.8], [283.15, 0.8]]]},
        {"courses": [[283.15, 0.8]]},
        {"doubt": [1e9]},
        {"doubt": None},
    ],
)
def test_air_that_can_t_be_is_refused(path: Path, change: dict[str, object]) -> None:
    good = air_line(AirAhead(600.0, ((Hour(283.15, 0.8),),), (0.5,)))
    for air in (good | change, None):
        with pytest.raises(local_client.WatcherError, match='"outlook" needs "tank", a name, and "air"'):
            local_client.ask(path, "outlook", tank="heron", air=air)


def test_what_if_the_fuel_were_another_is_passed_on(path: Path) -> None:
    answer = local_client.ask(path, "what-if", tank="heron", fuel_temperature=313.15)
    assert answer == {"prospects": [{"tank": "heron", "warm": 313.15}]}


@pytest.mark.parametrize("warmth", [None, True, "40", 40, 1e9])
def test_no_temperature_that_can_be_meant_is_refused(path: Path, warmth: object) -> None:
    with pytest.raises(local_client.WatcherError, match=r"263\.15 to 373\.15 K"):
        local_client.ask(path, "what-if", tank="heron", fuel_temperature=warmth)
