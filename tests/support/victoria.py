"""A real victoria-metrics (Debian package) on a free loopback port: what is sent to it can be read back."""

import json
import shutil
import subprocess
import time
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from support.broker import free_port

PROGRAM = shutil.which("victoria-metrics")
PATIENCE = 60.0  # s
OPTIONS = (
    "-retentionPeriod=100y",  # as is, it would forget what is older than a month
    "-dedup.minScrapeInterval=1ms",  # the same point twice is one
    "-memory.allowedBytes=200MB",
)


class Victoria:
    """A server that can be stopped and started again with what it has."""

    def __init__(self, folder: Path) -> None:
        if PROGRAM is None:
            pytest.skip("victoria-metrics is not installed: `apt install victoria-metrics`")
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self._folder = folder
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        assert PROGRAM is not None
        words = [f"-httpListenAddr=127.0.0.1:{self.port}", f"-storageDataPath={self._folder / 'victoria'}"]
        with (self._folder / "victoria.log").open("ab") as log:
            self._process = subprocess.Popen(
                [PROGRAM, *words, *OPTIONS],
                stdout=log,
                stderr=log,
                stdin=subprocess.DEVNULL,
            )
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            try:
                self._get("/health")
                return
            except OSError:
                assert self._process.poll() is None, (self._folder / "victoria.log").read_text()[-2000:]
                time.sleep(0.02)
        raise AssertionError("victoria-metrics does not answer")

    def stop(self) -> None:
        """End it in good order: what it was sent is on the disk then."""
        if self._process:
            self._process.terminate()
            self._process.wait(PATIENCE)
            self._process = None

    def rows(self) -> int:
        """How many field values came in by the line protocol since it was started."""
        name = 'vm_rows_inserted_total{type="influx"} '
        lines = self._get("/metrics").decode().splitlines()
        return int(float(next(line.removeprefix(name) for line in lines if line.startswith(name))))

    def series(self, metric: str, /, **tags: str) -> list[tuple[int, float]]:
        """Unix ms and value of the one series of a name with these tags, by time; nothing where none is."""
        found = [one for one in self.export(metric) if tags.items() <= one["metric"].items()]
        assert len(found) <= 1, f"{metric} {tags} are {len(found)} series"
        return sorted(zip(found[0]["timestamps"], found[0]["values"], strict=True)) if found else []

    def export(self, name: str) -> list[dict[str, Any]]:
        """All series of a name (a pattern), as its own export gives them."""
        self._get("/internal/force_flush")
        query = urllib.parse.urlencode({"match[]": f'{{__name__=~"{name}"}}', "start": 1})
        return [json.loads(line) for line in self._get(f"/api/v1/export?{query}").splitlines()]

    def _get(self, path: str) -> bytes:
        with urllib.request.urlopen(self.url + path, timeout=PATIENCE) as answer:
            return bytes(answer.read())


@contextmanager
def victoria(folder: Path) -> Iterator[Victoria]:
    """A server that runs while the block lasts."""
    server = Victoria(folder)
    server.start()
    try:
        yield server
    finally:
        server.stop()
