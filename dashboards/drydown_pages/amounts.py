"""How numbers are written for people: no more digits than are known, and never without a unit."""

import math
from datetime import datetime, tzinfo


def significant(value: float, digits: int) -> str:
    """`value` rounded to that many significant digits, without an exponent: 0.0437 to 1 digit is "0.04"."""
    if value == 0 or not math.isfinite(value):
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(value)))
    return f"{round(value, places):.{max(places, 0)}f}"


def percent(mass_fraction: float) -> str:
    """A content in percent by mass."""
    if mass_fraction < 0.00005:
        return "under 0.01 %"
    return f"{significant(mass_fraction * 100, 2 if mass_fraction > 0.01 else 1)} %"


def milligrams(mass_fraction: float) -> str:
    """A content in mg/kg, to two digits."""
    return f"{significant(mass_fraction * 1e6, 2)} mg/kg"


def duration(seconds: float) -> str:
    """Hours and minutes, or minutes alone below an hour."""
    hours, minutes = divmod(int(seconds // 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"


def clock(time: float, zone: tzinfo | None) -> str:
    """Unix time as hours and minutes of the day where the tank stands."""
    return datetime.fromtimestamp(time, zone).strftime("%H:%M")
