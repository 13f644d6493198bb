"""A batch in words: what came in and went out, what it took, where it went."""

from collections.abc import Iterator
from datetime import datetime, tzinfo

from drydown.batches.batch import Batch, Drained
from drydown.config.model import Site
from drydown.run.movement import LevelKind
from drydown.texts import quality
from drydown.texts.amounts import clock, duration, litres, ranged, significant
from drydown.texts.language import later, say
from drydown.texts.logbook import SEEN

AMOUNTS = (
    (LevelKind.FILLING, later("Filled in")),
    (LevelKind.DRAIN, later("Drained from the bottom")),
    (LevelKind.DRAW, later("Drawn from the standpipe")),
    (LevelKind.LEAK, later("Lost")),
)
LEAST = 0.001  # m³; less is not missed


def amounts(batch: Batch, site: Site) -> Iterator[tuple[str, str]]:
    """Label and value of what moved, and of what the blower took."""
    for kind, label in AMOUNTS:
        volume = batch.volume(kind)
        if volume.median > 0.0:
            yield say(label), ranged(volume, litres)
    yield say("Blower ran for"), duration(batch.run_time)
    if batch.run_time > 0.0:
        yield say("Electricity of the blower"), electricity(batch, site)


def electricity(batch: Batch, site: Site) -> str:
    """Kilowatt hours, with what they cost where a price is set."""
    if batch.energy is None:
        return say("not known: the configuration does not say its power")
    used = significant(batch.energy / 3.6e6, 2)
    if site.electricity is None:
        return say("{used} kWh", used=used)
    cost = f"{batch.cost(site.electricity.price):.2f}"
    return say("{used} kWh, {cost} {currency}", used=used, cost=cost, currency=site.electricity.currency)


def happened(batch: Batch, zone: tzinfo) -> list[tuple[str, str]]:
    """What people saw, entered and did with it, in order of time: a moment, and a sentence."""
    told = [(one.time, _drained(one)) for one in batch.drained]
    told += [
        (
            one.time,
            say("{much} went into {place} ({who}).", much=litres(one.volume), place=one.to, who=one.who),
        )
        for one in batch.sent
    ]
    told += [
        (one.time, say("{found} ({who}).", found=quality.found(one), who=one.who)) for one in batch.tests
    ]
    told += [(time, say("Released ({who}).", who=who)) for time, who in batch.released]
    return [(moment(time, zone), text) for time, text in sorted(told)]


def unsaid(batch: Batch) -> str:
    """What was drawn and nobody said where it went."""
    left = batch.unaccounted
    if left is None or left < LEAST:
        return ""
    return say("Nobody said where {left} of it went.", left=litres(left))


def moment(unix_time: float, zone: tzinfo) -> str:
    """A day and a time: "21 September, 14:13"."""
    return f"{datetime.fromtimestamp(unix_time, zone):%-d %B}, {clock(unix_time, zone)}"


def _drained(one: Drained) -> str:
    seen = say(SEEN[one.seen])
    if one.volume is None:
        return say("Drained {seen} ({who}).", seen=seen, who=one.who)
    return say("Drained {seen}, {much} ({who}).", seen=seen, much=litres(one.volume), who=one.who)
