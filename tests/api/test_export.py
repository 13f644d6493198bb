"""What is handed out: read back by other people's parsers, and gone through once more by replay."""

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from drydown.archive import READINGS, read_archive
from drydown.bus.senml_json import decode_stream
from drydown.effects import Estimated
from drydown.quantities import MEASURED
from drydown.replay import replay
from drydown.store.read import StoreReader
from support.demo_place import DemoPlace, demo_at
from support.problem import check_problem

pytestmark = pytest.mark.broker

HERON = "/api/v1/tanks/heron"
EVER = {"start": 0, "end": 1e11}


@pytest.fixture(scope="module")
def boathouse(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoPlace]:
    """At minute 60: half an hour of bubbling."""
    with demo_at(tmp_path_factory.mktemp("boathouse"), 60) as place:
        yield place


@pytest.fixture
def reader(boathouse: DemoPlace) -> Iterator[StoreReader]:
    with StoreReader(boathouse.site.store_path) as found:
        yield found


def archived(api: httpx.Client, folder: Path) -> Path:
    run = api.get(f"{HERON}/runs").json()[0]
    answer = api.get(f"{HERON}/runs/{run['start']}/archive")
    assert answer.headers["content-type"] == "application/zip"
    assert answer.headers["content-disposition"].startswith('attachment; filename="heron-20')
    path = folder / "run.zip"
    path.write_bytes(answer.content)
    return path


def test_senml_holds_every_reading(api: httpx.Client, reader: StoreReader) -> None:
    answer = api.get(f"{HERON}/readings.sensml", params=EVER)
    assert answer.headers["content-type"] == "application/sensml+json"  # RFC 8428, section 12.3.2
    given = [
        (record.name.removeprefix("boathouse/heron/"), record.time, record.value, record.unit)
        for record in decode_stream(answer.content.splitlines(), 0.0)
        if not record.name.endswith("/quality")
    ]
    stored = [
        (sample.name, sample.time, sample.value, sample.unit)
        for sample in reader.samples("heron", 0, 1e11)
        if sample.value is not None
    ]
    assert len(given) > 5000
    assert sorted(given, key=str) == sorted(stored, key=str)


def test_a_few_series_can_be_asked_for(api: httpx.Client) -> None:
    answer = api.get(f"{HERON}/readings.sensml", params=EVER | {"name": ["fuel/level", "vent/open"]})
    names = {record.name for record in decode_stream(answer.content.splitlines(), 0.0)}
    assert names == {"boathouse/heron/fuel/level", "boathouse/heron/vent/open"}


def test_csv_is_a_table_with_units(api: httpx.Client, reader: StoreReader) -> None:
    answer = api.get(f"{HERON}/readings.csv", params=EVER | {"name": ["fuel/temperature", "blower/running"]})
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    head, *rows = csv.reader(io.StringIO(answer.text, newline=""))
    assert head == ["time (UTC)", "fuel/temperature (Cel)", "blower/running"]
    assert answer.text.count("\r\n") == len(rows) + 1  # RFC 4180
    temperatures = [sample.value for sample in reader.samples("heron", 0, 1e11, ["fuel/temperature"])]
    assert [float(row[1]) for row in rows if row[1]] == temperatures
    assert {row[2] for row in rows} <= {"0", "1", ""}
    assert rows[0][0].endswith("Z")


def test_a_run_in_one_file_gives_the_same_estimates_again(
    api: httpx.Client, reader: StoreReader, tmp_path: Path
) -> None:
    archive = read_archive(archived(api, tmp_path))
    effects = replay(archive.tank, archive.run, archive.commands)
    again = {round(e.estimate.time): e.estimate.methanol for e in effects if isinstance(e, Estimated)}
    stored = list(reader.samples("heron", 0, 1e11, ["estimate/methanol"]))
    late = [sample for sample in stored if sample.time > stored[-1].time - 600]
    assert len(late) >= 9
    for sample in late:
        nearest = min(again, key=lambda time: abs(time - sample.time))
        found = again[nearest]
        assert found is not None
        assert found.median == pytest.approx(sample.value, rel=0.02)  # its minutes may begin elsewhere


def test_the_file_tells_nothing_of_the_rest_of_the_site(api: httpx.Client, tmp_path: Path) -> None:
    with zipfile.ZipFile(archived(api, tmp_path)) as archive:
        assert archive.testzip() is None
        assert set(archive.namelist()) == {
            "README.txt",
            "site.toml",
            "run.sensml",
            "commands.jsonl",
            "run.jsonl",
        }
        config = archive.read("site.toml").decode()
        assert "broker" not in config
        assert "notices" not in config
        names = {record.name for record in decode_stream(archive.read(READINGS).splitlines(), 0.0)}
        assert {
            name.removeprefix("boathouse/heron/").removesuffix("/quality") for name in names
        } <= MEASURED.keys()
        kinds = {json.loads(line)["kind"] for line in archive.read("run.jsonl").splitlines()}
        assert {"reading", "estimate", "stage"} <= kinds


@pytest.mark.parametrize("path", ["readings.sensml", "readings.csv"])
def test_a_span_has_to_be_named(api: httpx.Client, path: str) -> None:
    check_problem(api.get(f"{HERON}/{path}"), 422, "query.start")


def test_a_run_that_there_is_not(api: httpx.Client) -> None:
    check_problem(api.get(f"{HERON}/runs/12/archive"), 404, "No run of this tank began then")
