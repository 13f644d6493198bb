"""A run's own file: replayed as it is, and refused in a sentence when it is something else."""

import argparse
import json
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drydown import replay
from drydown.archive import CONFIG, READINGS, read_archive
from drydown.errors import UserError
from drydown.simulate.write import write_run


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What is in the file of a simulated run."""
    folder = tmp_path_factory.mktemp("runs")
    write_run(folder, "evening", 2, "basic")
    records = json.loads((folder / "evening.senml").read_bytes())
    start = next(record["bt"] for record in records if "bt" in record)
    test = {"kind": "command", "time": start + 3600.0, "command": "bench-test", "quantity": "methanol"}
    return {
        CONFIG: (folder / "evening.toml").read_bytes(),
        READINGS: b"".join(json.dumps(record).encode() + b"\n" for record in records),
        "commands.jsonl": json.dumps(test | {"value": 0.004, "sigma": 0.0002, "who": "Wren"}).encode()
        + b"\n",
    }


def zipped(folder: Path, parts: dict[str, bytes]) -> Path:
    path = folder / "run.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def lines(path: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, object]]:
    options = argparse.Namespace(run=path, config=Path("nowhere"), tank=None, json=True, plot=None)
    assert replay.main(options) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def width(line: dict[str, object]) -> float:
    methanol = line["methanol"]
    assert isinstance(methanol, dict)
    return float(methanol["high"]) / float(methanol["low"])


def test_it_is_replayed_with_its_own_tank_and_what_people_told(
    parts: dict[str, bytes], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with_test = lines(zipped(tmp_path, parts), capsys)
    without = lines(zipped(tmp_path, parts | {"commands.jsonl": b""}), capsys)
    told = json.loads(parts["commands.jsonl"])["time"]

    def after(found: list[dict[str, object]]) -> dict[str, object]:
        return next(
            x for x in found if x["kind"] == "estimate" and float(str(x["time"])) > told and x["methanol"]
        )

    assert width(after(with_test)) < 0.5 * width(after(without))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({CONFIG: None}, r"holds no site\.toml: it is no run of drydown's"),
        ({READINGS: None}, r"holds no run\.sensml"),
        ({CONFIG: b'site = "x"'}, r"run\.zip site\.toml: tank is missing"),
        ({READINGS: b"{}\n"}, r"run\.zip: record 1"),
        (
            {"commands.jsonl": b'{"time": 1, "command": "dance", "who": "Wren"}'},
            r"line 1 is no command: command: allowed",
        ),
        ({"commands.jsonl": b"{"}, "line 1 is no command"),
    ],
)
def test_something_else_is_refused(
    parts: dict[str, bytes], tmp_path: Path, change: dict[str, bytes | None], said: str
) -> None:
    changed = {name: content for name, content in (parts | change).items() if content is not None}
    with pytest.raises(UserError, match=said):
        read_archive(zipped(tmp_path, changed))


@pytest.mark.parametrize("content", [b"", b"PK", b"not a zip at all" * 100])
def test_what_is_no_zip_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "run.zip"
    path.write_bytes(content)
    with pytest.raises(UserError, match="is damaged, or no zip file"):
        read_archive(path)


def test_every_cut_is_noticed(parts: dict[str, bytes], tmp_path: Path) -> None:
    path = zipped(tmp_path, parts)
    whole = path.read_bytes()
    for length in range(0, len(whole), len(whole) // 40):
        path.write_bytes(whole[:length])
        with pytest.raises(UserError):
            read_archive(path)


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_a_changed_byte_is_noticed_or_does_no_harm(
    parts: dict[str, bytes], tmp_path: Path, data: st.DataObject
) -> None:
    path = zipped(tmp_path, parts)
    whole = bytearray(path.read_bytes())
    whole[data.draw(st.integers(0, len(whole) - 1))] ^= data.draw(st.integers(1, 255))
    path.write_bytes(whole)
    with suppress(UserError):
        assert read_archive(path).run


def test_what_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(UserError, match="is not there"):
        read_archive(tmp_path / "run.zip")
