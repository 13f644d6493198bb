"""What made one run take longer than another, in words."""

from collections.abc import Iterator
from dataclasses import dataclass

from drydown.estimate.result import Spread
from drydown.explained import Explained
from drydown.texts.amounts import duration

CAUSES = {
    "methanol": "Methanol at the start",
    "fuel_temperature": "Warmth of the fuel",
    "volume": "Amount of fuel",
    "flow": "Air of the blower",
}
REST = "Not explained by these"
SMALL = 60.0  # s that are not worth a word
NOT_GONE = "In one of the two the methanol was not gone, so there is no time to compare."
ABOUT = (
    "Reckoned from how methanol leaves fuel: how much there was, how warm the fuel was, how much fuel there "
    "was and how much air. The room’s air bears on the water and on how fast the fuel cools, not on this by "
    "itself. The ranges hold nine times in ten."
)


@dataclass(frozen=True, slots=True)
class Share:
    """What one cause did to the time, and whether that is beyond doubt."""

    cause: str
    did: str
    range: str
    is_sure: bool


def difference(seconds: float, name: str, other: str) -> str:
    """How two runs compare; `seconds` is by how much the first took longer."""
    if abs(seconds) < SMALL:
        return f"{name} took as long as {other} until the methanol was gone."
    way = "longer" if seconds > 0 else "less"
    return f"{name} took {duration(abs(seconds))} {way} than {other} until the methanol was gone."


def shares(found: Explained) -> Iterator[Share]:
    """A line for each cause, and for what is left over."""
    for name, cause in CAUSES.items():
        part = getattr(found, name)
        if part is None:
            yield Share(cause, "cannot be told", "", False)
        else:
            yield _share(cause, part)
    yield _share(REST, found.rest)


def most(found: Explained) -> str:
    """The cause that is surest to have done most; what to make of it where none is."""
    sure = [
        (abs(part.median), cause, part.median)
        for name, cause in CAUSES.items()
        if (part := getattr(found, name)) is not None and _is_sure(part)
    ]
    if not sure:
        return "No single change is sure to have made the difference."
    _, cause, seconds = max(sure)
    return f"Most of what can be told for sure: {cause[0].lower()}{cause[1:]} made it {_said(seconds)}."


def _share(cause: str, part: Spread) -> Share:
    return Share(cause, _said(part.median), f"{_signed(part.low)} to {_signed(part.high)}", _is_sure(part))


def _is_sure(part: Spread) -> bool:
    return (part.low > 0 or part.high < 0) and abs(part.median) >= SMALL


def _said(seconds: float) -> str:
    return "no different" if abs(seconds) < SMALL / 2 else f"{_minutes(abs(seconds))} {_way(seconds)}"


def _way(seconds: float) -> str:
    return "longer" if seconds > 0 else "shorter"


def _minutes(seconds: float) -> str:
    return duration(max(round(seconds / 60), 1) * 60) if seconds >= 90 else "1 min"


def _signed(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes:+d} min".replace("-", "−") if minutes else "0 min"
