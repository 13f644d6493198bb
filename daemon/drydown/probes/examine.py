"""Tries every probe once, for `drydown check`: what it is, whether it works, and what to mend."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from drydown.condition.judge import State, condition
from drydown.condition.words import said
from drydown.probes.poll import Poller
from drydown.probes.probe import Probe
from drydown.reading import Quality, Reading

PATIENCE = 5.0  # s that a probe may take to answer


@dataclass(frozen=True, slots=True)
class Finding:
    """What became of one probe: `what` it is, and its reading, judged."""

    name: str
    what: str
    reading: Reading

    @property
    def works(self) -> bool:
        """Whether it gave a value that can be used."""
        return self.reading.quality is not Quality.BAD

    @property
    def says(self) -> str:
        """Its value, or what is wrong and what to mend; both where it is doubtful."""
        parts = [] if self.reading.value is None else [said(self.name, self.reading.value)]
        return ", ".join([*parts, self.reading.reason] if self.reading.reason else parts)


def examine(
    probes: Sequence[Probe], state: State, clock: Callable[[], float], patience: float = PATIENCE
) -> list[Finding]:
    """One finding a probe, in their order, little later than `patience` s. All are read at the same time.

    `state` is a fresh one of `condition.judge.new_state`; `clock` is the core's.
    """
    found: dict[str, Reading] = {}
    with Poller(probes, clock, interval=patience, patience=patience) as poller:
        while len(found) < len(probes):
            poller.fresh.wait(0.05)
            poller.fresh.clear()
            for reading in condition(clock(), poller.collect(), state):
                found.setdefault(reading.name, reading)
    return [Finding(probe.name, probe.describe(), found[probe.name]) for probe in probes]
