"""`drydown record` as a process: what it says when it can't work, and how it ends."""

import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from drydown.store.read import StoreReader
from drydown.store.schema import StoreError
from support.broker import Mosquitto, free_port, until
from support.processes import DRYDOWN, wait_until_said
from support.watched_place import Place, place


@pytest.fixture
def boathouse(tmp_path: Path, broker: Mosquitto) -> Iterator[Place]:
    with place(tmp_path, broker.port) as made:
        yield made


def test_a_file_that_is_not_ours_is_refused_in_a_sentence(tmp_path: Path) -> None:
    with place(tmp_path, free_port()) as alone:
        alone.site.folder.mkdir()
        alone.site.store_path.write_text("letters of the harbour office " * 100)
        told = subprocess.run([DRYDOWN, "record", "--config", alone.config], capture_output=True, text=True)
    assert told.returncode == 2
    assert "is not a drydown store" in told.stderr
    assert "Traceback" not in told.stderr


def test_without_a_broker_it_waits_and_then_goes_on(tmp_path: Path) -> None:
    broker = Mosquitto(tmp_path)
    with place(tmp_path, broker.port) as made, made.command("record") as record:
        wait_until_said(record, "can't be reached")
        broker.start()
        wait_until_said(record, "connected to the broker")
        broker.stop()


@pytest.mark.broker
def test_told_to_end_it_commits_what_it_has(boathouse: Place) -> None:
    with boathouse.command("record") as record, boathouse.command("watch"):
        wait_until_said(record, "connected to the broker")
        boathouse.wait_for_readings()
        time.sleep(2.5)  # longer than readings wait to be said, shorter than they wait to be committed
        record._process.send_signal(signal.SIGTERM)
        assert record._process.wait(5) == 0
    assert "Traceback" not in record.log.read_text()
    with StoreReader(boathouse.site.store_path) as reader:
        assert "fuel/temperature" in reader.latest("heron")


@pytest.mark.broker
def test_a_store_taken_away_is_made_again_without_losing_what_comes(boathouse: Place) -> None:
    with boathouse.command("record") as record, boathouse.command("watch"):
        until(lambda: _rows(boathouse) > 5, 20)
        for path in boathouse.site.folder.glob("drydown.sqlite3*"):
            path.rename(path.with_name("taken-" + path.name))
        wait_until_said(record, "moved or removed")
        wait_until_said(record, "the store works again")
        until(lambda: _rows(boathouse) > 5, 20)
    assert "Traceback" not in record.log.read_text()


def _rows(boathouse: Place) -> int:
    try:
        with StoreReader(boathouse.site.store_path) as reader:
            return len(list(reader.samples("heron", 0, 1e11)))
    except StoreError:
        return 0
