"""A card that turns read-only under a running board, as a real ext4 does after an error of its own."""

import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from support.broker import Mosquitto, until
from support.processes import wait_until_said
from support.watched_place import place

pytestmark = [pytest.mark.broker, pytest.mark.long]


def run(*words: str | Path) -> str:
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout.strip()


class Card:
    """A file with an ext4 in it, mounted so that an error makes it read-only (ext4(5), errors=remount-ro)."""

    def __init__(self, folder: Path) -> None:
        self._image, self.folder = folder / "card", folder / "site"
        self.folder.mkdir()
        with self._image.open("wb") as image:
            image.truncate(1_000_000_000)  # sparse
        run("mkfs.ext4", "-q", self._image)
        self.mount()

    def mount(self) -> None:
        run("mount", "-o", "loop,errors=remount-ro", self._image, self.folder)

    def fail(self) -> None:
        """The kernel finds the file system in error, with files open for writing."""
        device = run("findmnt", "--noheadings", "--output=SOURCE", "--mountpoint", self.folder)
        Path("/sys/fs/ext4", Path(device).name, "trigger_fs_error").write_text("1")

    def mend(self) -> None:
        """As a person would with the card in a reader."""
        self.take_out()
        subprocess.run(["e2fsck", "-fy", self._image], check=False, capture_output=True)  # 1: it mended
        self.mount()

    def take_out(self) -> None:
        run("umount", self.folder)


@pytest.fixture
def card(tmp_path: Path) -> Iterator[Card]:
    try:
        made = Card(tmp_path)
    except (OSError, subprocess.CalledProcessError) as error:
        pytest.skip(f"no disk of its own can be mounted here: {error}")
    try:
        yield made
    finally:
        subprocess.run(["umount", "-l", made.folder], check=False)


def times(store: Path) -> set[int]:
    with closing(sqlite3.connect(f"file:{store}?mode=ro", uri=True)) as connection:
        return {row[0] for row in connection.execute("SELECT time FROM reading")}


def is_begun(store: Path) -> bool:
    """Whether there is a record; it is a file before it has tables."""
    try:
        return store.exists() and len(times(store)) > 5
    except sqlite3.OperationalError:
        return False


def test_that_it_is_so_is_said_what_it_held_stays_and_once_mended_it_goes_on(
    tmp_path: Path, card: Card, broker: Mosquitto
) -> None:
    with place(tmp_path, broker.port) as made:
        store = made.site.store_path
        with made.command("watch") as watch, made.command("record") as record:
            until(lambda: is_begun(store), 60, what="a record")
            card.fail()
            said = wait_until_said(record, "read-only")
            before = times(store)
            until(lambda: "watch-degraded unacknowledged" in made.alarms(), what="an alarm")
            watch.check()
            record.check()
        assert "Recording goes on when that is mended" in said
        card.mend()
        with made.command("watch"), made.command("record"):
            until(lambda: times(store) > before, 60, what="all that was there, and more")
