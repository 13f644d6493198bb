"""A call of the disk fails, each in its turn: what was told to be safe is there, once, and the file is sound.

The classes are those of the house, in a process of their own whose calls Debian's fiu-utils make fail.
"""

import json
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from drydown.bus.shelf import DiskShelf
from drydown.notices.outbox import Delivery, Outbox
from drydown.store.read import StoreReader
from drydown.store.write import StoreWriter
from support import failing_disk
from support.failing_disk import EVENT_AT, FAULTS, STEPS, TOPICS, WALL, errands

IN_MEMORY = Path("/dev/shm")
ERRANDS = sum(1 for _ in errands())

pytestmark = pytest.mark.skipif(
    not shutil.which("fiu-run"), reason="fiu-run is missing: the Debian package fiu-utils has it"
)


def is_sound(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as file:
        return bool(file.execute("PRAGMA integrity_check").fetchone() == ("ok",))


def look_at_store(folder: Path, said: int) -> None:
    path = folder / "store"
    with closing(StoreWriter(path)) as writer:  # as the next recorder does
        reached = writer.cursors().get(TOPICS.tank, 0)
    assert reached >= said
    with StoreReader(path) as reader:
        rows = [round(one.time - WALL) for one in reader.samples(TOPICS.tank, 0, 2 * WALL)]
        events = [round(one.time - WALL) for one in reader.events(TOPICS.tank, 0, 2 * WALL)]
    assert sorted(rows + events) == list(range(1, reached + 1))
    assert events == [EVENT_AT][: len(events)]
    assert is_sound(path)


def look_at_shelf(folder: Path, said: int) -> None:
    with closing(DiskShelf(folder / "waiting", 1e8)) as shelf:
        found = shelf.window(1)
    assert found is not None
    numbers = [number for number, _ in found]
    assert set(range(2 if said >= 2 else 1, said + 1)) <= set(numbers)
    assert numbers == sorted(set(numbers))
    assert all(entry.body == b"%d" % number for number, entry in found)
    assert is_sound(folder / "waiting")


def look_at_kept(folder: Path, said: int) -> None:
    path = folder / "kept.json"
    kept = json.loads(path.read_bytes())["step"] if path.exists() else 0
    assert said <= kept <= STEPS


def look_at_outbox(folder: Path, said: int, states: list[list[Delivery]]) -> None:
    with closing(Outbox(folder / "outbox")) as outbox:
        assert outbox.open() in states[said : said + 2]  # the next may be there too
    assert is_sound(folder / "outbox")


@pytest.fixture(scope="module")
def states(tmp_path_factory: pytest.TempPathFactory) -> list[list[Delivery]]:
    """What an outbox has to send after each errand."""
    with closing(Outbox(tmp_path_factory.mktemp("outbox") / "outbox")) as outbox:
        found = [outbox.open()]
        for errand in errands():
            errand(outbox)
            found.append(outbox.open())
    return found


@pytest.fixture(scope="module")
def written() -> Iterator[Path]:
    """Where everything was written. In memory if it can be: nothing here needs a disk that lasts."""
    with TemporaryDirectory(dir=IN_MEMORY if IN_MEMORY.is_dir() else None) as folder:
        program = [sys.executable, failing_disk.__file__, folder]
        ran = subprocess.run(["fiu-run", "-x", *program], capture_output=True, text=True)
        assert ran.returncode == 0, ran.stderr
        yield Path(folder)


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("writer", failing_disk.WRITERS)
def test_what_is_said_to_be_safe_is_there(
    writer: str, fault: str, written: Path, states: list[list[Delivery]]
) -> None:
    looks: dict[str, tuple[Callable[[Path, int], None], int]] = {
        "record": (look_at_store, STEPS),
        "shelve": (look_at_shelf, STEPS),
        "keep": (look_at_kept, STEPS),
        "post": (lambda folder, said: look_at_outbox(folder, said, states), ERRANDS),
    }
    look, steps = looks[writer]
    said = 0
    for folder in sorted((written / writer / fault).iterdir(), key=lambda one: int(one.name)):
        told = json.loads((folder / "told").read_text())
        print(writer, fault, folder.name, told)  # shown where the test fails
        assert not told["crash"], told["crash"]
        said = max(told["said"], default=0)
        assert FAULTS[fault].lasts or said == steps, "one fault that is over stops nothing"
        look(folder, said)
    assert said == steps
