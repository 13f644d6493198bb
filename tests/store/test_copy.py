"""Backups of a record that is being written, brought back: whole, checked, nothing written over."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from drydown.bus.intake import Row
from drydown.store.read import StoreReader
from drydown.store.write import StoreWriter
from support.broker import Mosquitto, free_port, until
from support.processes import DRYDOWN, wait_until_said
from support.watched_place import Place, place

START = 1_789_200_000
ENDS = ("-wal", "-shm")


def drydown(command: str, made: Place, file: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [DRYDOWN, command, file, "--config", made.config], capture_output=True, text=True, timeout=60
    )


def fill(path: Path, count: int) -> None:
    rows: list[Row] = [
        ("fuel/level", "m", "number", (START + second) * 1000, second / 10, None) for second in range(count)
    ]
    writer = StoreWriter(path)
    writer.add_rows("heron", rows)
    writer.commit({"heron": count})
    writer.close()


def count(path: Path) -> int:
    with StoreReader(path) as reader:
        return len(list(reader.samples("heron", 0, 1e11)))


@pytest.fixture
def still(tmp_path: Path) -> Iterator[Place]:
    """A site whose recorder does not run, with a store."""
    with place(tmp_path, free_port()) as made:
        fill(made.site.store_path, 1000)
        yield made


@pytest.mark.broker
def test_with_the_recorder_at_work_a_copy_is_made_and_none_is_brought_back(
    tmp_path: Path, broker: Mosquitto
) -> None:
    copy = tmp_path / "copy"
    with place(tmp_path, broker.port) as made, made.command("record") as record, made.command("watch"):
        wait_until_said(record, "connected to the broker")
        until(lambda: made.site.store_path.exists() and count(made.site.store_path) > 0, 30)
        told = drydown("backup", made, copy)
        assert (told.returncode, told.stderr) == (0, "")
        assert "no passwords" in told.stdout
        at_copy = count(copy)
        assert at_copy > 0
        until(lambda: count(made.site.store_path) > at_copy, 30)  # it went on
        refused = drydown("restore", made, copy)
        assert refused.returncode == 2
        assert "stop that one first" in refused.stderr
        assert "Traceback" not in record.log.read_text()
    assert list(tmp_path.rglob("*.part")) == []


def test_a_copy_is_brought_back_and_the_present_store_set_aside(still: Place, tmp_path: Path) -> None:
    store, copy = still.site.store_path, tmp_path / "copy"
    assert drydown("backup", still, copy).returncode == 0
    fill(store, 1500)
    told = drydown("restore", still, copy)
    assert (told.returncode, told.stderr) == (0, "")
    assert count(store) == 1000
    (aside,) = store.parent.glob(f"{store.name}.aside-*")
    assert str(aside) in told.stdout
    assert count(aside) == 1500
    assert drydown("restore", still, copy).returncode == 0  # and again, beside the first
    asides = [path for path in store.parent.glob(f"{store.name}.aside-*") if path.name[-4:] not in ENDS]
    assert len(asides) == 2
    assert StoreWriter(store).cursors() == {"heron": 1000}


def test_a_backup_writes_over_nothing(still: Place, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    copy.write_text("letters")
    told = drydown("backup", still, copy)
    assert told.returncode == 2
    assert "writes over nothing" in told.stderr
    assert copy.read_text() == "letters"


@pytest.mark.parametrize("what", ["absent", "letters", "empty", "torn"])
def test_what_is_no_whole_copy_is_refused_and_the_store_stays(
    still: Place, tmp_path: Path, what: str
) -> None:
    copy = tmp_path / "copy"
    if what == "torn":
        assert drydown("backup", still, copy).returncode == 0
        copy.write_bytes(copy.read_bytes()[:-6000])
    elif what != "absent":
        copy.write_text("letters of the harbour office " * 100 if what == "letters" else "")
    told = drydown("restore", still, copy)
    assert told.returncode == 2
    assert str(copy) in told.stderr
    assert "Traceback" not in told.stderr
    assert count(still.site.store_path) == 1000
    assert list(still.site.store_path.parent.glob("*.aside-*")) == []
    assert list(tmp_path.rglob("*.part")) == []


def test_where_nothing_can_be_written_it_says_so(still: Place, tmp_path: Path) -> None:
    told = drydown("backup", still, tmp_path / "nowhere" / "copy")
    assert told.returncode == 2
    assert "nowhere" in told.stderr
    assert "Traceback" not in told.stderr


def test_no_secret_of_the_site_is_in_a_copy(tmp_path: Path) -> None:
    with place(tmp_path, free_port()) as made:
        fill(made.site.store_path, 10)
        made.site.tokens_path.write_text('{"token": "seaweed-and-tar"}')
        copy = tmp_path / "copy"
        assert drydown("backup", made, copy).returncode == 0
        assert b"seaweed-and-tar" not in copy.read_bytes()
