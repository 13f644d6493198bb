"""What probes are worth is asked of a process beside the pages, which may fail without harm to them."""

from pathlib import Path

import pytest

from drydown.config.load import load
from drydown.store.read import Run
from drydown_api.worths import Answer, State, Worths
from support.broker import until
from support.site_file import write_site

RUN = Run("heron", 0.0, 9000.0, ((0.0, "settling"), (600.0, "bubbling"), (9000.0, "drawn")))


def test_a_record_that_went_away_is_told_once_and_not_tried_again_at_once(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    site = load(write_site(tmp_path, "boathouse", ["heron"], 1))
    worths, (tank,) = Worths(site), site.tank
    assert worths.ask(tank, RUN) == Answer(State.WORKING)
    until(lambda: worths.ask(tank, RUN).state is not State.WORKING, 60)
    assert worths.ask(tank, RUN) == Answer(State.FAILED)
    (line,) = caplog.messages
    assert line.startswith("heron: what probes are worth was not found: ")
    assert str(site.store_path) in line
