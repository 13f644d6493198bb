"""SVG (W3C Recommendation 1.1, second edition) as text: elements with their attributes, escaped."""

import math
from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

XY = tuple[float, float]
Attribute = str | float


def element(name: str, content: Iterable[str] = (), /, **attributes: Attribute) -> str:
    """`_` in an attribute's name stands for `-`; a trailing one is left out."""
    given = "".join(f" {_name(key)}={_value(value)}" for key, value in attributes.items())
    inside = "".join(content)
    return f"<{name}{given}>{inside}</{name}>" if inside else f"<{name}{given}/>"


def group(content: Iterable[str], /, **attributes: Attribute) -> str:
    """Elements with attributes in common, on lines of their own."""
    return element("g", ["\n", *(f"{item}\n" for item in content if item)], **attributes)


def words(name: str, said: str, /, **attributes: Attribute) -> str:
    """An element whose content is text."""
    return element(name, [escape(said)], **attributes)


def text(at: XY, said: str, /, **attributes: Attribute) -> str:
    """A line of text."""
    return words("text", said, x=at[0], y=at[1], **attributes)


def line(start: XY, end: XY, /, **attributes: Attribute) -> str:
    """A straight line."""
    return element("line", x1=start[0], y1=start[1], x2=end[0], y2=end[1], **attributes)


def rect(corner: XY, width: float, height: float, /, **attributes: Attribute) -> str:
    """A rectangle from its upper left corner."""
    return element("rect", x=corner[0], y=corner[1], width=width, height=height, **attributes)


def path(points: Iterable[XY], *, closed: bool = False) -> str:
    """The `d` of a path along points."""
    d = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f"M{d}" + ("Z" if closed and d else "") if d else ""


def number(value: float) -> str:
    """A tenth of a unit is finer than anybody sees."""
    if not math.isfinite(value):
        raise ValueError(f"{value} is no place in a picture")
    return f"{round(value, 1) + 0.0:g}" if abs(value) < 1e5 else f"{value:.0f}"


def _name(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def _value(value: Attribute) -> str:
    return quoteattr(value if isinstance(value, str) else number(value))
