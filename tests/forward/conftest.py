"""One server for each test, and a sender that does not take its time."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from drydown.forward import service
from support.victoria import Victoria, victoria


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Victoria]:
    with victoria(tmp_path) as running:
        yield running


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in (
        "LOOK",
        "STORE_AGAIN",
        "AWAY_FIRST",
        "AWAY_LONGEST",
        "REFUSED_FIRST",
        "REFUSED_LONGEST",
        "SAVE",
    ):
        monkeypatch.setattr(service, name, 0.05)
