"""A batch in words: what came in and went out, what it took, where it went."""

from collections.abc import Iterator
from datetime import datetime, tzinfo

from drydown.batches.batch import Batch
from drydown.config.model import Site, Tank
from drydown.run.movement import LevelKind
from drydown.texts import quality
from drydown.texts.amounts import clock, duration, litres, ranged, significant
from drydown.texts.logbook import SEEN

NOT_SAID = "Nobody said where {} of it went."
AMOUNTS = (
    (LevelKind.FILLING, "Filled in"),
    (LevelKind.DRAIN, "Drained from the bottom"),
    (LevelKind.DRAW, "Drawn from the standpipe"),
    (LevelKind.LEAK, "Lost"),
)


def amounts(batch: Batch, site: Site, tank: Tank) -> Iterator[tuple[str, str]]:
    """Label and value of what moved, and of what the blower took."""
    for kind, label in AMOUNTS:
        volume = batch.volume(kind)
        if volume.median > 0.0:
            yield label, ranged(volume, litres)
    yield "Blower ran for", duration(batch.run_time)
    if batch.energy is not None:
        yield "Electricity of the blower", electricity(batch, site)
    elif tank.blower.power is None and batch.run_time > 0.0:
        yield "Electricity of the blower", "not known: the configuration does not say its power"


def electricity(batch: Batch, site: Site) -> str:
    """Kilowatt hours, with what they cost where a price is set."""
    used = f"{significant((batch.energy or 0.0) / 3.6e6, 2)} kWh"
    if site.electricity is None:
        return used
    return f"{used}, {batch.cost(site.electricity.price):.2f} {site.electricity.currency}"


def happened(batch: Batch, zone: tzinfo) -> list[tuple[str, str]]:
    """What people saw, entered and did with it, in order of time: a moment, and a sentence."""
    told = [(one.time, f"Drained {SEEN[one.seen]}{_much(one.volume)} ({one.who}).") for one in batch.drained]
    told += [(one.time, f"{litres(one.volume)} went into {one.to} ({one.who}).") for one in batch.sent]
    told += [(one.time, f"{quality.found(one)} ({one.who}).") for one in batch.tests]
    told += [(time, f"Released ({who}).") for time, who in batch.released]
    return [(moment(time, zone), text) for time, text in sorted(told)]


def unsaid(batch: Batch) -> str:
    """What was drawn and nobody said where it went."""
    left = batch.unaccounted
    return NOT_SAID.format(litres(left)) if left is not None and left > 0.001 else ""


def moment(unix_time: float, zone: tzinfo) -> str:
    """A day and a time: "21 September, 14:13"."""
    return f"{datetime.fromtimestamp(unix_time, zone):%-d %B}, {clock(unix_time, zone)}"


def _much(volume: float | None) -> str:
    return "" if volume is None else f", {litres(volume)}"
