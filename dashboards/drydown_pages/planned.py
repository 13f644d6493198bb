"""What a tank's page says of a start of the blower, while it rests."""

from collections.abc import Mapping
from datetime import tzinfo
from typing import Any

from drydown.lines import advice_of, prospect_of
from drydown.texts import advice, plan

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
