"""The API over real HTTP, beside a watcher that lives and a store that the recorder wrote."""

import json
import math
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import httpx
import pytest

from drydown.bus.local_client import ask
from drydown.config.model import Tank
from drydown.core import Core
from drydown.demo.story import story_of
from drydown.demo.watcher import STEP
from drydown.effects import Estimated
from drydown.estimate.advised import differs
from drydown.estimate.result import Estimate
from drydown.lines import effect_of
from drydown.probes.simulated import LiveTank
from drydown.reading import Reading
from drydown.store.lines import recorded_lines
from drydown.store.read import StoreReader
from drydown_pages.planned import planned
from support.demo_place import DemoPlace, demo_at
from support.problem import check_problem

pytestmark = pytest.mark.broker

HERON = "/api/v1/tanks/heron"


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """At minute 76: the blower has bubbled for three quarters of an hour and is paused."""
    with demo_at(tmp_path_factory.mktemp("boathouse"), 76) as place:
        yield place


def points(api: httpx.Client, **query: Any) -> list[tuple[float, float]]:
    """The times and values of a series."""
    answer = api.get(f"{HERON}/series", params=query)
    assert answer.status_code == 200, answer.text
    (found,) = answer.json()
    return list(zip(found["time"], found["value"], strict=True))


def test_the_state_is_what_the_watcher_says(boathouse: DemoPlace, api: httpx.Client) -> None:
    said = ask(boathouse.site.socket_path, "state")
    assert api.get(HERON).json() == said["heron"]
    assert api.get("/api/v1/tanks").json() == said
    assert said["heron"]["stage"] == "paused"
    assert said["heron"]["estimate"]["methanol"] is not None


def test_all_is_well(api: httpx.Client) -> None:
    assert api.get("/api/v1/health").json() == {"well": True, "watcher": "", "store": ""}


def test_a_series_that_is_known_is_not_sent_again(api: httpx.Client) -> None:
    query: dict[str, str | int] = {"name": "fuel/temperature", "start": 0, "end": 1, "points": 40}
    first, again = (api.get(f"{HERON}/series", params=query) for _ in range(2))
    assert first.headers["Cache-Control"] == "private, no-cache"
    assert again.content == first.content
    known = {"If-None-Match": f'"other", {first.headers["ETag"]}'}  # RFC 9110, 13.1.2
    unchanged = api.get(f"{HERON}/series", params=query, headers=known)
    assert (unchanged.status_code, unchanged.content) == (304, b"")
    other = api.get(f"{HERON}/series", params=query | {"points": 50}, headers=known)
    assert other.status_code == 200


def test_a_series_is_what_sqlite_holds(boathouse: DemoPlace, api: httpx.Client) -> None:
    # read with sqlite3 itself, not with the project's reader
    with sqlite3.connect(f"file:{boathouse.site.store_path}?mode=ro", uri=True) as store:
        rows = store.execute(
            "SELECT time / 1000.0, value FROM reading JOIN series ON series = id"
            " WHERE name = 'fuel/temperature' ORDER BY time"
        ).fetchall()
    found = points(api, name="fuel/temperature", points=20000)
    assert found == rows
    assert len(rows) == 76 * 12


def test_thinning_keeps_the_extremes_and_says_what_it_did(api: httpx.Client) -> None:
    whole = points(api, name="fuel/temperature", points=20000)
    answer = api.get(f"{HERON}/series", params={"name": "fuel/temperature", "points": 40}).json()[0]
    assert answer["unit"] == "Cel"
    assert {len(answer[column]) for column in ("time", "value", "low", "high", "count")} == {
        len(answer["time"])
    }
    assert 20 <= len(answer["time"]) <= 40
    assert answer["step"] == 8 * math.ceil(76 * 60 / 40 / 8)
    assert sum(answer["count"]) == len(whole)
    assert max(answer["high"]) == max(value for _, value in whole)
    assert min(answer["low"]) == min(value for _, value in whole)
    for low, value, high in zip(answer["low"], answer["value"], answer["high"], strict=True):
        assert low - 1e-6 <= value <= high + 1e-6


def test_a_span_is_cut_out(api: httpx.Client) -> None:
    whole = points(api, name="fuel/level", points=20000)
    start, end = whole[100][0], whole[200][0]
    assert points(api, name="fuel/level", start=start, end=end) == whole[100:201]


def test_a_span_that_ends_before_it_begins_holds_nothing(api: httpx.Client) -> None:
    assert points(api, name="fuel/level", start=20, end=10) == []
    assert api.get(f"{HERON}/lines", params={"start": 20, "end": 10}).text == ""


def test_names_that_nobody_recorded_are_left_out(api: httpx.Client) -> None:
    names = ["fuel/level", "fuel/colour", "estimate/methanol"]
    found = api.get(f"{HERON}/series", params={"name": names}).json()
    assert [one["name"] for one in found] == ["fuel/level", "estimate/methanol"]


def test_the_run_is_told_by_its_stages(api: httpx.Client) -> None:
    (run,) = api.get(f"{HERON}/runs").json()
    assert [stage["stage"] for stage in run["stages"]] == ["settling", "bubbling", "paused"]
    assert run["end"] is None
    times = [stage["time"] - run["start"] for stage in run["stages"]]
    assert times == pytest.approx([0, 30 * 60, 75 * 60], abs=30)


def test_a_run_has_a_name_and_what_it_came_to(api: httpx.Client) -> None:
    (run,) = api.get(f"{HERON}/runs", params={"limit": 1}).json()
    day = datetime.fromtimestamp(run["start"]).astimezone()
    assert run["name"] == f"heron, {day:%-d %B %Y}"
    assert run["run_time"] == pytest.approx(45 * 60, abs=30)
    assert run["volume"] == pytest.approx(0.180, rel=0.05)  # what the simulated tank is filled with
    assert 0.0 < run["methanol"]["low"] < run["methanol"]["median"] < run["methanol"]["high"]
    assert run["moved"] == {}
    assert set(run["alarms"]) <= {"low", "high", "emergency"}


def test_lines_are_what_was_recorded(boathouse: DemoPlace, api: httpx.Client) -> None:
    start, end = boathouse.watcher.span
    answer = api.get(f"{HERON}/lines", params={"start": start, "end": end})
    assert answer.headers["content-type"].startswith("application/x-ndjson")
    lines = [json.loads(line) for line in answer.text.splitlines()]
    with StoreReader(boathouse.site.store_path) as reader:
        assert lines == list(recorded_lines(reader, "heron", start, end))
    assert {line["kind"] for line in lines} >= {"reading", "estimate", "stage"}


def test_the_record_tells_what_was_advised_at_every_moment(boathouse: DemoPlace, api: httpx.Client) -> None:
    """As the same core told it, but for what makes no difference to anybody; and only changes are kept."""
    start, end = boathouse.watcher.span
    answer = api.get(f"{HERON}/lines", params={"start": start, "end": end})
    lines = [json.loads(line) for line in answer.text.splitlines()]
    told = [estimate_of(line) for line in lines if line["kind"] == "estimate"]
    live = estimates_of(boathouse.site.tank[0], until=end - start)
    assert len(told) == len(live)
    assert not any(differs(a, replace(b, time=a.time)) for a, b in zip(told, live, strict=True))
    settled = next(line for line in lines if line["kind"] == "estimate" and line["time"] > start + 600)
    assert planned("settling", settled, UTC)[0].startswith("If you start now: ")
    assert not any(estimate.plan for estimate in told if start + 1860 < estimate.time < start + 4500)
    with sqlite3.connect(f"file:{boathouse.site.store_path}?mode=ro", uri=True) as store:
        (count,) = store.execute("SELECT count(*) FROM event WHERE kind = 'advised'").fetchone()
    assert 3 <= count <= len(told) / 4


def estimates_of(tank: Tank, until: float) -> list[Estimate]:
    """What a core tells of the demo's story."""
    core, live, told = Core(tank), LiveTank(story_of(tank)), []
    for step in range(1, round(until / STEP) + 1):
        now = step * STEP
        seen = live.look(now).readings
        effects = core.step(now, [Reading(name, now, seen[name]) for name in tank.probes], ())
        told += [effect.estimate for effect in effects if isinstance(effect, Estimated)]
    return told


def estimate_of(line: dict[str, Any]) -> Estimate:
    effect = effect_of(line, float)
    assert isinstance(effect, Estimated)
    return effect.estimate


def test_an_unknown_tank_is_answered_with_the_names_there_are(api: httpx.Client) -> None:
    for path in ("", "/series?name=fuel/level", "/runs", "/events", "/lines?start=0&end=1"):
        check_problem(api.get(f"/api/v1/tanks/plover{path}"), 404, "no tank of that name", "heron")


@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("series", "query.name"),
        ("series?name=", "query.name"),
        (f"series?name={'x' * 101}", "query.name"),
        ("series?" + "&".join(["name=a"] * 51), "query.name"),
        ("series?name=fuel/level&points=1", "query.points"),
        ("series?name=fuel/level&points=20001", "query.points"),
        ("series?name=fuel/level&points=many", "query.points"),
        ("series?name=fuel/level&start=-1", "query.start"),
        ("series?name=fuel/level&start=nan", "query.start"),
        ("series?name=fuel/level&start=inf", "query.start"),
        ("series?name=fuel/level&end=1e12", "query.end"),
        ("lines", "query.start"),
    ],
)
def test_a_bad_parameter_is_named(api: httpx.Client, path: str, field: str) -> None:
    check_problem(api.get(f"{HERON}/{path}"), 422, field)


def test_texts_of_any_kind_are_only_texts(api: httpx.Client) -> None:
    for name in ("'; DROP TABLE reading; --", "%00", "../../etc/passwd", "ÿ\u202e𝄞"):
        answer = api.get(f"{HERON}/series", params={"name": name})
        assert (answer.status_code, answer.json()) == (200, [])


def test_long_answers_are_compressed(api: httpx.Client) -> None:
    answer = api.get(f"{HERON}/series", params={"name": "fuel/level"})
    assert answer.headers["content-encoding"] == "gzip"
    assert int(answer.headers["content-length"]) < len(answer.content) / 4


def test_the_page_of_the_only_tank_is_the_front_page(api: httpx.Client) -> None:
    answer = api.get("/", follow_redirects=True)
    assert answer.url.path == "/tanks/heron"
    assert answer.headers["content-type"].startswith("text/html")
    assert "<h1>heron</h1>" in answer.text
    assert 'class="headline"' in answer.text
