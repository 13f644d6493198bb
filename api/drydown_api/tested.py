"""What people told and what was worked out of the batch that is in a tank, or was last."""

from typing import Any

from drydown.config.model import Tank
from drydown.estimate.result import Spread
from drydown.quality.kinds import limits_of
from drydown.quality.release import Estimated, Release, release
from drydown.quality.results import results_of
from drydown.store.read import EVER, StoreReader

LAST = 1e11  # Unix s
ENDS = ("", "/low", "/high")


def found_of(reader: StoreReader, tank: Tank) -> Release:
    """What a release of it could claim."""
    return release(results_of(commands_told(reader, tank)), worked_out(reader, tank), limits_of(tank.fuel))


def commands_told(reader: StoreReader, tank: Tank) -> list[dict[str, Any]]:
    """What people told of it."""
    start = _began(reader, tank)
    return [one.body for one in reader.events(tank.name, start, LAST, ("command",), 10_000)]


def worked_out(reader: StoreReader, tank: Tank) -> list[Estimated]:
    """The last estimates of it."""
    start = _began(reader, tank)
    found = []
    for kind in ("methanol", "water"):
        ends = [reader.last(tank.name, f"estimate/{kind}{tail}", start, LAST) for tail in ENDS]
        median, low, high = ends
        if median is not None and low is not None and high is not None:
            found.append(Estimated(kind, Spread(median, low, high)))
    return found


def _began(reader: StoreReader, tank: Tank) -> float:
    runs = reader.runs(tank.name, 1)
    return runs[0].start if runs else EVER
