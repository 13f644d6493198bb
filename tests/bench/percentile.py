"""Percentiles of what was measured."""

import math
from collections.abc import Sequence


def percentile(values: Sequence[float], share: float) -> float:
    """The smallest value that at least this share of them does not exceed (nearest rank)."""
    return sorted(values)[max(1, math.ceil(share * len(values))) - 1]
