"""A recorded run, played by probes."""

import json
from pathlib import Path

import pytest

from drydown.bus.recorded import RecordedError
from drydown.probes.recorded import Player, RecordedProbe
from drydown.reading import Quality

HERON = "boathouse/heron/"
START = 1_789_200_000.0
RUN = [
    {"bn": "boathouse/heron/", "bt": START, "n": "fuel/temperature", "u": "Cel", "v": 33.5},
    {"n": "blower/running", "vb": False},
    {"bt": START + 10, "n": "fuel/temperature", "u": "Cel", "v": 33.25},
    {"n": "blower/running", "vb": True},
    {"n": "air/temperature", "u": "Cel", "v": 11.0},
]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return write(tmp_path / "evening.senml", RUN)


def write(path: Path, records: object) -> Path:
    path.write_text(json.dumps(records))
    return path


def test_it_is_played_at_its_own_pace(path: Path) -> None:
    player = Player(path, HERON)
    fuel, blower = RecordedProbe("fuel/temperature", player), RecordedProbe("blower/running", player)
    played = [fuel.read(now) for now in (500.0, 509.9, 510.0, 530.0)]
    assert [reading.time for reading in played] == [500.0, 500.0, 510.0, 510.0]
    assert [reading.value for reading in played] == pytest.approx([306.65, 306.65, 306.4, 306.4])
    assert (blower.read(505.0).value, blower.read(512.0).value) == (False, True)


def test_a_quantity_that_begins_later(path: Path) -> None:
    probe = RecordedProbe("air/temperature", Player(path, HERON))
    early = probe.read(500.0)
    assert (early.value, early.quality) == (None, Quality.BAD)
    assert "holds no air/temperature yet" in early.reason
    assert probe.read(510.0).value == pytest.approx(284.15)


def test_a_quantity_that_is_not_there(path: Path) -> None:
    assert "holds no fuel/level" in RecordedProbe("fuel/level", Player(path, HERON)).read(0.0).reason


def test_the_end(path: Path) -> None:
    probe = RecordedProbe("fuel/temperature", Player(path, HERON))
    probe.read(0.0)
    assert probe.read(69.0).value is not None
    assert "has ended" in probe.read(71.0).reason


def test_a_stream(tmp_path: Path) -> None:
    path = tmp_path / "evening.sensml"
    path.write_text("".join(json.dumps(record) + "\n" for record in RUN))
    assert RecordedProbe("fuel/temperature", Player(path, HERON)).read(0.0).value == pytest.approx(306.65)


def test_one_tank_of_several(tmp_path: Path) -> None:
    other = [{"bn": "boathouse/plover/", "bt": START, "n": "fuel/temperature", "u": "Cel", "v": 20.0}]
    player = Player(write(tmp_path / "both.senml", [*RUN, *other]), "boathouse/plover/")
    assert RecordedProbe("fuel/temperature", player).read(0.0).value == pytest.approx(293.15)


def test_a_fault_that_was_recorded_is_played_too(tmp_path: Path) -> None:
    fault = {"bt": START + 20, "n": "fuel/temperature/quality", "vs": "bad: it is not on the 1-Wire bus"}
    probe = RecordedProbe("fuel/temperature", Player(write(tmp_path / "fault.senml", [*RUN, fault]), HERON))
    probe.read(0.0)
    reading = probe.read(25.0)
    assert (reading.time, reading.value, reading.quality) == (20.0, None, Quality.BAD)
    assert reading.reason == "it is not on the 1-Wire bus"


def test_a_file_that_cannot_be_played(tmp_path: Path, path: Path) -> None:
    cut = tmp_path / "cut.senml"
    cut.write_text(path.read_text()[:-40])
    with pytest.raises(RecordedError, match=r"cut\.senml"):
        Player(cut, HERON)
    with pytest.raises(RecordedError, match="holds no readings of boathouse/egret/"):
        Player(path, "boathouse/egret/")
