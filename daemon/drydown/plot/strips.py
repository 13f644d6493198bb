"""Rows of what held when: stage, blower, verdict; below them alarms and what was told, with their words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from drydown.effects import Priority
from drydown.plot import look, svg
from drydown.plot.scales import Scale
from drydown.plot.trace import UNKNOWN, Standing, Stretch

HEIGHT, GAP = 24.0, 6.0
LANE = 21.0  # height of a row of marks

GROUNDS = {
    "bubbling": look.AIR_BAND,
    "dry": look.INK,
    "drying": "url(#slanted)",
    "air-limited": "url(#upright)",
    "wetting": "url(#dotted)",
    UNKNOWN: look.CARD,
}
"""Behind a stretch; all others stand on the card's own ground."""

SIGNS = {Priority.EMERGENCY: "▲", Priority.HIGH: "△", Priority.LOW: "○"}


@dataclass(frozen=True, slots=True)
class Mark:
    """Something that happened, or stood until `end`, with its words."""

    start: float
    end: float
    sign: str
    said: str
    colour: str


def patterns() -> str:
    """The hatchings, by which a verdict is known without its colour."""

    def hatching(name: str, turned: float, content: str) -> str:
        turn = f"rotate({svg.number(turned)})"
        ground = svg.rect((0, 0), 8, 8, fill=look.CARD)
        size: dict[str, svg.Attribute] = {"width": 8, "height": 8, "patternUnits": "userSpaceOnUse"}
        return svg.element("pattern", [ground, content], id=name, patternTransform=turn, **size)

    stroke = svg.line((0, 0), (0, 8), stroke=look.FUEL, stroke_width=2.2)
    bar = svg.line((0, 0), (0, 8), stroke=look.INK, stroke_width=2.6)
    dot = svg.element("circle", cx=4, cy=4, r=1.8, fill=look.AIR)
    return hatching("slanted", 45, stroke) + hatching("upright", 0, bar) + hatching("dotted", 0, dot)


def row(name: str, top: float) -> Iterator[str]:
    """A row's name and ground."""
    yield svg.text((look.LEFT - 8, top + HEIGHT / 2 + 4.5), name, text_anchor="end", fill=look.SOFT)
    yield svg.line((look.LEFT, top + HEIGHT), (look.RIGHT, top + HEIGHT), stroke=look.LINE)


def stretches(found: Sequence[Stretch], words: dict[str, str], time: Scale, top: float) -> Iterator[str]:
    """Boxes with what they mean in them, where it fits."""
    for stretch in found:
        start, end = time.at(stretch.start), time.at(stretch.end)
        ground = GROUNDS.get(stretch.what, look.CARD)
        yield svg.rect((start, top), end - start, HEIGHT, fill=ground, stroke=look.INK, stroke_width=0.8)
        said = words.get(stretch.what, stretch.what)
        size = look.SMALL if look.width_of(said) < end - start - 6 else look.TINY
        if look.width_of(said, size) < end - start - 2:
            yield _inside(said, ((start + end) / 2, top + HEIGHT / 2 + 4.5), size, ground)


def _inside(said: str, at: svg.XY, size: float, ground: str) -> str:
    if ground == look.INK:
        return svg.text(at, said, text_anchor="middle", font_size=size, fill=look.CARD, font_weight="bold")
    around: dict[str, svg.Attribute] = {"stroke": look.CARD, "stroke_width": 5, "paint_order": "stroke"}
    if not ground.startswith("url"):
        around = {}
    return svg.text(at, said, text_anchor="middle", font_size=size, stroke_linejoin="round", **around)


def blower(found: Sequence[Stretch], time: Scale, top: float) -> Iterator[str]:
    """Full bars where it ran, a dashed box where nobody can tell."""
    for stretch in found:
        start, end = time.at(stretch.start), time.at(stretch.end)
        told = stretch.what != UNKNOWN
        style: dict[str, svg.Attribute] = {"fill": look.AIR}
        if not told:
            style = {"fill": "none", "stroke": look.INK, "stroke_dasharray": "3 3"}
        yield svg.rect((start, top + 3), end - start, HEIGHT - 6, **style)
        said = "on" if told else "cannot tell"
        if look.width_of(said) < end - start - 6:
            at = ((start + end) / 2, top + HEIGHT / 2 + 4.5)
            yield svg.text(at, said, text_anchor="middle", fill=look.CARD if told else look.INK)


def marks_of(alarms: Sequence[Standing], told: Sequence[tuple[float, str]]) -> list[Mark]:
    """Alarms and notices in order of time."""
    marks = [
        Mark(alarm.start, alarm.end, SIGNS[alarm.priority], f"{alarm.title} ({alarm.priority})", look.BAD)
        for alarm in alarms
    ]
    marks += [Mark(time, time, "◆", said, look.INK) for time, said in told]
    return sorted(marks, key=lambda mark: (mark.start, mark.said))


def lanes_of(marks: Sequence[Mark], time: Scale) -> list[int]:
    """The lane of each mark: the first in which its words do not meet another's."""
    free: list[float] = []
    lanes: list[int] = []
    for mark in marks:
        start, end = _extent(mark, time)
        lane = next((i for i, edge in enumerate(free) if edge <= start), len(free))
        free[lane : lane + 1] = [end + 10]
        lanes.append(lane)
    return lanes


def draw_marks(
    marks: Sequence[Mark], lanes: Sequence[int], time: Scale, top: float, bottom: float
) -> Iterator[str]:
    """Signs with their words, a bar for as long as an alarm stood, and a hair line down to `bottom`."""
    for mark, lane in zip(marks, lanes, strict=True):
        x, y = time.at(mark.start), top + lane * LANE
        yield svg.line((x, y + 14), (x, bottom), stroke=mark.colour, stroke_dasharray="1 3")
        if mark.end > mark.start:
            bar = (x, y + LANE - 4)
            yield svg.rect(bar, max(time.at(mark.end) - x, 2), 3, fill=mark.colour)
        yield svg.text((x, y + 13), mark.sign, text_anchor="middle", fill=mark.colour, font_size=look.HEAD)
        side = -1 if _is_flipped(mark, time) else 1
        anchor = "end" if side < 0 else "start"
        yield svg.text((x + side * 11, y + 13), mark.said, text_anchor=anchor, fill=mark.colour)


def _extent(mark: Mark, time: Scale) -> tuple[float, float]:
    x, width = time.at(mark.start), look.width_of(mark.said) + 16
    if _is_flipped(mark, time):
        return x - width, max(x + 8, time.at(mark.end))
    return x - 8, max(x + width, time.at(mark.end))


def _is_flipped(mark: Mark, time: Scale) -> bool:
    """Whether the words stand before the sign, because there is no room behind it."""
    x, width = time.at(mark.start), look.width_of(mark.said) + 16
    return x + width > look.WIDTH - 12 and x - width > look.LEFT - 90
