"""Server-sent events: at once, at every change, and when nobody watches."""

import json
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from support.broker import Mosquitto, free_port
from support.demo_place import DemoPlace, demo_place
from support.problem import check_problem
from support.processes import running
from support.served import served
from support.site_file import write_site
from support.sse import events

pytestmark = pytest.mark.broker

HERON = "/api/v1/tanks/heron/events"
PARTS = {"age", "alarms", "answer", "contents", "above-fuel", "bubbles", "facts", "quiet", "unwatched"}


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    with demo_place(tmp_path_factory.mktemp("boathouse")) as place:
        place.play(29.5)
        yield place


def test_the_page_comes_at_once_and_again_with_every_change(boathouse: DemoPlace) -> None:
    with httpx.Client(base_url=boathouse.address, trust_env=False, timeout=8) as api:
        began = time.monotonic()
        with api.stream("GET", HERON) as answer:
            assert answer.headers["cache-control"] == "no-store"
            assert "content-encoding" not in answer.headers
            said = events(answer)
            kind, view = next(said)
            assert kind == "view"
            assert time.monotonic() - began < 1.0
            assert view["parts"].keys() == PARTS
            assert "The fuel is settling." in view["parts"]["answer"]
            with boathouse.living():
                for _, later in said:
                    if "circle" in later["parts"]["bubbles"]:
                        break
            assert later["at"] > view["at"]
            assert "Too early to tell" in later["parts"]["answer"] or "Methanol" in later["parts"]["answer"]


def test_a_page_is_told_that_we_live_even_when_nothing_changes(boathouse: DemoPlace) -> None:
    with (
        httpx.Client(base_url=boathouse.address, trust_env=False, timeout=8) as api,
        api.stream("GET", HERON) as answer,
    ):
        said = events(answer)
        next(said)
        began = time.monotonic()
        next(said)
        assert time.monotonic() - began < 4.0  # the page calls its numbers old after 8 s of silence


def test_who_comes_back_gets_the_whole_page_as_it_is_now(boathouse: DemoPlace) -> None:
    with httpx.Client(base_url=boathouse.address, trust_env=False, timeout=8) as api:
        with api.stream("GET", HERON) as answer:
            lines = answer.iter_lines()
            named, _, last = next(line for line in lines if line.startswith("id")).partition(": ")
            view = json.loads(next(line for line in lines if line.startswith("data")).partition(": ")[2])
        assert (named, float(last)) == ("id", view["at"])
        boathouse.play(boathouse.minutes + 1)  # away for a while
        with api.stream("GET", HERON, headers={"Last-Event-ID": last}) as answer:
            later = next(one for kind, one in events(answer) if kind == "view" and one["at"] > view["at"])
    assert later["parts"].keys() == PARTS


def test_the_list_of_tanks_has_events_too(boathouse: DemoPlace) -> None:
    with (
        httpx.Client(base_url=boathouse.address, trust_env=False, timeout=8) as api,
        api.stream("GET", "/api/v1/events") as answer,
    ):
        kind, view = next(events(answer))
    assert kind == "view"
    assert 'href="/tanks/heron"' in view["parts"]["tanks"]


def test_the_end_and_the_return_of_the_watcher_are_told(tmp_path: Path, broker: Mosquitto) -> None:
    config = write_site(tmp_path, "boathouse", ["heron", "plover"], broker.port, ["fuel/temperature"])
    with served(config) as api, api.stream("GET", HERON) as answer:
        said = events(answer)
        kind, detail = next(said)
        assert kind == "away"
        assert "Start `drydown watch`" in detail or "not been asked yet" in detail
        with running("watch", "--config", config, log=tmp_path / "watch.log"):
            while next(said)[0] == "away":
                pass
        stopped = time.monotonic()
        while next(said)[0] == "view":
            pass
        assert time.monotonic() - stopped < 3.0


def test_streams_end_when_the_server_does(tmp_path: Path) -> None:
    with served(write_site(tmp_path, "boathouse", ["heron"], free_port())) as api:
        answer = api.send(api.build_request("GET", HERON), stream=True)
        said = events(answer)
        next(said)
        began = time.monotonic()
    assert time.monotonic() - began < 1.5
    answer.close()


def test_a_tank_that_there_is_not_has_no_events(boathouse: DemoPlace) -> None:
    check_problem(httpx.get(f"{boathouse.address}/api/v1/tanks/egret/events", trust_env=False), 404, "heron")
