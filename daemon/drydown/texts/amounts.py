"""SI numbers as a person reads them: no more digits than are known, never without a unit, as they like it."""

import math
import re
from collections.abc import Callable
from datetime import datetime, timedelta, tzinfo

from drydown.estimate.result import Spread
from drydown.quantities import ZERO_CELSIUS
from drydown.texts.language import counted, later, say
from drydown.texts.liking import LIKING

_NUMBER = re.compile(r"−?[\d.,]+")

GALLON = 0.003785411784  # m³: the US liquid gallon (NIST Handbook 44, appendix C)


def celsius(temperature: float) -> str:
    """A temperature in K: "61 °C"."""
    return f"{round(degrees(temperature))} {degree()}".replace("-", "−")


def degrees(temperature: float) -> float:
    """A temperature in K on the scale that is liked."""
    above_zero = temperature - ZERO_CELSIUS
    return above_zero if LIKING.get().temperature == "celsius" else above_zero * 1.8 + 32.0


def degree() -> str:
    """What that scale is counted in: "°C"."""
    return "°C" if LIKING.get().temperature == "celsius" else "°F"


def steps(difference: float) -> float:
    """A difference of temperatures in K, in degrees of the scale that is liked."""
    return difference if LIKING.get().temperature == "celsius" else difference * 1.8


def degrees_a_minute(rate: float) -> str:
    """A rate in K/s: "2.5 °C a minute"."""
    return say("{amount} a minute", amount=f"{significant(steps(rate) * 60, 2)} {degree()}")


def share(fraction: float) -> str:
    """A share of one: "12 %"."""
    return f"{significant(fraction * 100, 2)} %"


def parts_per_million(mole_fraction: float) -> str:
    """Vapour in air: "7300 ppm"."""
    return f"{significant(mole_fraction * 1e6, 2)} ppm"


def in_a_million(mole_fraction: float) -> str:
    """Vapour in air, for people: "1200 parts in a million"."""
    return say("{number} parts in a million", number=significant(mole_fraction * 1e6, 2))


def litres(volume: float) -> str:
    """A volume in m³: "170 L", "4.2 L"."""
    number, unit = _volume(volume)
    return f"{number:.0f} {unit}" if number >= 9.95 else f"{significant(number, 2)} {unit}"


def litres_a_minute(flow: float) -> str:
    """Fuel that moves, from m³/s: "0.5 L a minute"."""
    number, unit = _volume(flow * 60)
    return say("{amount} a minute", amount=f"{significant(number, 2)} {unit}")


def _volume(volume: float) -> tuple[float, str]:
    return (volume * 1000, "L") if LIKING.get().volume == "litres" else (volume / GALLON, "gal")


def centimetres(length: float) -> str:
    """A length in m: "4 cm"."""
    return f"{length * 100:.0f} cm"


def micrometres(length: float) -> str:
    """A drop's diameter in m, rounded up to what is surely meant: "28 µm"."""
    return f"{-(-round(length * 1e6, 3) // 1):.0f} µm"


def air_flow(flow: float) -> str:
    """Air that moves, of which nobody knows more than a digit: "6 m³/s"."""
    return f"{significant(flow, 1)} m³/s"


def air_flow_at_least(flow: float) -> str:
    """Air that it takes, with a digit and on the safe side: "2 m³/s" for 1.2."""
    if flow <= 0:
        return air_flow(0.0)
    digit = 10.0 ** math.floor(math.log10(flow))
    return air_flow(math.ceil(flow / digit - 1e-9) * digit)


def ranged(spread: Spread, words: Callable[[float], str]) -> str:
    """An amount with its range: "6 m³/s (4 to 8 m³/s)"; by itself where the words are the same."""
    middle, low, high = words(spread.median), words(spread.low), words(spread.high)
    if low == middle == high:
        return middle
    number, unit = parted(low)
    if number and parted(high)[1] == unit:
        low = number
    return say("{middle} ({low} to {high})", middle=middle, low=low, high=high)


def parted(amount: str) -> tuple[str, str]:
    """A number and its unit, where nothing but these stands there; else nothing, and all of it."""
    number, _, unit = amount.partition(" ")
    return (number, unit) if _NUMBER.fullmatch(number) else ("", amount)


def span(low: str, high: str) -> str:
    """From one to the other: "16:20 to 17:15"."""
    return say("{low} to {high}", low=low, high=high)


def methanol_content(mass_fraction: float) -> str:
    """Methanol in fuel: "0.18 %"."""
    percent = mass_fraction * 100
    if percent < 0.01:
        return say("less than {amount}", amount=f"{significant(0.01, 1)} %")
    return f"{significant(percent, 2)} %"


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
    if days < 730.0:
        return counted("{count} day", "{count} days", round(days))
    return counted("{count} year", "{count} years", round(days / 365.25))


def roughly(seconds: float) -> str:
    """A length of time that is not known to the minute: "8 min", "45 min", "1 h 20 min"."""
    step = 60.0 if seconds < 600.0 else 300.0 if seconds < 3600.0 else 600.0
    return duration(round(seconds / step) * step) if seconds >= 90.0 else duration(seconds)


def clock(unix_time: float, zone: tzinfo) -> str:
    """A time of day where the tank stands: "16:40", "4:40 pm"."""
    then = datetime.fromtimestamp(unix_time, zone)
    return then.strftime("%H:%M") if LIKING.get().clock == "24" else then.strftime("%-I:%M %p").lower()


MONTHS = (
    later("January"),
    later("February"),
    later("March"),
    later("April"),
    later("May"),
    later("June"),
    later("July"),
    later("August"),
    later("September"),
    later("October"),
    later("November"),
    later("December"),
)


def date(unix_time: float, zone: tzinfo) -> str:
    """A day where the tank stands: "14 May 2026"."""
    then = datetime.fromtimestamp(unix_time, zone)
    return say("{day} {month} {year}", day=then.day, month=say(MONTHS[then.month - 1]), year=then.year)


def day(unix_time: float, zone: tzinfo) -> str:
    """The same where nobody asks for the year: "14 May"."""
    then = datetime.fromtimestamp(unix_time, zone)
    return say("{day} {month}", day=then.day, month=say(MONTHS[then.month - 1]))


def moment(unix_time: float, first: float, zone: tzinfo) -> str:
    """A time of what began at `first` (Unix s): "16:40", or "16:40 on 14 May" where that is another day."""
    at = clock(unix_time, zone)
    days = (datetime.fromtimestamp(time, zone).date() for time in (first, unix_time))
    return at if len({*days}) == 1 else say("{time} on {day}", time=at, day=day(unix_time, zone))


def when(unix_time: float, now: float, zone: tzinfo) -> str:
    """A time seen from now (Unix s): "16:40", "07:20 tomorrow", "07:20 yesterday", "07:20 on 14 May"."""
    today, then = (datetime.fromtimestamp(time, zone).date() for time in (now, unix_time))
    at = clock(unix_time, zone)
    if then == today:
        return at
    if then - today == timedelta(days=1):
        return say("{time} tomorrow", time=at)
    if today - then == timedelta(days=1):
        return say("{time} yesterday", time=at)
    return say("{time} on {day}", time=at, day=day(unix_time, zone))


SHORT_MONTHS = (
    later("Jan"),
    later("Feb"),
    later("Mar"),
    later("Apr"),
    later("May"),
    later("Jun"),
    later("Jul"),
    later("Aug"),
    later("Sep"),
    later("Oct"),
    later("Nov"),
    later("Dec"),
)


def short_date(unix_time: float, zone: tzinfo) -> str:
    """The same where room is scarce: "14 May 2026", with a short name of the month."""
    then = datetime.fromtimestamp(unix_time, zone)
    return say("{day} {month} {year}", day=then.day, month=say(SHORT_MONTHS[then.month - 1]), year=then.year)


def significant(value: float, digits: int) -> str:
    """Rounded to so many significant digits, without an exponent."""
    if value == 0 or not math.isfinite(value):
        return "0"
    places = digits - 1 - int(f"{value:.{digits - 1}e}".partition("e")[2])  # 9.997 becomes a 10.0
    text = f"{round(value, places):.{max(places, 0)}f}"
    return text if LIKING.get().decimal == "point" else text.replace(".", ",")
