"""What the watcher finds wrong with the disk that it keeps things on."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from drydown.watch.service import disk_trouble

SOMEBODY = 65534  # "nobody" of Linux (user_namespaces(7): the overflow user)


@contextmanager
def as_somebody() -> Iterator[None]:
    """access(2) asks for the real user, and root may write everywhere."""
    if os.geteuid() != 0:
        yield
        return
    os.setresuid(SOMEBODY, -1, -1)
    try:
        yield
    finally:
        os.setresuid(0, -1, -1)


def test_a_folder_that_may_not_be_written_is_told(tmp_path: Path) -> None:
    assert "can't be written" not in disk_trouble(tmp_path)
    tmp_path.chmod(0o555)
    with as_somebody():
        assert disk_trouble(tmp_path).startswith(f"{tmp_path} can't be ")
    tmp_path.chmod(0o755)
    assert "can't be written" not in disk_trouble(tmp_path)


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    assert "can't be used" in disk_trouble(tmp_path / "away")
