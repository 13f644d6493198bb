"""A run's page is sent as it is read: its head at once, and what goes wrong later in its place."""

import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import httpx
import pytest

from drydown.config.load import load
from support import weekly
from support.served import served
from support.waiting import wait_for
from support.weekly import Batch

SHORT = Batch(methanol=0.01, bubbles=600.0, fuel=311.0, air=290.0, humidity=0.5, flow=0.014, volume=0.17)


@pytest.fixture
def config(tmp_path: Path) -> Path:
    written = tmp_path / "written.sqlite3"
    weekly.copied(written, [weekly.run_of(SHORT, 1)], 2, weekly.WEEK)
    return weekly.site(tmp_path, written)


@pytest.fixture
def api(config: Path) -> Iterator[httpx.Client]:
    with served(config) as client:
        yield client


def oldest(api: httpx.Client) -> str:
    return f"/tanks/heron/runs/{api.get('/api/v1/tanks/heron/runs').json()[-1]['start']}"


def test_each_piece_can_be_unpacked_as_it_comes(api: httpx.Client) -> None:
    with api.stream("GET", oldest(api), headers={"Accept-Encoding": "gzip"}) as answer:
        assert answer.headers["content-encoding"] == "gzip"
        unpacker = zlib.decompressobj(wbits=31)
        pieces = [unpacker.decompress(sent).decode() for sent in answer.iter_raw()]
    assert unpacker.eof
    head = pieces[0]
    assert '<script type="module" src="/static/run/page.js">' in head
    assert "</head>" not in head, "nothing of the run is known yet"
    assert "".join(pieces) == api.get(oldest(api), headers={"Accept-Encoding": "identity"}).text


def test_a_record_that_breaks_after_the_head_is_told_below_it(api: httpx.Client, config: Path) -> None:
    page = oldest(api)
    with sqlite3.connect(load(config).store_path) as store:
        store.execute("DROP TABLE reading")
    answer = api.get(page)
    assert answer.status_code == 200, "it had begun"
    assert "The record can’t be read" in answer.text
    assert "no such table: reading" in answer.text
    assert "data-wait-for" not in answer.text, "a page that waits for itself would load over and over"
    assert answer.text.count("<main") == 1
    assert "Methanol vapour burns and is poisonous." in answer.text
    assert answer.text.endswith("</html>")


def test_a_fault_of_ours_after_the_head_is_told_and_logged(
    api: httpx.Client, config: Path, caplog: pytest.LogCaptureFixture
) -> None:
    page = oldest(api)
    with sqlite3.connect(load(config).store_path) as store:
        store.execute("UPDATE event SET body = '{}' WHERE kind = 'alarm' OR kind = 'stage' AND id > 1")
    answer = api.get(page)
    assert answer.status_code == 200
    assert "This is a fault of drydown itself." in answer.text
    assert "failed; please report this" in caplog.text


def test_a_visitor_who_goes_leaves_no_store_open(api: httpx.Client, config: Path) -> None:
    store = str(load(config).store_path)
    page = oldest(api)
    before = open_files(store)
    for _ in range(10):
        with api.stream("GET", page) as answer:
            next(answer.iter_raw())
    wait_for(lambda: open_files(store) <= before)


def open_files(name: str) -> int:
    """How many files of this process begin so."""
    found = 0
    for one in Path("/proc/self/fd").iterdir():
        with suppress(FileNotFoundError):  # closed meanwhile
            found += str(one.readlink()).startswith(name)
    return found
