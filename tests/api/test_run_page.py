"""What the charts of a run are drawn from, over real HTTP."""

import re
from collections.abc import Iterator

import httpx
import pytest

from drydown_api.answers import CourseAnswer
from drydown_pages.render import STATIC
from drydown_pages.run.view import BANDS, LINES
from support.demo_place import DemoPlace, demo_at
from support.problem import check_problem

pytestmark = pytest.mark.broker

HERON = "/api/v1/tanks/heron"


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """At minute 95: dried for three quarters of an hour, paused, and an emergency is over."""
    with demo_at(tmp_path_factory.mktemp("boathouse"), 95) as place:
        yield place


def course(api: httpx.Client) -> CourseAnswer:
    (run,) = api.get(f"{HERON}/runs").json()
    answer = api.get(f"{HERON}/runs/{run['start']}/course")
    assert answer.status_code == 200, answer.text
    return CourseAnswer.model_validate_json(answer.content, strict=True)


def test_rows_say_what_held_when(api: httpx.Client) -> None:
    told = course(api)
    held = {row.name: row.stretches for row in told.rows}
    assert [one.said for one in held["Stage"]] == ["settling", "bubbling", "paused", "bubbling"]
    lengths = [round((one.end - one.start) / 60) for one in held["Blower"]]
    assert lengths == [45, 8]
    assert {one.said for one in held["Vent"]} == {"open", "closed"}
    for stretches in held.values():
        assert all(one.start < one.end <= told.until for one in stretches)


def test_what_happened_and_what_was_believed(api: httpx.Client) -> None:
    told = course(api)
    said = [one.said for one in told.marks]
    assert "The blower runs and the vent is closed – for 6 min." in said
    (methanol,) = api.get(f"{HERON}/series", params={"name": "estimate/methanol"}).json()
    assert {one.time for one in told.beliefs} >= set(methanol["time"])
    assert told.beliefs[-1].methanol != "cannot tell"
    assert told.limits == {"methanol": 0.002, "water": 0.0005, "fuel": 60.0, "breathe": 200e-6, "fire": 0.015}


def test_a_page_brings_what_its_charts_need(api: httpx.Client) -> None:
    (run,) = api.get(f"{HERON}/runs").json()
    for path in (f"/tanks/heron/runs/{run['start']}", f"/tanks/heron/runs/{run['start'] + 0.0004:.4f}"):
        brought = re.search(r"data-course>(.*)</script>", api.get(path).text)
        assert brought
        assert CourseAnswer.model_validate_json(brought[1], strict=True) == course(api)


def test_the_page_asks_for_every_series_that_its_charts_draw() -> None:
    panels = (STATIC / "run" / "panels.js").read_text()
    drawn = re.findall(r'(band|line)\("([a-z_/]+)"', panels)
    assert {name for kind, name in drawn if kind == "band"} == set(BANDS)
    assert {name for kind, name in drawn if kind == "line"} == set(LINES)


def test_a_run_that_there_is_not(api: httpx.Client) -> None:
    check_problem(api.get(f"{HERON}/runs/12/course"), 404, "No run of heron began then")
    assert api.get("/tanks/heron/runs/12").status_code == 404
