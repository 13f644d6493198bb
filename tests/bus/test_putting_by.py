"""When what waits for a recorder is put on the disk: in time, whatever a recorder confirms meanwhile."""

from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest

from drydown.bus import publisher
from drydown.bus.counter import Counter
from drydown.bus.publisher import LAG, Publisher
from drydown.bus.shelf import DiskShelf
from drydown.bus.spool import SERIES
from drydown.bus.topics import TankTopics
from drydown.config.services import Broker
from support.broker import free_port, until

TOPICS = TankTopics("boathouse", "heron")
BEHIND = 12  # readings by which a recorder lags that confirms one with each


def test_confirming_old_readings_gives_no_younger_one_more_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = 1000.0
    monkeypatch.setattr(publisher, "time", SimpleNamespace(monotonic=lambda: now))
    shelf = DiskShelf(tmp_path / "waiting.sqlite3", 1e8)
    counter = Counter(tmp_path / "batches")
    made = Publisher(Broker(port=free_port()), TOPICS, counter, shelf, wake=lambda: None)
    try:
        for said in range(3 * BEHIND):
            made.say_series(TOPICS.readings, b'{"n":"fuel/level","v":0.5}')
            if said >= BEHIND:
                made._heard.append(("store", counter.start + said - BEHIND))
            made.pump()
            is_put_by = partial(_is_safe, shelf, counter.start + said - round(LAG[SERIES]))
            if said >= LAG[SERIES]:
                until(is_put_by, 10)
            now += 1.0
    finally:
        shelf.close()


def _is_safe(shelf: DiskShelf, number: int) -> bool:
    return shelf.safe >= number
