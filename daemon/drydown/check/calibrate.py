"""`drydown check --calibrate PROBE`: asks for known values, computes, and prints the line to configure.

Answers come from the keyboard or, one a line, from a pipe: a true value, against which the probe is read at
once, or what it read and what was true. An empty line or the end of input ends it.
"""

import math
import sys
import time
from collections.abc import Iterator
from statistics import median

from drydown.config.model import HwmonProbe, IioProbe, Site, Tank
from drydown.errors import UserError
from drydown.probes.calibration import SYMBOLS, Line, Point, Unit, fit, unit_of
from drydown.probes.find import default_sysfs
from drydown.probes.sysfs import HWMON, IIO, ChannelError, ChannelProbe, Family, Scaling
from drydown.quantities import MEASURED

READS, PAUSE = 5, 0.2  # how often a probe is read for one point, and s between
Channel = IioProbe | HwmonProbe


def calibrate(site: Site, wanted: str) -> int:
    """Do it for a probe, as "fuel/level" or "heron fuel/level". Raises UserError."""
    tank, name = _find(site, wanted)
    config = tank.probes[name]
    if not isinstance(config, Channel):
        raise UserError(f"{wanted} has nothing to calibrate: only iio and hwmon probes have")
    family, device = (IIO, config.iio) if isinstance(config, IioProbe) else (HWMON, config.hwmon)
    try:
        unit = unit_of(family, config.channel)
    except ChannelError as error:
        raise UserError(str(error)) from error
    probe = ChannelProbe(name, default_sysfs(), family, device, config.channel, Scaling(shunt=_shunt(config)))
    symbol = SYMBOLS[MEASURED[name].unit or ""]
    points = list(_points(probe, unit, symbol))
    line = fit(name, points)
    print(_told(points, line, unit, symbol))
    print(f"\nPut this into [tank.probes] of {tank.name}, in the place of what stands there:\n")
    print(_line_of(name, family, device, config, points))
    return 0


def _shunt(config: Channel) -> float | None:
    return config.shunt if isinstance(config, IioProbe) else None


def _find(site: Site, wanted: str) -> tuple[Tank, str]:
    having = [
        (tank, name) for tank in site.tank for name in tank.probes if wanted in (name, f"{tank.name} {name}")
    ]
    if len(having) == 1:
        return having[0]
    known = [
        f'"{tank.name} {name}"'
        for tank in site.tank
        for name, probe in tank.probes.items()
        if isinstance(probe, Channel)
    ]
    allowed = f"one of {', '.join(known)}" if known else "none, as no iio or hwmon probe is configured"
    raise UserError(f"--calibrate {wanted}: allowed is {allowed}")


def _points(probe: ChannelProbe, unit: Unit, symbol: str) -> Iterator[Point]:
    asks = sys.stdin.isatty()
    if asks:
        print(f"Bring {probe.describe()} to a value that you know, wait until it rests, and type the value.")
        print("Two points far apart are enough, three show errors. An empty line ends it.")
    number = 1
    while True:
        if asks:
            print(f"{number}: true value in {symbol}: ", end="", flush=True)
        answer = sys.stdin.readline()
        if not answer.strip():
            return
        try:
            yield _point(answer, probe, unit, symbol)
            number += 1
        except UserError as error:
            if not asks:
                raise
            print(error)


def _point(answer: str, probe: ChannelProbe, unit: Unit, symbol: str) -> Point:
    try:
        numbers = [float(word) for word in answer.replace(",", " ").split()]
    except ValueError:
        numbers = []
    if not 1 <= len(numbers) <= 2 or not all(map(math.isfinite, numbers)):
        raise UserError(
            f"{answer.strip()[:40]!r} is no point: allowed is the true value in {symbol}, or what the probe "
            f"read in {unit.symbol} and the true value"
        )
    if len(numbers) == 2:
        return numbers[0], numbers[1]
    read = _read(probe, unit)
    print(f"{probe.name} reads {read:.6g} {unit.symbol} at {numbers[0]:g} {symbol}.")
    return read, numbers[0]


def _read(probe: ChannelProbe, unit: Unit) -> float:
    """The middle of some reads: one that is wild does not count."""
    values = []
    for turn in range(READS):
        if turn:
            time.sleep(PAUSE)
        reading = probe.read(time.monotonic())
        if reading.value is None:
            raise UserError(f"{probe.name} gave no value: {reading.reason}")
        values.append((reading.value - unit.offset) / unit.scale)
    return float(f"{median(values):.7g}")


def _told(points: list[Point], line: Line, unit: Unit, symbol: str) -> str:
    rows = [f"true = {line.gain:.6g} × read {'+' if line.zero >= 0 else '−'} {abs(line.zero):.6g}"]
    rows += [
        f"  {number}: read {read:.6g} {unit.symbol}, true {true:.6g} {symbol}, "
        f"off the line by {off:+.2g} {symbol}"
        for number, ((read, true), off) in enumerate(zip(points, line.residuals, strict=True), 1)
    ]
    if len(points) == 2:
        rows.append("  Two points always lie on a line: a third would show how well they were measured.")
    return "\n".join(rows)


def _line_of(name: str, family: Family, device: str, config: Channel, points: list[Point]) -> str:
    shunt = _shunt(config)
    kept = f", shunt = {shunt:g}" if shunt else ""
    listed = ", ".join(f"[{read!r}, {true!r}]" for read, true in points)
    kind = "iio" if family is IIO else "hwmon"
    return (
        f'"{name}" = {{ {kind} = "{device}", channel = "{config.channel}"{kept}, calibration = [{listed}] }}'
    )
