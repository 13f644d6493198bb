"""What befalls a store in a shed: torn files, a full disk, one that can't be written, two that want it.

The recorder and the watcher are real processes; a full or unwritable disk is a small tmpfs.
"""

import os
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from itertools import pairwise
from pathlib import Path

import paho.mqtt.client as paho
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.intake import Row
from drydown.store.care import Health, look
from drydown.store.read import StoreReader
from drydown.store.schema import StoreError
from drydown.store.upkeep import Upkeep
from drydown.store.write import StoreWriter
from support.broker import Mosquitto, free_port, until
from support.processes import DRYDOWN, running, wait_until_said
from support.small_disk import small_disk, use_up
from support.watched_place import TOPICS, Place, place

START = 1_789_200_000
ROWS = 20_000


def fill(path: Path, count: int = ROWS) -> None:
    rows: list[Row] = [
        ("fuel/level", "m", "number", (START + second) * 1000, second / 7, None) for second in range(count)
    ]
    writer = StoreWriter(path)
    writer.add_rows("heron", rows)
    writer.commit({"heron": 5})
    writer.close()


def count(path: Path) -> int:
    try:
        with StoreReader(path) as reader:
            return len(list(reader.samples("heron", 0, 1e11)))
    except (StoreError, sqlite3.Error):
        return 0


def cut_off(path: Path) -> None:
    os.truncate(path, path.stat().st_size - 5000)


def scribble(path: Path) -> None:
    with path.open("r+b") as file:
        file.seek(path.stat().st_size // 2 // 4096 * 4096)
        file.write(bytes(range(256)) * 32)


def spoil_header(path: Path) -> None:
    with path.open("r+b") as file:
        file.write(b"\xff" * 100)


@contextmanager
def told(made: Place) -> Iterator[Callable[[], str]]:
    """What the recorder tells the watchers is wrong with its store, empty while nothing is.

    That the watcher raises `watch-degraded` for it is tested with the watcher; the alarm takes its delay.
    """
    said: list[bytes] = [b""]
    client = paho.Client(CallbackAPIVersion.VERSION2, protocol=paho.MQTTv311)
    client.on_message = lambda _c, _d, one: said.append(bytes(one.payload))
    client.connect("127.0.0.1", made.site.broker.port)
    client.subscribe(TOPICS.recorder_trouble("store"), qos=1)
    client.loop_start()
    try:
        yield lambda: said[-1].decode()
    finally:
        client.disconnect()
        client.loop_stop()


@pytest.mark.parametrize("spoil", [cut_off, scribble])
def test_torn_and_scribbled_pages_are_seen(tmp_path: Path, spoil: object) -> None:
    path = tmp_path / "store"
    fill(path)
    assert look(path, was_ours=True) is Health.SOUND
    assert callable(spoil)
    spoil(path)
    assert look(path, was_ours=True) is Health.DAMAGED


def test_a_look_ends_in_its_time(tmp_path: Path) -> None:
    path = tmp_path / "store"
    fill(path)
    assert look(path, was_ours=True, within=-1.0) is Health.NOT_SEEN_WHOLE


def test_a_log_cut_short_costs_only_what_stood_in_its_end(tmp_path: Path) -> None:
    path = tmp_path / "store"
    writer = StoreWriter(path)
    for batch in range(1, 21):
        writer.add_rows("heron", [("fuel/level", "m", "number", (START + batch) * 1000, batch / 7, None)])
        writer.commit({"heron": batch})
    copied = tmp_path / "copied"
    for end in ("", "-wal"):  # as a power cut leaves them: nobody closed the store
        Path(f"{copied}{end}").write_bytes(Path(f"{path}{end}").read_bytes())
    log = Path(f"{copied}-wal")
    os.truncate(log, log.stat().st_size - 6000)
    assert look(copied, was_ours=True) is Health.SOUND
    again = StoreWriter(copied)
    reached = again.cursors()["heron"]
    assert 0 < reached < 20
    assert count(copied) == reached  # the cursor never claims more than what is there


@pytest.mark.broker
@pytest.mark.parametrize("spoil", [scribble, spoil_header])
def test_a_damaged_store_is_set_aside_and_recording_goes_on(
    tmp_path: Path, broker: Mosquitto, spoil: object
) -> None:
    assert callable(spoil)
    with place(tmp_path, broker.port) as made:
        store = made.site.store_path
        fill(store)
        store.with_name(f"{store.name}.lock").write_text("The store beside this file is drydown's.\n")
        spoil(store)
        spoilt = store.read_bytes()
        with made.command("record") as record, made.command("watch"), told(made) as trouble:
            assert "drydown restore FILE" in wait_until_said(record, "was damaged")
            until(lambda: 0 < count(store) < ROWS, 30)
            (aside,) = store.parent.glob(f"{store.name}.damaged-*")
            assert aside.read_bytes() == spoilt
            until(lambda: aside.name in trouble(), 30)
            aside.rename(tmp_path / "elsewhere")
            until(lambda: not trouble(), 30)
        with StoreReader(store) as reader:
            (event,) = reader.events("heron", 0, 1e11, ["store"])
        assert aside.name in event.body["message"]


@pytest.mark.broker
def test_on_a_full_disk_it_keeps_running_tells_and_recovers_by_itself(
    tmp_path: Path, broker: Mosquitto
) -> None:
    with ExitStack() as held:
        disk = held.enter_context(small_disk(tmp_path, 2000))
        made = held.enter_context(place(tmp_path, broker.port, f'[store]\npath = "{disk}/store"\n'))
        ballast = disk / "ballast"
        store = made.site.store_path
        record, watch = (held.enter_context(made.command(name)) for name in ("record", "watch"))
        trouble = held.enter_context(told(made))
        wait_until_said(record, "connected to the broker")
        until(lambda: count(store) > 0, 30)
        use_up(ballast)
        wait_until_said(record, "the disk is full", 120)
        until(lambda: "disk is full" in trouble(), 30)
        stored = count(store)
        ballast.unlink()
        until(lambda: count(store) > stored + 5, 120)
        until(lambda: not trouble(), 30)
        for process in (record, watch):
            process.check()
        assert "Traceback" not in record.log.read_text()
        with StoreReader(store) as reader:  # nothing is missing in between
            times = [s.time for s in reader.samples("heron", 0, 1e11, ["fuel/level"])]
        assert max(later - earlier for earlier, later in pairwise(times)) < 5


@pytest.mark.broker
def test_where_the_store_cannot_be_written_any_more_it_keeps_running_and_tells(
    tmp_path: Path, broker: Mosquitto
) -> None:
    with ExitStack() as held:
        disk = held.enter_context(small_disk(tmp_path, 4000))
        made = held.enter_context(place(tmp_path, broker.port, f'[store]\npath = "{disk}/store"\n'))
        record, watch = (held.enter_context(made.command(name)) for name in ("record", "watch"))
        trouble = held.enter_context(told(made))
        wait_until_said(record, "connected to the broker")
        until(lambda: count(made.site.store_path) > 0, 30)
        over = ["mount", "-t", "tmpfs", "-o", "ro", "tmpfs", str(disk)]  # one that can't be written
        assert subprocess.run(over, check=False).returncode == 0
        held.callback(subprocess.call, ["umount", "-l", str(disk)])
        wait_until_said(record, "moved or removed", 60)
        until(lambda: "can't be" in trouble(), 30)
        for process in (record, watch):
            process.check()
        assert "Traceback" not in record.log.read_text()


def test_two_sites_that_name_one_store_find_each_other(tmp_path: Path) -> None:
    store = tmp_path / "store"
    places = [tmp_path / "north", tmp_path / "south"]
    with ExitStack() as held:
        made = []
        for folder in places:
            folder.mkdir()
            made.append(held.enter_context(place(folder, free_port(), f'[store]\npath = "{store}"\n')))
        first = held.enter_context(made[0].command("record"))
        wait_until_said(first, "can't be reached")
        second = subprocess.run(
            [DRYDOWN, "record", "--config", made[1].config], capture_output=True, text=True
        )
        assert second.returncode == 2
        assert "uses this store: stop that one first" in second.stderr
        first.check()


@pytest.mark.broker
def test_two_recorders_with_stores_of_their_own_each_keep_everything(
    tmp_path: Path, broker: Mosquitto
) -> None:
    with ExitStack() as held:
        made = held.enter_context(place(tmp_path, broker.port))
        text = made.config.read_text().replace(
            f'folder = "{made.site.folder}"', f'folder = "{tmp_path}/second"'
        )
        other = tmp_path / "other.toml"
        other.write_text(text + '[store]\nrecorder = "second"\n')
        first = held.enter_context(made.command("record"))
        second = held.enter_context(running("record", "--config", other, log=tmp_path / "second.log"))
        held.enter_context(made.command("watch"))
        stores = [made.site.store_path, tmp_path / "second" / "drydown.sqlite3"]
        until(lambda: all(count(store) > 20 for store in stores), 60)
        first.check()
        second.check()
    kept = []
    for store in stores:
        with StoreReader(store) as reader:
            kept.append([(s.name, s.time, s.value) for s in reader.samples("heron", 0, 1e11)])
    shorter = min(map(len, kept))
    assert kept[0][:shorter] == kept[1][:shorter]


def test_while_the_disk_runs_low_readings_older_than_a_day_are_thinned_early(tmp_path: Path) -> None:
    long_ago = 1_600_000_000  # Unix s, before whatever this machine's clock says
    with small_disk(tmp_path, 16_000) as disk:
        writer = StoreWriter(disk / "store")
        rows: list[Row] = [
            ("fuel/level", "m", "number", (long_ago + second) * 1000, second / 7, None)
            for second in [*range(20_000), *range(200_000, 201_000)]
        ]
        writer.add_rows("heron", rows)
        writer.commit({"heron": 1})
        writer.fold()
        upkeep = Upkeep(writer, raw_days=90)
        upkeep.step()
        assert (upkeep.trouble, count(disk / "store")) == ("", 21_000)
        free = os.statvfs(disk).f_bavail * os.statvfs(disk).f_frsize
        (disk / "ballast").write_bytes(bytes(free - 750_000))
        upkeep.step()
        assert "runs low" in upkeep.trouble
        for _ in range(5):
            upkeep.step()
        assert upkeep.trouble == ""  # there is room again, within the store
        with StoreReader(disk / "store") as reader:
            assert len(list(reader.samples("heron", long_ago + 200_000, 1e11))) == 1000
            assert len(list(reader.samples("heron", 0, long_ago + 100_000))) < 18_000
        writer.close()


def test_where_there_is_no_room_even_to_thin_recording_goes_on(tmp_path: Path) -> None:
    long_ago = 1_600_000_000
    with small_disk(tmp_path, 4000) as disk:
        writer = StoreWriter(disk / "store")
        rows: list[Row] = [
            ("fuel/level", "m", "number", (long_ago + second) * 1000, second / 7, None)
            for second in [*range(20_000), 200_000]
        ]
        writer.add_rows("heron", rows)
        writer.commit({"heron": 1})
        free = os.statvfs(disk).f_bavail * os.statvfs(disk).f_frsize
        (disk / "ballast").write_bytes(bytes(free - 30_000))
        upkeep = Upkeep(writer, raw_days=90)
        upkeep.step()
        assert "runs low" in upkeep.trouble
        writer.add_rows("heron", [("fuel/level", "m", "number", (long_ago + 200_001) * 1000, 0.5, None)])
        writer.commit({"heron": 2})
        assert count(disk / "store") == 20_002
        writer.close()
