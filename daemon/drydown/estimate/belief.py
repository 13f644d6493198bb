"""The belief itself, for those who ask it more than the estimate tells."""

from dataclasses import dataclass

from drydown.estimate.balance import Drive, Vessel
from drydown.estimate.outlook import Cloud


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of a tank: plausible draws, what drove it last, and its fuel.

    `learned_flow` is the blower's flow over its rated one as earlier runs taught it; None where they did not.
    """

    cloud: Cloud
    drive: Drive
    vessel: Vessel
    learned_flow: float | None = None
