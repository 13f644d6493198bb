"""What is answered while the watcher or the store is not there, or not what it should be."""

import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from support.problem import check_problem
from support.served import served
from support.site_file import write_site

HERON = "/api/v1/tanks/heron"
HISTORY = (f"{HERON}/runs", f"{HERON}/series?name=fuel/level", f"{HERON}/lines?start=0&end=1")


@pytest.fixture
def config(tmp_path: Path) -> Path:
    return write_site(tmp_path, "boathouse", ["heron", "plover"], 1)


@pytest.fixture
def api(config: Path) -> Iterator[httpx.Client]:
    with served(config) as client:
        yield client


def test_without_a_watcher_the_state_is_not_known(api: httpx.Client) -> None:
    for path in ("/api/v1/tanks", HERON):
        check_problem(api.get(path), 503, "The watcher does not answer", "Start `drydown watch`")


def test_without_a_store_there_is_no_history(api: httpx.Client) -> None:
    for path in HISTORY:
        check_problem(api.get(path), 503, "there is no store yet", "drydown record")


def test_health_says_what_is_missing(api: httpx.Client) -> None:
    said = api.get("/api/v1/health").json()
    assert said["well"] is False
    assert "Start `drydown watch`" in said["watcher"]
    assert "drydown record" in said["store"]


@pytest.mark.parametrize("path", ["/", "/tanks/heron"])
def test_the_pages_wait_for_the_watcher(api: httpx.Client, path: str) -> None:
    answer = api.get(path)
    assert answer.status_code == 503
    assert answer.headers["content-type"].startswith("text/html")
    assert f'data-wait-for="{path}"' in answer.text
    assert "The watcher is away" in answer.text
    assert "Start `drydown watch`" in answer.text


def test_a_page_that_there_is_not_is_a_page_all_the_same(api: httpx.Client) -> None:
    for path in ("/tanks/egret", "/nowhere", "/static/nothing.css"):
        answer = api.get(path)
        assert answer.status_code == 404
        assert answer.headers["content-type"].startswith("text/html")
        assert "There is nothing here" in answer.text
        assert "data-wait-for" not in answer.text


def store_of(config: Path) -> Path:
    path = config.parent / "boathouse" / "drydown.sqlite3"
    path.parent.mkdir()
    return path


def test_a_file_that_is_no_store(config: Path, api: httpx.Client) -> None:
    store_of(config).write_bytes(b"not a database at all" * 100)
    for path in HISTORY:
        check_problem(api.get(path), 503, "is not a drydown store")


def test_somebody_elses_database(config: Path, api: httpx.Client) -> None:
    with sqlite3.connect(store_of(config)) as other:
        other.execute("CREATE TABLE songs (name TEXT)")
    for path in HISTORY:
        check_problem(api.get(path), 503, "not a drydown store")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_store_that_may_not_be_read(config: Path, api: httpx.Client) -> None:
    path = store_of(config)
    path.touch(mode=0)
    for address in HISTORY:
        check_problem(api.get(address), 503, str(path))


def test_a_damaged_store(config: Path, api: httpx.Client) -> None:
    from drydown.store.schema import open_for_writing

    path = store_of(config)
    open_for_writing(path).close()
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xaa" * (len(whole) - 4096))
    for address in HISTORY[:2]:
        check_problem(api.get(address), 503, "damaged")


def test_a_socket_at_which_nobody_listens(config: Path, api: httpx.Client) -> None:
    (config.parent / "boathouse").mkdir()
    (config.parent / "boathouse" / "watch.sock").touch()
    check_problem(api.get(HERON), 503, "The watcher does not answer")
