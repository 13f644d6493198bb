"""What happens in the demo: the simulated batch, and a vent that somebody shuts and forgets."""

from dataclasses import replace

from drydown.config.model import Tank
from drydown.probes.simulated import scenario_of
from drydown.simulate.scene import Scenario, Spell

MINUTE = 60.0  # s
SHUT_AFTER = 3 * MINUTE  # the blower was paused
OPENED_AFTER = 6 * MINUTE  # the blower went on


def story_of(tank: Tank) -> Scenario:
    """The batch of `scenario_of`; with the pause for tea the vent is shut, and opened late."""
    batch = scenario_of(tank)
    _, pauses, goes_on, _ = batch.switches
    (opening,) = batch.vent_openings
    before = Spell(opening.begins, pauses + SHUT_AFTER, 1.0)
    after = Spell(goes_on + OPENED_AFTER, opening.ends, 1.0)
    return replace(batch, vent_openings=(before, after))
