"""What a tank's page says of a start of the blower, while it rests."""

from collections.abc import Mapping
from typing import Any

from drydown.lines import prospect_of
from drydown.texts import plan

BEFORE_A_START = ("idle", "settling", "paused", "resting")
"""Stages in which somebody may think of starting it."""


def planned(stage: str, estimate: Mapping[str, Any] | None) -> tuple[str, ...]:
    """What a start now would bring, and what would serve better; empty where there is nothing to plan."""
    if estimate is None or stage not in BEFORE_A_START or estimate["verdict"] == "dry":
        return ()
    prospects = [prospect_of(line) for line in estimate.get("plan", ())]
    return tuple(filter(None, (plan.started_now(prospects), plan.best_change(prospects))))
