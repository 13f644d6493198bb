"""Two recorders of one site: what one of them missed waits for it, whatever happens to the rest meanwhile."""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, suppress
from pathlib import Path

import pytest

from drydown.bus.publisher import LAG
from drydown.bus.spool import SERIES
from support.broker import Mosquitto, until
from support.ordeal import UNSENT
from support.processes import Running, running
from support.watched_place import Place, place

pytestmark = pytest.mark.broker

AWAY = 15.0  # s: a backlog that outgrows what a kill may cost
Row = tuple[str, int]


def rows(store: Path) -> set[Row]:
    """Name and Unix time (ms) of all that a store holds."""
    with closing(sqlite3.connect(store)) as connection, suppress(sqlite3.OperationalError):  # not made yet
        return set(
            connection.execute("SELECT name, time FROM reading JOIN series ON series.id = reading.series")
        )
    return set()


class Two:
    """A watcher, its own recorder, and a second one with a store of its own."""

    def __init__(self, made: Place, running_here: ExitStack) -> None:
        self._made, self._stack = made, running_here
        self.own = made.site.store_path
        self._config = made.folder / "second.toml"
        text = made.config.read_text().replace(f'"{made.folder}/site"', f'"{made.folder}/second"')
        self._config.write_text(text + '\n[store]\nrecorder = "second"\n')
        self.other = made.folder / "second" / "drydown.sqlite3"

    def start(self, name: str) -> Running:
        return self._stack.enter_context(self._made.command(name))

    def start_second(self) -> Running:
        log = self._made.folder / "second.log"
        return self._stack.enter_context(running("record", "--config", self._config, log=log))

    def wait_for_more(self, store: Path) -> None:
        """Until a store holds what is younger than now."""
        now = time.time() * 1000
        until(lambda: store.exists() and any(at > now for _, at in rows(store)), 60)


@pytest.fixture
def two(tmp_path: Path, broker: Mosquitto) -> Iterator[Two]:
    with place(tmp_path, broker.port) as made, ExitStack() as stack:
        yield Two(made, stack)


@pytest.mark.parametrize(
    "forgetful",
    [pytest.param(False, id="broker stays", marks=pytest.mark.long), pytest.param(True, id="broker forgets")],
)
def test_what_a_second_recorder_missed_outlives_the_watcher(
    two: Two, broker: Mosquitto, forgetful: bool
) -> None:
    watch, second = two.start("watch"), two.start_second()
    two.start("record")
    two.wait_for_more(two.other)
    second.stop()
    time.sleep(AWAY)
    killed = time.time()
    watch.kill()
    if forgetful:  # a broker that kept no cursor on its disk
        broker.stop()
        broker.start()
    two.start("watch")
    two.wait_for_more(two.own)
    two.wait_for_more(two.own)  # the watcher has heard the first recorder, and let go what may go
    two.start_second()
    two.wait_for_more(two.other)
    may_be_lost = (killed - LAG[SERIES] - UNSENT) * 1000, killed * 1000
    missing = {row for row in rows(two.own) - rows(two.other) if row[1] < killed * 1000}
    lost = {row for row in missing if not may_be_lost[0] < row[1] < may_be_lost[1]}
    assert not lost, f"{len(lost)}, as {sorted(lost)[:5]}"
