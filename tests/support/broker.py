"""A real mosquitto for a test, on a free loopback port, with a configuration of its own."""

import random
import shutil
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from drydown.config.services import Broker

PROGRAM = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin:/usr/local/sbin")


PATIENCE = 60.0  # s for what takes moments where nothing else runs


class Mosquitto:
    """A broker that can be stopped and started again at the same place."""

    def __init__(self, folder: Path, *lines: str) -> None:
        if PROGRAM is None:
            pytest.skip("mosquitto is not installed: `apt install mosquitto`")
        self.port = free_port()
        self._configuration = folder / "mosquitto.conf"
        listener = f"listener {self.port} 127.0.0.1"
        self._configuration.write_text("\n".join([listener, "allow_anonymous true", *lines]) + "\n")
        self._log = folder / "mosquitto.log"
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def config(self) -> Broker:
        return Broker(port=self.port)

    @property
    def pid(self) -> int:
        assert self._process is not None
        return self._process.pid

    def start(self) -> None:
        assert PROGRAM is not None
        with self._log.open("ab") as log:
            self._process = subprocess.Popen(
                [PROGRAM, "-c", str(self._configuration)], stdout=log, stderr=log, stdin=subprocess.DEVNULL
            )
        end = time.monotonic() + 10
        while time.monotonic() < end:
            if self._process.poll() is not None:
                raise AssertionError(f"mosquitto ended at once: {self._log.read_text()}")
            try:
                socket.create_connection(("127.0.0.1", self.port), 0.2).close()
                return
            except OSError:
                time.sleep(0.02)
        raise AssertionError("mosquitto does not answer")

    def stop(self) -> None:
        if self._process:
            self._process.kill()
            self._process.wait()
            self._process = None


@contextmanager
def mosquitto(folder: Path, *lines: str) -> Iterator[Mosquitto]:
    """A broker that runs, with more lines for its configuration if need be."""
    broker = Mosquitto(folder, *lines)
    broker.start()
    try:
        yield broker
    finally:
        broker.stop()


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Mosquitto]:
    """A plain broker."""
    with mosquitto(tmp_path) as running:
        yield running


def free_port() -> int:
    """A port of this machine that nobody uses just now, below those that Linux gives to who calls out
    (ip(7), ip_local_port_range): one of these may be taken by anybody before it is used."""
    while True:
        port = random.SystemRandom().randrange(10_000, 32_768)
        with socket.socket() as probe, suppress(OSError):
            probe.bind(("127.0.0.1", port))
            return port


def until(condition: Callable[[], object], seconds: float = 10.0, what: str = "") -> None:
    """Wait until a condition holds, or fail: not before PATIENCE is over, as the machine may be busy."""
    end = time.monotonic() + max(seconds, PATIENCE)
    while time.monotonic() < end:
        if condition():
            return
        time.sleep(0.05)  # many conditions ask a process that has its own work to do
    raise AssertionError(f"not within {max(seconds, PATIENCE):g} s: {what or condition}")
