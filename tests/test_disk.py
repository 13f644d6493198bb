"""Whatever must outlive a power cut has its bytes and its name on the disk before it counts as written."""

import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from drydown.bus.counter import Counter
from drydown.kept_file import KeptFile
from drydown_api.tokens import Right, TokenFile


def count(path: Path) -> None:
    Counter(path)


def keep(path: Path) -> None:
    file = KeptFile(path, "much is lost")
    file.keep([1])
    file.close()


def make_token(path: Path) -> None:
    TokenFile(path).make("Wren's phone", Right.VIEW)


@pytest.mark.parametrize("write", [count, keep, make_token])
def test_first_the_bytes_then_the_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, write: Callable[[Path], None]
) -> None:
    """fsync(2): a call for the file does not bring its entry in the folder to the disk."""
    path, fsync = tmp_path / "file", os.fsync
    synced: list[tuple[str, bool]] = []

    def noted(descriptor: int) -> None:
        is_folder = stat.S_ISDIR(os.fstat(descriptor).st_mode)
        synced.append(("folder" if is_folder else "file", path.exists()))
        fsync(descriptor)

    monkeypatch.setattr(os, "fsync", noted)
    write(path)
    assert synced == [("file", False), ("folder", True)]
