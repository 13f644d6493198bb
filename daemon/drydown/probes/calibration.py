"""The user's own calibration of a channel: the straight line through two or more points. Pure.

A point is what the channel reads and what is true, both in the units that people use: °C for a temperature,
% for a humidity, else the SI unit of the channel (V, A, Ω, m, Pa) and of the quantity (m, m³/s, a fraction).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from drydown.errors import UserError
from drydown.probes.sysfs import Family, Scaling, kind_of
from drydown.quantities import MEASURED, ZERO_CELSIUS

Point = tuple[float, float]

LEAST_SPAN = {"Cel": 5.0, "%RH": 20.0, "m": 0.1, "m3/s": 0.01, "/": 0.0001}
"""How far apart the true values must lie at least, by SenML unit: nearer points make a line that sways."""
MOST_OFF = {"Cel": 0.5, "%RH": 5.0, "m": 0.02, "m3/s": 0.02, "/": 0.0002}
"""How far a point may lie from the line: what a careful person reads wrong. (Common practice, no source.)"""
SYMBOLS = {"Cel": "°C", "%RH": "%", "m": "m", "m3/s": "m³/s", "/": "(fraction)"}


class CalibrationError(UserError):
    """No line can be laid through the points; the text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that people use: its symbol, and SI value = shown × `scale` + `offset`."""

    symbol: str
    scale: float = 1.0
    offset: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """true = gain × read + zero, and how far each point lies above it."""

    gain: float
    zero: float
    residuals: tuple[float, ...]


CHANNEL_UNITS = {
    "temp": Unit("°C", 1.0, ZERO_CELSIUS),
    "humidityrelative": Unit("%", 0.01),
    "humidity": Unit("%", 0.01),
    "concentration": Unit("%", 0.01),
    "pressure": Unit("Pa"),
    "voltage": Unit("V"),
    "in": Unit("V"),
    "current": Unit("A"),
    "curr": Unit("A"),
    "resistance": Unit("Ω"),
    "distance": Unit("m"),
}


def fit(name: str, points: Sequence[Point]) -> Line:
    """The least-squares line through points of a quantity. Raises CalibrationError where none can be had."""
    unit = MEASURED[name].unit or ""
    symbol, least = SYMBOLS[unit], LEAST_SPAN[unit]
    if len(points) < 2:
        raise CalibrationError(f"{len(points)} point(s): a calibration needs two, and three show errors")
    reads, trues = [read for read, _ in points], [true for _, true in points]
    span = max(trues) - min(trues)
    if span < least:
        raise CalibrationError(
            f"the points are too near: they span {span:.4g} {symbol}, and a line needs {least:g} {symbol}; "
            "add one further off"
        )
    middle, mean = sum(reads) / len(reads), sum(trues) / len(trues)
    spread = sum((read - middle) ** 2 for read in reads)
    slope = sum((read - middle) * (true - mean) for read, true in points)
    if max(reads) - min(reads) <= 1e-9 * max(map(abs, reads)) or slope == 0.0:
        raise CalibrationError(
            f"the probe reads the same ({reads[0]:.6g}) though what is true differs by {span:.4g} {symbol}: "
            "check that it is the right channel, and its wiring"
        )
    gain = slope / spread
    zero = mean - gain * middle
    line = Line(gain, zero, tuple(true - (gain * read + zero) for read, true in points))
    worst = max(range(len(points)), key=lambda number: abs(line.residuals[number]))
    if abs(line.residuals[worst]) > MOST_OFF[unit]:
        raise CalibrationError(
            f"the points do not lie on a line: number {worst + 1}, {points[worst][1]:.6g} {symbol}, is "
            f"{abs(line.residuals[worst]):.3g} {symbol} off it, and {MOST_OFF[unit]:g} {symbol} is the most; "
            "measure them again"
        )
    return line


def unit_of(family: Family, channel: str) -> Unit:
    """In what unit people are told what a channel reads. Raises ChannelError for no known kind."""
    return CHANNEL_UNITS[kind_of(family, channel)[0]]


def scaling_of(
    name: str, family: Family, channel: str, points: Sequence[Point], shunt: float | None
) -> Scaling:
    """What a calibration makes of a channel, in SI. Raises CalibrationError and ChannelError."""
    line, read, true = fit(name, points), unit_of(family, channel), MEASURED[name]
    gain = true.scale * line.gain / read.scale
    return Scaling(gain, true.to_si(line.zero) - gain * read.offset, shunt)
