"""What a tank's blower gives of its usual air, told once a minute while it bubbles."""

from collections.abc import Iterator

import numpy as np

from drydown.alarms.scene import Scene
from drydown.effects import Derived
from drydown.estimate.belief import Belief
from drydown.estimate.blower_fade import BlowerFade
from drydown.estimate.blower_load import BlowerLoad
from drydown.estimate.result import Estimate, Spread
from drydown.estimate.unknowns import INDEX
from drydown.estimate.worlds import Source, spread_of, worlds
from drydown.reading import Quality, Reading

NAME = "blower/flow_share"
ENDS = {"median": "", "low": "/low", "high": "/high"}


class Blowing:
    """One tank's. Usual is what earlier runs taught, or until they have, the rated flow or this run's start.

    Several things bear witness, each blind to something; the one that is surest of least air is believed.
    Heat and current tell less than the level does, and are heeded only as far as it does not contradict them.
    """

    def __init__(self, cross_section: float) -> None:
        """`cross_section` of the tank in m²."""
        self._cross_section = cross_section
        self._fade, self._load = BlowerFade(), BlowerLoad()
        self._run_time = 0.0
        self._told = False

    def tell(
        self, scene: Scene, surface_volume: float | None, estimate: Estimate, belief: Belief | None
    ) -> Iterator[Derived]:
        """Put the share into the scene and tell it; what can no longer be told is taken back once.

        `surface_volume` (m³) is up to the level as read, bubbles included.
        """
        self._note(scene, surface_volume, estimate)
        found = [] if not scene.running else list(self._witnesses(scene, belief))
        load = self._load.share() if scene.running else None
        if load and all(spread.low <= load.high for spread in found):
            found.append(load)
        share = scene.flow_share = min(found, key=lambda spread: spread.high, default=None)
        for end, tail in ENDS.items():
            if share is not None:
                yield Derived(Reading(NAME + tail, scene.now, getattr(share, end)))
            elif self._told:
                yield Derived(Reading(NAME + tail, scene.now, None, Quality.BAD, "cannot be told now"))
        self._told = share is not None

    def _note(self, scene: Scene, surface_volume: float | None, estimate: Estimate) -> None:
        if estimate.run_time < self._run_time:
            self._fade, self._load = BlowerFade(), BlowerLoad()
        self._run_time = estimate.run_time
        warmth, content = scene.number("fuel/temperature"), estimate.methanol
        if surface_volume and scene.running is not None and warmth is not None and content is not None:
            self._fade.note(scene.now, scene.running, surface_volume, warmth, content.median)
        if scene.running:
            outlet, room = scene.number("blower/discharge_temperature"), scene.number("air/temperature")
            rise = None if outlet is None or room is None else outlet - room
            self._load.note(rise, scene.number("blower/current"))
        elif scene.running is False:
            self._load.stop()

    def _witnesses(self, scene: Scene, belief: Belief | None) -> Iterator[Spread]:
        faded = self._fade.share()
        learned = belief.learned_flow if belief else None
        if faded and not learned:
            yield faded
        if belief and learned:
            flow = belief.cloud.values[INDEX["flow"], :, 0] / learned
            began = Spread(*(float(np.quantile(flow, share)) for share in (0.5, 0.05, 0.95)))
            yield spread_of(worlds(began, Source.FLOW) * worlds(faded, Source.HOLD_UP)) if faded else began
        usual = scene.tank.blower.rated_flow * (learned or 1.0)
        held = self._fade.share_of(usual / self._cross_section)
        if held:
            yield held
