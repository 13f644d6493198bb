"""What the estimator answers: how dry, how sure, when, and whether at all."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """The state of the fuel in one word."""

    UNKNOWN = "unknown"
    DRYING = "drying"
    DRY = "dry"
    AIR_LIMITED = "air-limited"
    WETTING = "wetting"


@dataclass(frozen=True, slots=True)
class Spread:
    """A median with the 5 % and 95 % points: the truth is believed to lie between with 90 % probability."""

    median: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Advice:
    """What would help, with the numbers that it rests on, in SI units; `estimate.advice` has the kinds."""

    kind: str
    values: Mapping[str, float]


ADVICE = "advice/"
"""Begins the names under which a flat set of values carries advice: advice/KIND/NAME."""


def flat(advice: Iterable[Advice]) -> dict[str, float]:
    """Advice among other values, as in a notice."""
    return {f"{ADVICE}{piece.kind}/{name}": value for piece in advice for name, value in piece.values.items()}


def gathered(values: Mapping[str, float | str]) -> tuple[Advice, ...]:
    """The advice among other values, in its order: the inverse of `flat`."""
    found: dict[str, dict[str, float]] = {}
    for name, value in values.items():
        if name.startswith(ADVICE):
            kind, _, what = name.removeprefix(ADVICE).partition("/")
            found.setdefault(kind, {})[what] = float(value)
    return tuple(Advice(kind, kept) for kind, kept in found.items())


LONGEST_START = 28800.0  # s of bubbling that a prospect looks ahead


@dataclass(frozen=True, slots=True)
class Prospect:
    """What bubbling would bring that begins after `wait` seconds with fuel warmer by so many K than now.

    Times in s of bubbling, None where the end does not come. `water_least` is a mass fraction: the driest
    that the fuel would get. `fresh_air` (m³/s) keeps the room below the exposure limit while most vapour
    comes, `fresh_air_against_fire` below a quarter of the lower flammable limit.
    """

    warmer_by: float
    wait: float
    methanol_gone_in: Spread | None
    dry_in: Spread | None
    water_least: Spread
    emission_peak: Spread  # kg/s
    fresh_air: Spread
    fresh_air_against_fire: Spread


@dataclass(frozen=True, slots=True)
class Estimate:
    """The belief at one moment. None stands where a thing cannot be told, or never comes.

    methanol, water and water_floor are mass fractions (water_floor: the content at equilibrium with this
    air), emission is in kg/s, the two times are in s on the core's clock.
    """

    time: float
    run_time: float
    methanol: Spread | None
    water: Spread | None
    water_floor: Spread | None
    emission: Spread | None
    methanol_done_at: Spread | None
    dry_at: Spread | None
    methanol_done: bool
    verdict: Verdict
    advice: tuple[Advice, ...] = ()
    plan: tuple[Prospect, ...] = ()  # while the blower rests: starting now first, then what would change it
