"""Draws that are made up: a surface that falls by Torricelli's law, read by a gauge with noise."""

from collections.abc import Iterator
from math import pi, sqrt
from random import Random

from drydown.drawing.descent import Point, Shape
from drydown.drawing.draws import Draw, draw_of

AREA = pi * 0.30**2  # m², of a drum of 0.60 m
DRUM = Shape((0.0, 0.90), (0.0, 0.90 * AREA))
STANDPIPE = 0.152  # m
EVERY = 2.0  # s between readings


def falling(
    level: float, until: float, outlet: float, coefficient: float, noise: float, dice: Random
) -> Iterator[Point]:
    """Readings of the drum from a level to another; √(h − z) falls evenly with time in a straight tank."""
    root, slope = sqrt(level - outlet), coefficient / (2.0 * AREA)
    for step in range(5000):
        now = step * EVERY
        height = outlet + max(root - slope * now, 0.0) ** 2
        if height < until:
            return
        yield now, height + dice.gauss(0.0, noise)


def drawn(
    start: float, level: float, until: float, outlet: float, coefficient: float, *, noise: float = 0.0015
) -> Draw:
    """The same as a draw that was recorded; the start seeds its noise."""
    readings = [
        (start + t, h) for t, h in falling(level, until, outlet, coefficient, noise, Random(f"draw {start}"))
    ]
    return draw_of(start, readings[-1][0] + EVERY, (level - until) * AREA, readings)
