"""What was read for a run's page serves its charts, and nobody else, and not for long."""

import pytest

from drydown_api import just_read
from drydown_api.just_read import JustRead
from drydown_pages.run.record import RunRecord
from support.boathouse import heron

RUN = RunRecord(heron(), "an evening", 1000.0, 8000.0, True, (), 0.0)


@pytest.fixture
def kept() -> JustRead:
    made = JustRead()
    made.keep("heron", 1000.0, RUN)
    return made


def test_it_is_there_for_whoever_asks_next(kept: JustRead) -> None:
    assert kept.take("heron", 1000.0) is RUN
    assert kept.take("heron", 1000.0) is None


@pytest.mark.parametrize(("tank", "start"), [("plover", 1000.0), ("heron", 1000.5)])
def test_another_run_is_looked_up(kept: JustRead, tank: str, start: float) -> None:
    assert kept.take(tank, start) is None


def test_what_was_read_long_ago_is_looked_up(kept: JustRead, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(just_read, "MOMENT", -1.0)
    assert kept.take("heron", 1000.0) is None
