"""A disk of its own, so small that a test can fill it."""

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(folder: Path, kilobytes: int) -> Iterator[Path]:
    """A tmpfs of this size, mounted while the block lasts."""
    disk = folder / "disk"
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", disk], check=False)
    if mounted.returncode:
        pytest.skip("no tmpfs can be mounted here: only root may")
    try:
        yield disk
    finally:
        subprocess.run(["umount", "-l", disk], check=False)


def use_up(ballast: Path) -> None:
    """Take all the room that is left on the disk of this file, until it is deleted."""
    with pytest.raises(OSError, match="No space"), ballast.open("wb", buffering=0) as file:
        while True:
            file.write(bytes(4096))
