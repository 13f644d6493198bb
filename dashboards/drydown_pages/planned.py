"""What a tank's page says of a start of the blower, while it rests."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

from drydown.lines import advice_of, prospect_of
from drydown.quantities import ZERO_CELSIUS
from drydown.texts import advice, plan
from drydown.texts.amounts import celsius, degree
from drydown.texts.language import say

COLDEST = -10.0  # °C, of fuel that may be asked about

BEFORE_A_START = ("idle", "settling", "paused", "resting")
"""Stages in which somebody may think of starting it."""


def planned(stage: str, estimate: Mapping[str, Any] | None, zone: tzinfo) -> tuple[str, ...]:
    """What a start now would bring, and what would serve better; empty where there is nothing to plan.

    Where no start that was thought of would dry the fuel, what it takes.
    """
    if estimate is None or stage not in BEFORE_A_START or estimate["verdict"] == "dry":
        return ()
    prospects = [prospect_of(line) for line in estimate.get("plan", ())]
    hopeless = bool(prospects) and all(prospect.dry_in is None for prospect in prospects)
    helps = advice.told(map(advice_of, estimate.get("advice", ())), estimate["time"], zone)
    said = (plan.started_now(prospects), plan.best_change(prospects), helps if hopeless else "")
    return tuple(filter(None, said))


@dataclass(frozen=True, slots=True)
class PlanPage:
    """What a start would bring, what was asked (`typed`), and why that can't be answered (`refused`)."""

    tank: str
    said: tuple[str, ...]
    typed: str
    refused: str
    can_ask: bool


def typed_temperature(text: str) -> float | None:
    """What somebody typed, on the scale they like, in °C; None where it is no number."""
    try:
        value = float(text.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        return None
    if not math.isfinite(value):
        return None
    return (value - 32.0) / 1.8 if degree() == "°F" else value


def range_told(least: float, most: float) -> str:
    """The temperatures (°C) that can be asked about, in a sentence."""
    low, high = celsius(least + ZERO_CELSIUS), celsius(most + ZERO_CELSIUS)
    return say(
        "Give the fuel’s temperature as a number from {low} to {high}, this tank’s limit.", low=low, high=high
    )
