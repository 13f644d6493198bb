"""What is known of a tank's drawing and of its upkeep, from the store. Needs numpy, by the tank's shape."""

from dataclasses import dataclass

from drydown.config.model import Tank
from drydown.drawing.descent import Shape
from drydown.drawing.filter import Element, compared, element
from drydown.drawing.outlook import Outlook, Stood, outlook, telling
from drydown.drawing.upkeep import INTERVALS, Done, Upkeep, last_done
from drydown.physics import fuel
from drydown.quantities import ZERO_CELSIUS
from drydown.run.fuel_level import vessel_of
from drydown.store.draws import recorded_draws, with_levels
from drydown.store.read import EVER, StoreReader

LATEST, ALL = 1e11, 1_000_000  # Unix s, later than anything; entries, runs


@dataclass(frozen=True, slots=True)
class Care:
    """When the filter's element was changed, if that was noted, what it let through since; and every part."""

    changed: Done | None
    element: Element
    parts: tuple[Upkeep, ...]


def drawing(reader: StoreReader, tank: Tank, asked: float | None) -> Outlook:
    """How long it takes to draw so many m³ (at 15 °C), and all that can be drawn."""
    changed = _done(reader, tank).get("filter")
    newest = telling(recorded_draws(reader, tank.name), changed.time if changed else EVER)
    told = with_levels(reader, tank.name, newest)
    return outlook(_shape(tank), tank.standpipe, told, _stood(reader, tank), asked)


def care(reader: StoreReader, tank: Tank, now: float) -> Care:
    """What is to be looked after, at a Unix time."""
    done = _done(reader, tank)
    changed = done.get("filter")
    through = _element(reader, tank, changed.time if changed else EVER)
    runs = reader.runs(tank.name, ALL)
    begun = runs[-1].start if runs else now

    def upkeep(part: str) -> Upkeep:
        last = done.get(part)
        since = last.time if last else begun
        worn = part == "filter" and bool(through.reasons)
        return Upkeep(part, last, reader.blown_since(tank.name, since), max(0.0, now - since), worn)

    return Care(changed, through, tuple(map(upkeep, INTERVALS)))


def _element(reader: StoreReader, tank: Tank, since: float) -> Element:
    draws = [draw for draw in recorded_draws(reader, tank.name) if draw.start >= since]
    whole_since = reader.thinned_until(tank.name, "fuel/level")
    ends = compared(draws, EVER if whole_since is None else whole_since)
    first, last = (with_levels(reader, tank.name, part) for part in ends)
    return element(_shape(tank), tank.standpipe, draws, first, last)


def _done(reader: StoreReader, tank: Tank) -> dict[str, Done]:
    return last_done(one.body for one in reader.entries(tank.name, EVER, LATEST, ALL))


def _stood(reader: StoreReader, tank: Tank) -> Stood | None:
    latest = reader.latest(tank.name)
    drawable, warmth = latest.get("fuel/drawable"), latest.get("fuel/temperature")
    if drawable is None or not isinstance(drawable.value, int | float):
        return None
    kelvin = fuel.STANDARD_TEMPERATURE
    if warmth is not None and isinstance(warmth.value, int | float):
        kelvin = ZERO_CELSIUS + warmth.value
    density = fuel.FEEDSTOCKS[tank.fuel.feedstock].density
    return Stood(drawable.time, drawable.value, 1.0 / float(fuel.volume_correction(kelvin, density)))


def _shape(tank: Tank) -> Shape:
    vessel = vessel_of(tank)
    return Shape(tuple(vessel.levels.tolist()), tuple(vessel.volumes.tolist()))
