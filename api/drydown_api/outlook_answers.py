"""The shape of the day ahead as the API answers it: SI units, times in Unix seconds."""

from typing import Literal

from drydown_api.answers import Answer
from drydown_api.state_answers import ProspectAnswer


class AirAnswer(Answer):
    """One course of the air, an hour's after the other: temperatures (K), relative humidities (of one)."""

    temperature: list[float]
    humidity: list[float]


class WarmingAnswer(Answer):
    """The best start with warmer fuel; `energy` (J) is the heat that this takes at least, nothing lost."""

    prospect: ProspectAnswer
    energy: float


class OutlookAnswer(Answer):
    """What a start at each hour of the day ahead would bring, and the same in sentences.

    `source` is where the air ahead is known from: the tank's record (the days that began at `days`) or a
    table (which ends at `last`). `courses` are what the air may be, from `first` on. `best` are times of
    starts, the best first. Where there is nothing to tell, `starts` is empty and `said` says why.
    """

    time: float
    source: Literal["record", "table"]
    first: float | None
    days: list[float]
    last: float | None
    courses: list[AirAnswer]
    starts: list[ProspectAnswer]
    best: list[float]
    warmings: list[WarmingAnswer]
    said: list[str]
