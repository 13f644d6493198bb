"""Recorded runs: read whole and in order, and refused in one sentence when they are broken or hostile."""

import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.bus.recorded import RecordedError, read_run
from drydown.bus.senml import Record
from drydown.bus.senml_json import encode, encode_stream
from drydown.reading import Reading
from drydown.simulate.write import write_run

BASE = "boathouse/heron/"
START = 1789200000.0

RUN = [
    Record(BASE + "fuel/level", START, 0.5, "m"),
    Record(BASE + "blower/running", START, False),
    Record(BASE + "fuel/volume", START, 0.18, "m3"),
    Record("boathouse/plover/fuel/level", START, 0.3, "m"),
    Record(BASE + "fuel/level", START + 10, 0.51, "m"),
]


def written(folder: Path, name: str, content: bytes) -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


def refusal(path: Path) -> str:
    with pytest.raises(RecordedError) as error:
        read_run(path, BASE)
    assert "\n" not in str(error.value)
    return str(error.value)


def test_an_array_and_a_stream_give_the_same_batches(tmp_path: Path) -> None:
    array = written(tmp_path, "run.senml", encode(RUN))
    stream = written(tmp_path, "run.sensml", b"".join(encode_stream(reversed(RUN))))
    first, second = read_run(array, BASE)
    assert (first.time, second.time) == (START, START + 10)
    assert first.readings == (
        Reading("fuel/level", START, 0.5),
        Reading("blower/running", START, False),
    )
    assert second.readings == (Reading("fuel/level", START + 10, 0.51),)
    assert [(b.time, set(b.readings)) for b in read_run(stream, BASE)] == [
        (b.time, set(b.readings)) for b in (first, second)
    ]


def test_a_simulated_run_is_read_whole_and_fast(tmp_path: Path) -> None:
    write_run(tmp_path, "run", seed=2, kit="discharge")
    path = tmp_path / "run.senml"
    took = []
    for _ in range(3):
        began = time.process_time()
        batches = read_run(path, BASE)
        took.append(time.process_time() - began)
    count = sum(len(batch.readings) for batch in batches)
    assert count == len(path.read_text().splitlines()) - 2  # one record a line, and the two brackets
    assert [batch.time for batch in batches] == sorted({batch.time for batch in batches})
    assert min(took) / count < 20e-6  # s a reading; 80 ms for 9000 would be 9e-6 on an idle machine


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("run.senml", encode(RUN)[:-40], "record 5: it ends in the middle; is the rest cut off?"),
        ("run.senml", encode(RUN)[:-1], "it ends after record 5 without the closing bracket"),
        ("run.sensml", b"".join(encode_stream(RUN))[:-9], "record 5: it ends in the middle"),
        ("run.senml", b"", "allowed is an array of records"),
        ("run.sensml", b"", "there is no record"),
        ("run.senml", b"\x00" * 5000, "allowed is an array of records"),
        ("run.senml", b"\xff\xfe[\x00", "it is not UTF-8 (byte 1)"),
        ("run.senml", b"[" * 200_000, "record 1: it is nested too deeply"),
        ("run.senml", b'[{"bn":"boathouse/heron/"}]', "it has base values only and measures nothing"),
        ("run.senml", encode(RUN[3:4]), f"holds no readings of {BASE}, only of boathouse/plover/"),
        ("run.senml", b'[{"n":"boathouse/heron/fuel/level","u":"m","v":1,"t":5}]', "is relative to now"),
        (
            "run.senml",
            b'[{"n":"boathouse/heron/fuel/level","u":"m","v":1,"t":1e18}]',
            "before the year 10000",
        ),
        ("run.senml", encode([RUN[0], Record(BASE + "fuel/level", 1.9e9, 1.0, "m")]), "days after the first"),
        (
            "run.senml",
            b'[{"n":"boathouse/heron/fuel/level","u":"cm","v":1,"t":2e9}]',
            "u is 'cm'; allowed is 'm'",
        ),
        ("run.csv", b"time,level", "ends in .csv; allowed is a recorded run: .senml (one array), .sensml"),
    ],
)
def test_a_broken_file_is_refused_with_its_name_and_record(
    tmp_path: Path, name: str, content: bytes, told: str
) -> None:
    path = written(tmp_path, name, content)
    message = refusal(path)
    assert message.startswith(str(path))
    assert told in message


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    assert "is not there" in refusal(tmp_path / "none.senml")
    (tmp_path / "folder.senml").mkdir()
    assert "is not a file" in refusal(tmp_path / "folder.senml")
    huge = tmp_path / "huge.senml"
    with huge.open("wb") as file:
        file.truncate(65_000_000)
    assert "has 65000000 bytes; allowed are 64000000" in refusal(huge)


@settings(max_examples=300)
@given(st.data())
def test_damage_anywhere_gives_a_run_or_a_sentence(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    kind = data.draw(st.sampled_from(["senml", "sensml"]))
    content = bytearray(encode(RUN, "boathouse/") if kind == "senml" else b"".join(encode_stream(RUN)))
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.integers(0, len(content) - 1))
        content[place : place + data.draw(st.integers(0, 5))] = data.draw(st.binary(max_size=5))
    path = written(tmp_path_factory.getbasetemp(), f"damaged.{kind}", bytes(content))
    try:
        assert read_run(path, BASE)
    except RecordedError as error:
        assert str(error).startswith(str(path))
        assert "\n" not in str(error)


@pytest.mark.parametrize(("name", "said"), [("run.csv", "ends in .csv;"), ("run", "has no ending;")])
def test_a_file_of_another_kind_is_told_what_it_is_and_what_is_allowed(
    tmp_path: Path, name: str, said: str
) -> None:
    with pytest.raises(RecordedError, match=f"{said} allowed is a recorded run: .senml"):
        read_run(tmp_path / name, "boathouse/heron/")
