"""What programs ask the watcher on its Unix socket: over a real one, of a whole watcher that runs."""

import json
import socket
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from drydown.bus.local_client import ask
from drydown.config.model import Site
from fuzz.messages import SEEDS
from fuzz.running import running_watcher
from fuzz.target import Target

END = b'{"id":"fuzz-end","ask":"nothing"}\n'
PATIENCE = 20.0  # s for an answer


class Asking:
    """A client that says anything, and then waits until an honest question is answered."""

    def __init__(self, site: Site) -> None:
        self._path = site.socket_path
        self._connection, self._unread = self._connect(), b""

    def feed(self, payload: bytes) -> None:
        try:
            self._connection.sendall(payload + b"\n" + END)
            self._read_to_the_end()
        except (BrokenPipeError, ConnectionResetError):  # cut off, as is right for too much
            self.close()
            self._connection, self._unread = self._connect(), b""

    def check(self) -> None:
        assert set(ask(self._path, "state")) == {"heron"}

    def close(self) -> None:
        self._connection.close()

    def _connect(self) -> socket.socket:
        connection = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        connection.settimeout(PATIENCE)
        connection.connect(str(self._path))
        return connection

    def _read_to_the_end(self) -> None:
        while True:
            line, ends, rest = self._unread.partition(b"\n")
            if ends:
                self._unread = rest
                if json.loads(line, parse_constant=_refuse).get("id") == "fuzz-end":
                    return
                continue
            got = self._connection.recv(65_536)
            if not got:
                raise ConnectionResetError
            self._unread += got


def _refuse(constant: str) -> None:
    raise AssertionError(f"{constant} stands in an answer, which is no JSON")


def _seeds() -> Sequence[bytes]:
    return (SEEDS / "asks.jsonl").read_bytes().splitlines()


@contextmanager
def _opened(folder: Path) -> Iterator[Asking]:
    with running_watcher(folder) as site:
        asking = Asking(site)
        try:
            yield asking
        finally:
            asking.close()


TARGET = Target("socket", _seeds, _opened, share=80, few=80)
