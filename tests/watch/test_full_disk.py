"""A disk that is full is told when watching begins, not only when it stops."""

import time
from pathlib import Path

import pytest

from drydown.watch import service
from support.broker import free_port, until
from support.watched_place import place, watching


def test_a_full_disk_is_told_at_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(service, "LEAST_FREE", 10**18)  # more than any disk has
    with place(tmp_path, free_port()) as made:
        monkeypatch.setenv("DRYDOWN_SYSFS", str(made.folder / "sys"))
        began = time.monotonic()
        with watching(made):
            until(lambda: "watch-degraded unacknowledged" in made.alarms(), 10)
            assert time.monotonic() - began < 5
            assert "of the disk are free" in made.state()["degraded"]["disk"]
    told = [record.getMessage() for record in caplog.records if "make room" in record.getMessage()]
    assert len(told) == 1
