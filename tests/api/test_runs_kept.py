"""What came of runs is looked up once: the list asks the readings of none that is over again."""

from pathlib import Path

from fastapi import Request

from drydown.config.load import load
from drydown.store.read import StoreReader
from drydown_api.app import create_app
from drydown_api.reviewed import named_runs
from support import weekly
from support.served import served
from support.weekly import Batch

SHORT = Batch(methanol=0.01, bubbles=600.0, fuel=311.0, air=290.0, humidity=0.5, flow=0.014, volume=0.17)


def test_a_second_look_reads_no_readings(tmp_path: Path) -> None:
    config = _site_with(tmp_path, runs=5)
    site = load(config)
    request = Request({"type": "http", "app": create_app(site)})
    asked: list[str] = []
    with StoreReader(site.store_path) as reader:
        reader._connection.set_trace_callback(asked.append)
        first = named_runs(request, reader, site.tank[0])
        assert sum("FROM reading" in one for one in asked) > 5
        asked.clear()
        assert named_runs(request, reader, site.tank[0]) == first
        assert not any("reading" in one for one in asked)
    assert [one.name for one in first[:2]] == ["heron, 26 June 2026", "heron, 19 June 2026"]


def test_two_hundred_runs_are_listed_page_by_page(tmp_path: Path) -> None:
    with served(_site_with(tmp_path, runs=200)) as client:
        answer = client.get("/tanks/heron/runs")
        assert answer.status_code == 200
        assert "200 runs, 1 to 20 here, the newest first." in answer.text
        assert len(answer.content) < 60_000
        last = client.get("/tanks/heron/runs?first=180").text
        assert "181 to 200 here" in last
        assert "Older runs" not in last
        assert len(client.get("/api/v1/tanks/heron/runs?limit=1000").json()) == 200


def test_what_is_asked_for_wrongly_is_told(tmp_path: Path) -> None:
    with served(_site_with(tmp_path, runs=1)) as client:
        for query, told in (
            ("since=yesterday", "since is no day: give it as year-month-day, like 2026-05-14."),
            ("ended=well", "ended may be one of: dry, air-limited,"),
        ):
            answer = client.get(f"/tanks/heron/runs?{query}")
            assert answer.status_code == 422
            assert told in answer.text
        assert client.get("/tanks/heron/runs/17/report").status_code == 404


def _site_with(folder: Path, runs: int) -> Path:
    written = folder / "written.sqlite3"
    weekly.copied(written, [weekly.run_of(SHORT, 1)], runs, weekly.WEEK)
    return weekly.site(folder, written)
