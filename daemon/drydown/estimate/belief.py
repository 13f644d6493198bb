"""The belief itself, for those who ask it more than the estimate tells."""

from dataclasses import dataclass, replace

import numpy as np

from drydown.estimate.balance import COLDEST, FUEL, HOTTEST, PROBE, WALL, Drive, Vessel
from drydown.estimate.outlook import Cloud
from drydown.estimate.unknowns import INDEX


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of a tank: plausible draws, what drove it last, and its fuel.

    `learned_flow` is the blower's flow over its rated one as earlier runs taught it; None where they did not.
    """

    cloud: Cloud
    drive: Drive
    vessel: Vessel
    learned_flow: float | None = None


def anchored(belief: Belief, reading: float) -> Belief:
    """The same with fuel as warm as its probe says (K): a heater warms it beside the balance."""
    states = belief.cloud.states.copy()
    missed = reading - states[PROBE] - belief.cloud.values[INDEX["fuel_offset"]]
    for part in (FUEL, WALL, PROBE):
        states[part] = np.clip(states[part] + missed, COLDEST, HOTTEST)
    return replace(belief, cloud=belief.cloud._replace(states=states))
