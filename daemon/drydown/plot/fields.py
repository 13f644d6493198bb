"""The fields of the picture: methanol and water against their limits, temperatures, vapour in the room."""

from collections.abc import Iterator

from drydown.config.model import Tank
from drydown.physics.vapour_limits import EXPOSURE_LIMIT, LOWER_FLAMMABLE_LIMIT, SAFE_SHARE_OF_LOWER_LIMIT
from drydown.plot import look, panel, scales, svg
from drydown.plot.panel import Field, Name, Setting
from drydown.plot.scales import Scale
from drydown.plot.trace import Course, Ranges, Trace
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import amounts, words

APART = 20.0  # between fields
LEAST_SHARE = 0.05  # of the limit, at which the methanol's axis ends
MOST_METHANOL = 0.2
LEAST_WARMTH = 10.0  # K that an axis of temperature spans at least
LEAST_VAPOUR, MOST_VAPOUR = 10e-6, 0.1  # mole fractions at which the room's axis ends


def all_fields(run: Trace, tank: Tank, setting: Setting, top: float) -> tuple[list[str], float]:
    """The fields, one below the other from `top`, each a group; and where the last one ends."""
    drawn = []
    for name, height, draw in (
        ("methanol", 200.0, _methanol),
        ("water", 180.0, _water),
        ("temperatures", 150.0, _temperatures),
        ("room", 130.0, _room),
    ):
        top += panel.HEADING
        drawn.append(svg.group(draw(run, tank, setting, top, top + height), id=name))
        top += height + APART
    return drawn, top - APART


def _methanol(run: Trace, tank: Tank, setting: Setting, top: float, bottom: float) -> Iterator[str]:
    limit = tank.fuel.methanol_limit
    least = LEAST_SHARE * limit
    most = min(max(2 * limit, _highest(run.methanol)), MOST_METHANOL)
    scale = scales.logarithmic(100 * least, 100 * most, bottom, top)
    field = Field("methanol", "Methanol in the fuel", "% by mass, logarithmic", scale)
    told = _times(run.methanol, 100)
    yield from panel.frame(field, setting)
    yield from panel.band(told, setting.time, field, look.FUEL_BAND, look.FUEL)
    yield from panel.limit(field, 100 * limit)
    yield from panel.middle(told, setting.time, field, look.MIDDLE_OF_FUEL)
    yield panel.rim(field)
    wanted = [Name(scale.at(100 * limit), f"limit {amounts.methanol_content(limit)}")]
    wanted += panel.last_of(told, lambda percent: amounts.methanol_content(percent / 100), scale, look.FUEL)
    yield from panel.names(field, wanted)


def _water(run: Trace, tank: Tank, setting: Setting, top: float, bottom: float) -> Iterator[str]:
    limit = tank.fuel.water_limit
    believed = max((s.median for stretch in run.water for _, s in stretch), default=0.0)
    most = min(max(1.5 * limit, _highest(run.water)), max(4 * limit, 2 * believed))
    scale = scales.linear(0.0, 1e6 * most, bottom, top)
    field = Field("water", "Water in the fuel", "mg/kg; dotted: what this air would leave in it", scale)
    water, floor = _times(run.water, 1e6), _times(run.floor, 1e6)
    yield from panel.frame(field, setting)
    yield from panel.band(water, setting.time, field, look.AIR_BAND, look.AIR)
    yield from panel.limit(field, 1e6 * limit)
    yield from panel.middle(floor, setting.time, field, look.FLOOR)
    yield from panel.middle(water, setting.time, field, look.MIDDLE_OF_AIR)
    yield panel.rim(field)
    wanted = [Name(scale.at(1e6 * limit), f"limit {amounts.water_content(limit)}")]
    wanted += panel.last_of(water, lambda amount: amounts.water_content(amount / 1e6), scale, look.AIR)
    if floor:
        value = floor[-1][-1][1].median
        wanted.append(Name(scale.at(value), f"this air: {amounts.water_content(value / 1e6)}", "", look.AIR))
    yield from panel.names(field, wanted)


def _temperatures(run: Trace, tank: Tank, setting: Setting, top: float, bottom: float) -> Iterator[str]:
    limit = tank.limits.fuel_temperature - ZERO_CELSIUS
    scale = _warmth(run.temperatures, bottom, top)
    field = Field("temperatures", "Temperatures", "°C", scale)
    yield from panel.frame(field, setting)
    yield from panel.limit(field, limit)
    wanted = []
    for name, course in run.temperatures.items():
        pen = look.TEMPERATURE_PENS[name]
        yield from panel.course(course, setting.time, field, pen)
        last = course[-1][-1][1]
        wanted.append(Name(scale.at(last), f"{words.WARM_THINGS[name]} {last:.0f} °C", "", pen.colour))
    if scale.low <= limit <= scale.high:
        wanted.append(Name(scale.at(limit), f"fuel’s limit {limit:.0f} °C"))
    yield panel.rim(field)
    yield from panel.names(field, wanted)


def _room(run: Trace, _tank: Tank, setting: Setting, top: float, bottom: float) -> Iterator[str]:
    fire = SAFE_SHARE_OF_LOWER_LIMIT * LOWER_FLAMMABLE_LIMIT
    most = min(max(2 * EXPOSURE_LIMIT, _highest(run.room)), MOST_VAPOUR)
    scale = scales.logarithmic(1e6 * LEAST_VAPOUR, 1e6 * most, bottom, top)
    field = Field("room", "Methanol in the room", "parts per million of the air, logarithmic", scale)
    told = _times(run.room, 1e6)
    yield from panel.frame(field, setting)
    yield from panel.band(told, setting.time, field, look.AIR_BAND, look.AIR)
    yield from panel.limit(field, 1e6 * EXPOSURE_LIMIT)
    yield from panel.limit(field, 1e6 * fire)
    yield from panel.middle(told, setting.time, field, look.MIDDLE_OF_AIR)
    yield panel.rim(field)
    limit = amounts.parts_per_million(EXPOSURE_LIMIT)
    wanted = [Name(scale.at(1e6 * EXPOSURE_LIMIT), f"limit {limit}", "for a working day")]
    if 1e6 * fire <= scale.high:
        wanted.append(Name(scale.at(1e6 * fire), amounts.parts_per_million(fire), "a quarter of what burns"))
    yield from panel.names(field, wanted)


def _times(ranges: Ranges, factor: float) -> Ranges:
    return [
        [(when, type(s)(s.median * factor, s.low * factor, s.high * factor)) for when, s in stretch]
        for stretch in ranges
    ]


def _highest(ranges: Ranges) -> float:
    return max((spread.high for stretch in ranges for _, spread in stretch), default=0.0)


def _warmth(temperatures: dict[str, Course], bottom: float, top: float) -> Scale:
    values = [value for course in temperatures.values() for stretch in course for _, value in stretch]
    low, high = min(values, default=10.0), max(values, default=30.0)
    spare = max(0.0, LEAST_WARMTH - (high - low)) / 2
    return scales.linear(low - spare, high + spare, bottom, top)
