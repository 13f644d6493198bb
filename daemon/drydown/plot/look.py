"""The look of a drawn run: paper and ink, amber for fuel, blue for air; nothing told by a colour alone."""

from dataclasses import dataclass

PAPER, CARD = "#faf6ec", "#fffefa"
INK, SOFT, LINE = "#1b2428", "#4f5b5e", "#ddd4c1"
FUEL, FUEL_BAND = "#a65a00", "#efc98a"
AIR, AIR_BAND, AIR_TINT = "#24667f", "#b4d3de", "#e6f0f3"
BAD = "#8f1a10"

FONT = "system-ui, 'Segoe UI', 'DejaVu Sans', sans-serif"
TINY, SMALL, HEAD, TITLE = 11.0, 13.0, 16.0, 26.0  # heights of letters

WIDTH = 1200.0
LEFT, RIGHT = 104.0, 986.0  # of what has a time
NAMES = RIGHT + 12.0  # where the names of the lines begin


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn: told apart by its dashes as much as by its colour."""

    colour: str
    width: float = 2.2
    dashes: str = ""

    @property
    def attributes(self) -> dict[str, str | float]:
        """For an element of its own."""
        given: dict[str, str | float] = {"stroke": self.colour, "stroke_width": self.width, "fill": "none"}
        return given | ({"stroke_dasharray": self.dashes} if self.dashes else {})


LIMIT = Pen(INK, 1.6, "9 4")
MIDDLE_OF_FUEL, MIDDLE_OF_AIR = Pen(FUEL, 2.6), Pen(AIR, 2.6)
FLOOR = Pen(AIR, 2.0, "2 4")

TEMPERATURE_PENS = {
    "fuel/temperature": Pen(FUEL, 2.6),
    "air/temperature": Pen(AIR, 2.0, "7 4"),
    "blower/discharge_temperature": Pen(AIR, 2.0, "1.5 3.5"),
    "blower/motor_temperature": Pen(INK, 1.8, "10 3 2 3"),
}


def width_of(said: str, size: float = SMALL) -> float:
    """About how wide a text comes out in a wide fount."""
    return len(said) * size * 0.58


def width_of_bold(said: str, size: float = SMALL) -> float:
    """The same for bold letters."""
    return 1.14 * width_of(said, size)
