"""The tank as it is drawn: true to its shape and its proportions, with the fuel as high as it stands."""

from dataclasses import dataclass

from drydown.config.model import Tank

WIDTH, HEIGHT = 200.0, 200.0  # what the tank may take of the picture
MIDDLE, TOP = 100.0, 0.0  # its axis and its rim
TEXT, GAP = 75.0, 28.0  # height of two lines, and what they keep from the standpipe
EDGE = 4.0  # around it, for the stroke
SLIMMEST, FLATTEST = 0.45, 1.6  # of the height: no tank is drawn narrower or wider than that
DRAIN = 7.0  # half the width of a cone's lowest part
CORNER = 10.0


@dataclass(frozen=True, slots=True)
class Drawing:
    """An outline as an SVG path, and how high things stand in it. `surface` is None while nobody knows."""

    view_box: str
    outline: str
    bottom: float
    standpipe: float
    text: float
    surface: float | None


def draw(tank: Tank, level: float | None) -> Drawing:
    """The tank with its fuel at a level in m above its lowest point."""
    full, width = _size(tank)
    aspect = min(max(width / full, SLIMMEST), FLATTEST)
    height = round(min(HEIGHT, WIDTH / aspect), 1)
    half, bottom = height * aspect / 2, TOP + height

    def at(metres: float) -> float:
        return round(bottom - height * min(max(metres / full, 0.0), 1.0), 1)

    return Drawing(
        view_box=f"{MIDDLE - half - EDGE:.1f} {TOP - EDGE} {2 * (half + EDGE):.1f} {height + 2 * EDGE:.1f}",
        outline=_outline(tank, half, bottom, at(tank.cone_height or 0.0)),
        bottom=bottom,
        standpipe=at(tank.standpipe),
        text=_text_at(at(tank.standpipe), bottom),
        surface=None if level is None else at(level),
    )


def _text_at(standpipe: float, bottom: float) -> float:
    """Where two lines of text end: above the standpipe, or in front of it where it is long."""
    above = standpipe - GAP
    return round(above if above - TOP > TEXT else bottom - GAP, 1)


def _size(tank: Tank) -> tuple[float, float]:
    """Height and width in m; a tank given as a table gets the shape of a plain one."""
    if tank.table:
        return tank.table[-1][0], tank.table[-1][0] * 0.7
    width = tank.diameter or 1.0
    if tank.shape == "horizontal-cylinder":
        return width, width
    return (tank.height or 1.0) + (tank.cone_height or 0.0), width


def _outline(tank: Tank, half: float, bottom: float, cone_top: float) -> str:
    left, right = round(MIDDLE - half, 1), round(MIDDLE + half, 1)
    if tank.shape == "horizontal-cylinder":  # seen from its end
        return f"M{MIDDLE} {TOP} A{half} {half} 0 0 0 {MIDDLE} {bottom} A{half} {half} 0 0 0 {MIDDLE} {TOP} Z"
    if tank.shape == "cone-bottom":
        return (
            f"M{left} {TOP} V{cone_top} L{MIDDLE - DRAIN} {bottom} H{MIDDLE + DRAIN} L{right} {cone_top}"
            f" V{TOP} Z"
        )
    foot = bottom - CORNER
    return (
        f"M{left} {TOP} V{foot} Q{left} {bottom} {left + CORNER} {bottom}"
        f" H{right - CORNER} Q{right} {bottom} {right} {foot} V{TOP} Z"
    )
