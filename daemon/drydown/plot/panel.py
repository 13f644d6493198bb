"""A field of the picture with an axis of its own: bands and lines against limits, named where they end."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from drydown.plot import look, svg
from drydown.plot.look import Pen
from drydown.plot.scales import Scale
from drydown.plot.trace import Course, Ranges
from drydown.texts import amounts

HEADING = 24.0  # height of the words above a field
APART = 16.0  # between names


@dataclass(frozen=True, slots=True)
class Name:
    """What stands beside a field, at the place of what it names."""

    place: float
    said: str
    beside: str = ""
    colour: str = look.INK


@dataclass(frozen=True, slots=True)
class Field:
    """Where a field is, and its axis. `name` tells its elements from other fields'."""

    name: str
    title: str
    unit: str
    scale: Scale

    @property
    def top(self) -> float:
        """Of the field itself, below its heading."""
        return self.scale.end

    @property
    def bottom(self) -> float:
        """Where the lowest value is."""
        return self.scale.start


@dataclass(frozen=True, slots=True)
class Setting:
    """What all fields share: the time axis, columns in which the blower ran, and where something happened."""

    time: Scale
    shaded: Sequence[tuple[float, float]]
    happened: Sequence[tuple[float, str]]  # place and colour


def frame(field: Field, setting: Setting) -> Iterator[str]:
    """Heading, ground and grid."""
    height = field.bottom - field.top
    width = look.RIGHT - look.LEFT
    corner = (look.LEFT, field.top)
    yield svg.element("clipPath", [svg.rect(corner, width, height)], id=f"{field.name}-inside")
    yield svg.text((look.LEFT, field.top - 8), field.title, font_size=look.HEAD, font_weight="bold")
    across = look.LEFT + look.width_of_bold(field.title, look.HEAD) + 10
    yield svg.text((across, field.top - 8), field.unit, fill=look.SOFT)
    yield svg.rect(corner, width, height, fill=look.CARD)
    for start, end in setting.shaded:
        yield svg.rect((start, field.top), end - start, height, fill=look.AIR_TINT)
    for value, label in field.scale.ticks:
        y = field.scale.at(value)
        yield svg.line((look.LEFT, y), (look.RIGHT, y), stroke=look.LINE)
        yield svg.text((look.LEFT - 8, y + 4.5), label, text_anchor="end", fill=look.SOFT)
    for value, _ in setting.time.ticks:
        x = setting.time.at(value)
        yield svg.line((x, field.top), (x, field.bottom), stroke=look.LINE)
    for x, colour in setting.happened:
        yield svg.line((x, field.top), (x, field.bottom), stroke=colour, stroke_dasharray="1 3")


def rim(field: Field) -> str:
    """The field's border, drawn over what is in it."""
    height = field.bottom - field.top
    return svg.rect((look.LEFT, field.top), look.RIGHT - look.LEFT, height, fill="none", stroke=look.SOFT)


def band(ranges: Ranges, time: Scale, field: Field, fill: str, edge: str) -> Iterator[str]:
    """The 90 % range; its edges are drawn too, so that it is seen without colours."""
    for stretch in ranges:
        upper = [(time.at(when), field.scale.at(spread.high)) for when, spread in stretch]
        lower = [(time.at(when), field.scale.at(spread.low)) for when, spread in stretch]
        around = svg.path([*upper, *reversed(lower)], closed=True)
        yield svg.element(
            "path", d=around, fill=fill, fill_opacity=0.75, clip_path=_url(field), class_="band"
        )
        for side in (upper, lower):
            yield _drawn(side, Pen(edge, 0.9), field, "edge")


def middle(ranges: Ranges, time: Scale, field: Field, pen: Pen) -> Iterator[str]:
    """The medians."""
    return course(
        [[(when, spread.median) for when, spread in stretch] for stretch in ranges], time, field, pen
    )


def course(stretches: Course, time: Scale, field: Field, pen: Pen) -> Iterator[str]:
    """A line with gaps where nothing is known."""
    for stretch in stretches:
        yield _drawn(
            [(time.at(when), field.scale.at(value)) for when, value in stretch], pen, field, "course"
        )


def limit(field: Field, value: float, pen: Pen = look.LIMIT) -> Iterator[str]:
    """A level line, where the axis reaches it."""
    if field.scale.low <= value <= field.scale.high:
        y = field.scale.at(value)
        yield svg.line((look.LEFT, y), (look.RIGHT, y), class_="limit", **pen.attributes)


def names(field: Field, wanted: Sequence[Name]) -> Iterator[str]:
    """The names, each as near its place as the others let it be, within the field's height."""
    ordered = sorted(wanted, key=lambda name: name.place)
    heights = [APART * (2 if name.beside else 1) for name in ordered]
    places = _pushed([name.place for name in ordered], heights, field.top, field.bottom)
    for name, place, height in zip(ordered, places, heights, strict=True):
        middle_of_first = place - (height - APART) / 2
        yield svg.line((look.RIGHT + 1, name.place), (look.NAMES - 3, middle_of_first), stroke=name.colour)
        bold: dict[str, str | float] = {"font_weight": "bold", "fill": name.colour}
        yield svg.text((look.NAMES, middle_of_first + 4.5), name.said, **bold)
        if name.beside:
            yield svg.text((look.NAMES, middle_of_first + 4.5 + APART), name.beside, fill=look.SOFT)


def last_of(ranges: Ranges, words: Callable[[float], str], scale: Scale, colour: str) -> list[Name]:
    """The name of a band's last median, with its range."""
    if not ranges:
        return []
    told = amounts.ranged(ranges[-1][-1][1], words)
    said, _, beside = told.removesuffix(")").partition(" (")
    return [Name(scale.held(ranges[-1][-1][1].median), said, beside, colour)]


def _pushed(wanted: Sequence[float], heights: Sequence[float], top: float, bottom: float) -> list[float]:
    """Middles in the same order, not closer than their heights allow, first from above, then from below."""
    places: list[float] = []
    edge = top
    for place, height in zip(wanted, heights, strict=True):
        places.append(max(place, edge + height / 2))
        edge = places[-1] + height / 2
    edge = max(bottom, top + sum(heights))
    for i in reversed(range(len(places))):
        places[i] = min(places[i], edge - heights[i] / 2)
        edge = places[i] - heights[i] / 2
    return places


def _drawn(points: Sequence[svg.XY], pen: Pen, field: Field, kind: str) -> str:
    here: dict[str, svg.Attribute] = {"class_": kind, "clip_path": _url(field)}
    if len(points) == 1:
        x, y = points[0]
        return svg.element("circle", cx=x, cy=y, r=pen.width, fill=pen.colour, **here)
    return svg.element("path", d=svg.path(points), **here, **pen.attributes)


def _url(field: Field) -> str:
    return f"url(#{field.name}-inside)"
