"""The alarms: what each is raised for, beside the terms it is raised on."""

from collections.abc import Callable, Set
from dataclasses import dataclass, fields

from drydown.alarms import conditions, levels
from drydown.alarms.scene import Finding, Scene
from drydown.alarms.terms import ABSENT, TERMS, Terms


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind(Terms):
    """One alarm with the condition that finds what is wrong."""

    find: Callable[[Scene, float], Finding | None]

    def is_fitted(self, scene: Scene) -> bool:
        """Whether anything is there that could raise it."""
        return not self.fitted_by or not scene.fitted.isdisjoint(self.fitted_by)

    def needs(self, fitted: Set[str]) -> tuple[str, ...]:
        """The readings without which it cannot tell, where these are fitted."""
        if self.fitted_by and fitted.isdisjoint(self.fitted_by):
            return ()
        measured = tuple(name for name in self.depends_on if name in fitted)
        return measured or self.worked_out_from


FINDERS: dict[str, Callable[[Scene, float], Finding | None]] = {
    "vent-closed": conditions.vent_closed,
    "vapour-high": conditions.vapour_high,
    "level-falling": levels.level_falling,
    "level-high": levels.level_high,
    "keep-out": conditions.keep_out,
    "fuel-hot": conditions.fuel_hot,
    "blower-hot": conditions.blower_hot,
    "blower-overrun": conditions.blower_overrun,
    "blower-weak": levels.blower_weak,
    "probe-fault": conditions.probe_fault,
    "air-damp": conditions.air_damp,
    "watch-degraded": conditions.watch_degraded,
}

KINDS = tuple(
    Kind(find=FINDERS[terms.name], **{one.name: getattr(terms, one.name) for one in fields(Terms)})
    for terms in TERMS
)
"""Every alarm, most urgent first."""


def dependents(fitted: Set[str]) -> dict[str, frozenset[str]]:
    """Each alarm with the readings without which it cannot tell, in a tank where these are fitted."""
    return {kind.name: frozenset(kind.needs(fitted)) for kind in KINDS}


def is_told_by_probe_fault(alarm: str, cause: str) -> bool:
    """Whether `probe-fault` comes for the same reason at the same time, so that one notice does for both."""
    return cause == "lost" and any(
        kind.name == alarm and kind.depends_on and kind.on_delays["lost"] == ABSENT for kind in KINDS
    )


__all__ = ["ABSENT", "KINDS", "Kind", "dependents", "is_told_by_probe_fault"]
