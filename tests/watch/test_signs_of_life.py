"""Heartbeat and watchdog: given while everything between probe and notice goes round, and only then."""

import logging
import os
import signal
import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from drydown.config.services import Notices
from drydown.core import Core
from drydown.errors import UserError
from drydown.watch import systemd, tank
from drydown.watch.heartbeat import Heartbeat, address_of
from support.broker import free_port, until
from support.listening import Listening, listening
from support.processes import running
from support.watched_place import place, watching


@pytest.fixture
def address() -> Iterator[Listening]:
    with listening() as made:
        yield made


@contextmanager
def beating(notices: Notices, well: list[bool]) -> Iterator[None]:
    heart = Heartbeat(notices, lambda: well[0], every=0.05)
    heart.start()
    try:
        yield
    finally:
        heart.close()


def test_it_is_called_again_and_again_while_all_is_well_and_not_while_something_hangs(
    address: Listening,
) -> None:
    well = [True]
    with beating(Notices(heartbeat=address.address), well):
        until(lambda: len(address.calls) >= 3)
        well[0] = False
        time.sleep(0.3)  # a call that was on its way
        before = len(address.calls)
        time.sleep(0.5)
        assert len(address.calls) == before
        well[0] = True
        until(lambda: len(address.calls) > before)


def test_what_goes_wrong_is_told_once_without_the_address(
    address: Listening, caplog: pytest.LogCaptureFixture
) -> None:
    address.status = 500
    with beating(Notices(heartbeat=address.address), [True]):
        until(lambda: len(address.calls) >= 3)
    told = [one.getMessage() for one in caplog.records if one.levelno >= logging.WARNING]
    assert len(told) == 1
    assert "can't be called (HTTPError)" in told[0]
    assert "s3cret" not in caplog.text


def test_the_address_may_stand_in_a_file_of_its_own(address: Listening, tmp_path: Path) -> None:
    secret = tmp_path / "heartbeat"
    notices = Notices.model_validate({"heartbeat_file": secret})
    with pytest.raises(UserError, match="can't be read"):
        address_of(notices)
    secret.write_text("s3cret\n")
    with pytest.raises(UserError, match="no address") as raised:
        address_of(notices)
    assert "s3cret" not in str(raised.value)
    secret.write_text(f"{address.address}\n")
    with beating(notices, [True]):
        until(lambda: address.calls)


def test_no_address_no_call() -> None:
    assert address_of(Notices()) is None
    with beating(Notices(), [True]):
        time.sleep(0.1)


@contextmanager
def ear(path: str) -> Iterator[socket.socket]:
    """systemd's end."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as heard:
        heard.bind(path)
        heard.settimeout(15)
        yield heard


@pytest.mark.parametrize("abstract", [False, True])
def test_systemd_hears_that_it_is_ready_that_it_lives_and_that_it_ends(
    tmp_path: Path, address: Listening, abstract: bool
) -> None:
    name = f"@drydown-{os.getpid()}" if abstract else str(tmp_path / "notify")
    more = f'\n[notices]\nheartbeat = "{address.address}"\n'
    with ear(name.replace("@", "\0")) as heard, place(tmp_path, free_port(), more) as alone:
        environment = {"DRYDOWN_SYSFS": str(alone.folder / "sys"), systemd.NAME: name}
        log = tmp_path / "watch.log"
        with running("watch", "--config", alone.config, log=log, **environment) as watcher:
            assert heard.recv(100) == b"READY=1"
            assert heard.recv(100) == b"WATCHDOG=1"
            until(lambda: address.calls, 15)
            watcher.signal(signal.SIGTERM)
            last = heard.recv(100)
            while last == b"WATCHDOG=1":
                last = heard.recv(100)
            assert last == b"STOPPING=1"
            assert watcher.wait(15) == 0


def test_nobody_to_hear_it_is_no_trouble(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in ("", "relative", str(tmp_path / "nobody"), "@nobody-at-all"):
        monkeypatch.setenv(systemd.NAME, name)
        systemd.tell("READY=1")


def test_a_tank_that_hangs_gives_no_sign_of_life(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tank, "HANGS", 1.5)
    hanging = [False]
    step = Core.step

    def maybe_hangs(core: Core, *rest: object) -> object:
        while hanging[0]:
            time.sleep(0.05)
        return step(core, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(Core, "step", maybe_hangs)
    path = str(tmp_path / "notify")
    with ear(path) as heard, place(tmp_path, free_port()) as alone:
        monkeypatch.setenv("DRYDOWN_SYSFS", str(alone.folder / "sys"))
        monkeypatch.setenv(systemd.NAME, path)
        with watching(alone):
            assert heard.recv(100) == b"READY=1"
            assert heard.recv(100) == b"WATCHDOG=1"
            hanging[0] = True
            heard.settimeout(5)
            with pytest.raises(TimeoutError):
                while True:
                    heard.recv(100)
            hanging[0] = False
            heard.settimeout(15)
            assert heard.recv(100) == b"WATCHDOG=1"
