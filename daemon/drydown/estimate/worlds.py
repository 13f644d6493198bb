"""Ranges carried through arithmetic: each uncertain thing has its value in each of a fixed set of worlds.

A range becomes one value a world, drawn so that the values have the range's median, 5 % and 95 % points, and
so that things from different sources are independent. Whatever is worked out of them, world by world, is read
as a range again. There is no chance in it: the same ranges give the same range.
"""

from enum import IntEnum
from functools import lru_cache
from statistics import NormalDist
from typing import cast

import numpy as np

from drydown.estimate.result import Spread
from drydown.physics.values import Array

WORLDS = 251  # a prime
STRIDE = 30  # of the lattice: the ends of what two or three equal ranges make come out within a tenth
NOTHING = 1e-30  # in any unit of what is dealt with here
END = NormalDist().inv_cdf(0.95)  # standard deviations from the median to the 95 % point


class Source(IntEnum):
    """What is uncertain on its own account."""

    EMISSION = 0
    MIXING = 1
    FRESH_AIR = 2
    FLOW = 3
    METHANOL = 4
    ESCAPE = 5
    SENSOR = 6
    HOLD_UP = 7


@lru_cache(maxsize=64)
def worlds(spread: Spread, source: Source) -> Array:
    """The values of something that is not negative, one a world: log-normal to either side of its median.

    Where the range reaches down to nothing, on straight lines instead. Not to be written to: the same range
    gives the same array.
    """
    values = _values(spread, source)
    values.setflags(write=False)
    return values


def _values(spread: Spread, source: Source) -> Array:
    scores = _SCORES[source]
    side = np.where(scores < 0.0, spread.low, spread.high)
    if spread.low > NOTHING:
        return cast(Array, spread.median * (side / spread.median) ** np.abs(scores))
    straight: Array = np.maximum(spread.median + (side - spread.median) * np.abs(scores), 0.0)
    return straight


def spread_of(values: Array) -> Spread:
    """The range of what has one value a world."""
    ordered = np.sort(values)
    return Spread(*(_at(ordered, share) for share in (0.5, 0.05, 0.95)))


def least(values: Array, chance: float) -> float:
    """What is reached with this probability."""
    return _at(np.sort(values), 1.0 - chance)


def _at(ordered: Array, share: float) -> float:
    place = share * WORLDS - 0.5
    below = int(place)
    value, following = float(ordered[below]), float(ordered[below + 1])
    return value + (place - below) * (following - value)


def _scores() -> Array:
    """Standard normal scores, over END, of each source in each world.

    Every source has the same evenly spread scores, each in an order of its own: that of Korobov's lattice
    (Dokl. Akad. Nauk SSSR 124:1207, 1959; from memory), whose points mirror each other about the middle one.
    """
    middle = (WORLDS - 1) // 2
    shares = [(level + 0.5) / WORLDS for level in range(WORLDS)]
    levels = np.array([NormalDist().inv_cdf(share) for share in shares]) / END
    strides = [pow(STRIDE, source, WORLDS) for source in Source]
    scores: Array = levels[(np.outer(strides, np.arange(WORLDS) - middle) + middle) % WORLDS]
    return scores


_SCORES = _scores()
