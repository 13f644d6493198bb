"""A recorded run, played by probes."""

import json
from pathlib import Path

import pytest
from drydown.probes.recorded import Player, RecordedProbe, RecordingError
from drydown.reading import Quality

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
    player = Player(path, "heron")
    fuel, blower = RecordedProbe("fuel/temperature", player), RecordedProbe("blower/running", player)
    played = [fuel.read(now) for now in (500.0, 509.9, 510.0, 530.0)]
    assert [reading.time for reading in played] == [500.0, 500.0, 510.0, 510.0]
    assert [reading.value for reading in played] == pytest.approx([306.65, 306.65, 306.4, 306.4])
    assert (blower.read(505.0).value, blower.read(512.0).value) == (False, True)


def test_a_quantity_that_begins_later(path: Path) -> None:
    probe = RecordedProbe("air/temperature", Player(path, "heron"))
    early = probe.read(500.0)
    assert (early.value, early.quality) == (None, Quality.BAD)
    assert "begins 10 s into" in early.reason
    assert probe.read(510.0).value == pytest.approx(284.15)


def test_a_quantity_that_is_not_there(path: Path) -> None:
    assert "holds no fuel/level" in RecordedProbe("fuel/level", Player(path, "heron")).read(0.0).reason


def test_the_end(path: Path) -> None:
    probe = RecordedProbe("fuel/temperature", Player(path, "heron"))
    probe.read(0.0)
    assert probe.read(69.0).value is not None
    assert "has ended" in probe.read(71.0).reason


def test_a_stream(tmp_path: Path) -> None:
    path = tmp_path / "evening.sensml"
    path.write_text("".join(json.dumps(record) + "\n" for record in RUN))
    assert RecordedProbe("fuel/temperature", Player(path, "heron")).read(0.0).value == pytest.approx(306.65)


def test_one_tank_of_several(tmp_path: Path) -> None:
    other = [{"bn": "boathouse/plover/", "bt": START, "n": "fuel/temperature", "u": "Cel", "v": 20.0}]
    path = write(tmp_path / "both.senml", [*RUN, *other])
    assert RecordedProbe("fuel/temperature", Player(path, "plover")).read(0.0).value == pytest.approx(293.15)
    with pytest.raises(RecordingError, match="of the tanks heron, plover, and none of egret"):
        Player(path, "egret")


@pytest.mark.parametrize(
    ("records", "words"),
    [
        ([], "there is no record"),
        ([{"n": "something/else", "v": 1}], "of no tank"),
        ([RUN[0] | {"u": "K"}], "has the unit K; allowed is Cel"),
        ([RUN[0] | {"n": "blower/running"}], "is not true or false"),
        ([{"bn": "boathouse/heron/", "n": "fuel/level", "u": "m", "vs": "high"}], "is not a number"),
    ],
)
def test_files_that_cannot_be_played(tmp_path: Path, records: object, words: str) -> None:
    path = write(tmp_path / "bad.senml", records)
    with pytest.raises(RecordingError) as error:
        Player(path, "heron")
    assert words in str(error.value)
    assert "bad.senml" in str(error.value)


def test_a_truncated_file(tmp_path: Path, path: Path) -> None:
    cut = tmp_path / "cut.senml"
    cut.write_text(path.read_text()[:-40])
    with pytest.raises(RecordingError, match="cut off"):
        Player(cut, "heron")


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="cannot be read: No such file"):
        Player(tmp_path / "none.senml", "heron")
