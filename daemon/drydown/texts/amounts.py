"""SI numbers as a person reads them: no more digits than are known, never without a unit."""

import math
from collections.abc import Callable
from datetime import datetime, tzinfo

from drydown.estimate.result import Spread
from drydown.quantities import ZERO_CELSIUS


def celsius(temperature: float) -> str:
    """A temperature in K: "61 °C"."""
    return f"{round(temperature - ZERO_CELSIUS)} °C".replace("-", "−")


def degrees_a_minute(rate: float) -> str:
    """A rate in K/s: "2.5 °C a minute"."""
    return f"{significant(rate * 60, 2)} °C a minute"


def share(fraction: float) -> str:
    """A share of one: "12 %"."""
    return f"{significant(fraction * 100, 2)} %"


def parts_per_million(mole_fraction: float) -> str:
    """Vapour in air: "7300 ppm"."""
    return f"{significant(mole_fraction * 1e6, 2)} ppm"


def in_a_million(mole_fraction: float) -> str:
    """Vapour in air, for people: "1200 parts in a million"."""
    return f"{significant(mole_fraction * 1e6, 2)} parts in a million"


def litres(volume: float) -> str:
    """A volume in m³: "170 L", "4.2 L"."""
    return f"{volume * 1000:.0f} L" if volume >= 0.00995 else f"{significant(volume * 1000, 2)} L"


def litres_a_minute(flow: float) -> str:
    """Fuel that moves, from m³/s: "0.5 L a minute"."""
    return f"{significant(flow * 60_000, 2)} L a minute"


def centimetres(length: float) -> str:
    """A length in m: "4 cm"."""
    return f"{length * 100:.0f} cm"


def air_flow(flow: float) -> str:
    """Air that moves: "5.8 m³/s"."""
    return f"{significant(flow, 2)} m³/s"


def ranged(spread: Spread, words: Callable[[float], str]) -> str:
    """An amount with its range: "5.8 m³/s (4.1 to 8.3 m³/s)"; by itself where the words are the same."""
    middle, low, high = words(spread.median), words(spread.low), words(spread.high)
    if low == middle == high:
        return middle
    number, _, unit = low.partition(" ")
    if high.endswith(f" {unit}"):
        low = number
    return f"{middle} ({low} to {high})"


def methanol_content(mass_fraction: float) -> str:
    """Methanol in fuel: "0.18 %"."""
    return "less than 0.01 %" if mass_fraction < 0.0001 else f"{significant(mass_fraction * 100, 2)} %"


def water_content(mass_fraction: float) -> str:
    """Water in fuel: "430 mg/kg"."""
    return f"{significant(mass_fraction * 1e6, 2)} mg/kg"


def duration(seconds: float) -> str:
    """A length of time: "45 s", "12 min", "4 h 10 min"."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def long_duration(seconds: float) -> str:
    """A length of time that may be years: "3 h 5 min", "12 days", "56 years"."""
    days = seconds / 86_400.0
    if days < 2.0:
        return duration(seconds)
    return f"{days:.0f} days" if days < 730.0 else f"{days / 365.25:.0f} years"


def roughly(seconds: float) -> str:
    """A length of time that is not known to the minute: "8 min", "45 min", "1 h 20 min"."""
    step = 60.0 if seconds < 600.0 else 300.0 if seconds < 3600.0 else 600.0
    return duration(round(seconds / step) * step) if seconds >= 90.0 else duration(seconds)


def clock(unix_time: float, zone: tzinfo) -> str:
    """A time of day where the tank stands: "16:40"."""
    return datetime.fromtimestamp(unix_time, zone).strftime("%H:%M")


def significant(value: float, digits: int) -> str:
    """Rounded to so many significant digits, without an exponent."""
    if value == 0 or not math.isfinite(value):
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    return f"{round(value, places):.{max(places, 0)}f}"
