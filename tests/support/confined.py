"""Run in a service's place, under its unit's confinement: tries what drydown needs, and what none should do.

It writes, by name, why an attempt failed (empty where it went well), as JSON into the file named to it.
"""

import ctypes
import json
import mmap
import os
import socket
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np

HERE = Path(sys.argv[1]).parent
IIO, MASTER = Path("/sys/bus/iio/devices/iio:device0"), Path("/sys/devices/w1_bus_master1")
LIBRARY = ctypes.CDLL(None, use_errno=True)


def compute() -> None:
    matrix = np.eye(40) + np.random.default_rng(1).random((40, 40)) / 100
    np.linalg.cholesky(matrix @ matrix.T)
    np.linalg.svd(matrix)


def keep_a_store() -> None:
    with sqlite3.connect(HERE / "tried.sqlite3") as store:
        store.execute("PRAGMA journal_mode=WAL")
        store.execute("CREATE TABLE IF NOT EXISTS t (x)")
        store.execute("INSERT INTO t VALUES (1)")


def listen_at_a_socket() -> None:
    path = HERE / "tried.sock"
    path.unlink(missing_ok=True)
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(path))


def start_a_thread() -> None:
    thread = threading.Thread(target=int)
    thread.start()
    thread.join()


def call(name: str, *words: object) -> None:
    if getattr(LIBRARY, name)(*words) < 0:
        raise OSError(ctypes.get_errno(), name)


def write(path: Path) -> None:
    with path.open("r+b") as file:
        file.write(b"trigger\n")


def make_code() -> None:
    mmap.mmap(-1, 4096, prot=mmap.PROT_READ | mmap.PROT_WRITE | mmap.PROT_EXEC).close()


def see_others() -> None:
    if not Path("/proc/1").exists():
        raise PermissionError("hidden")


def be_more() -> None:
    told = dict(row.split(":\t", 1) for row in Path("/proc/self/status").read_text().splitlines())
    if (told["NoNewPrivs"], told["Seccomp"], int(told["CapBnd"], 16)) == ("1", "2", 0):
        raise PermissionError("no privileges, for ever")


def change(folder: str) -> None:
    if os.statvfs(folder).f_flag & os.ST_RDONLY:
        raise PermissionError("read only")


ATTEMPTS: dict[str, Callable[[], object]] = {
    "compute": compute,
    "keep a store": keep_a_store,
    "listen at a socket": listen_at_a_socket,
    "listen at a port": lambda: socket.create_server(("127.0.0.1", 0)).close(),
    "start a thread": start_a_thread,
    "read a probe": (IIO / "name").read_text,
    "ask how the clock is kept": lambda: call("adjtimex", ctypes.create_string_buffer(512)),
    "stand behind others": lambda: os.nice(1),
    "start a conversion": lambda: write(MASTER / "therm_bulk_read"),
    "set a channel": lambda: write(IIO / "name"),
    "make code": make_code,
    "listen to the whole network": lambda: socket.socket(socket.AF_PACKET, socket.SOCK_RAW).close(),
    "see others' processes": see_others,
    "see homes": lambda: list(Path("/root").iterdir()),
    "change programs": lambda: change("/opt"),
    "change the configuration": lambda: change("/etc"),
    "change the system": lambda: change("/usr"),
    "make a namespace": lambda: subprocess.run(
        ["unshare", "--user", "true"], check=True, capture_output=True
    ),
    "use a device": lambda: os.close(os.open("/dev/tun", os.O_RDWR)),
    "be more": be_more,
}


def tried(attempt: Callable[[], object]) -> str:
    try:
        attempt()
    except (OSError, sqlite3.Error, subprocess.SubprocessError) as error:
        return repr(error)
    return ""


Path(sys.argv[1]).write_text(json.dumps({name: tried(attempt) for name, attempt in ATTEMPTS.items()}))
