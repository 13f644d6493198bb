"""A file that is kept: its last state reaches the disk, whatever happens on the way."""

import json
import os
from pathlib import Path
from typing import Any

import pytest

from drydown import kept_file
from drydown.kept_file import KeptFile
from support.broker import until


def test_what_is_kept_while_the_disk_is_away_is_written_when_it_is_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(kept_file, "RETRY", 0.05)
    folder = tmp_path / "away"
    file = KeptFile(folder / "alarms.json", "much is lost")
    file.keep({"seen": True})
    until(lambda: "after a restart much is lost" in caplog.text, 30)
    folder.mkdir()
    until((folder / "alarms.json").exists, 30)
    assert json.loads((folder / "alarms.json").read_text()) == {"seen": True}
    file.close()
    assert caplog.text.count("can't be written") == 1


def test_what_is_kept_while_another_is_written_follows_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fsync, path = os.fsync, tmp_path / "alarms.json"
    file = KeptFile(path, "much is lost")

    def meanwhile(descriptor: int) -> None:
        monkeypatch.setattr(os, "fsync", fsync)
        file.keep([2])
        fsync(descriptor)

    monkeypatch.setattr(os, "fsync", meanwhile)
    file.keep([1])
    until(lambda: path.exists() and json.loads(path.read_text()) == [2], 30)
    file.close()


def test_what_no_file_can_hold_stops_nothing(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    path = tmp_path / "alarms.json"
    file = KeptFile(path, "much is lost")
    odd: Any = {"probes": {"fuel/temperature"}}
    file.keep(odd)
    until(lambda: "can't be written" in caplog.text, 30)
    file.keep({"probes": ["fuel/temperature"]})
    until(path.exists, 30)
    file.close()
    assert json.loads(path.read_text()) == {"probes": ["fuel/temperature"]}
