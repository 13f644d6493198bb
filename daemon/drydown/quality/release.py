"""What can be said of a batch when it is released: measured, only estimated, not looked at. Never more."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from drydown.estimate.result import Spread
from drydown.physics.limits import Limit
from drydown.quality.kinds import TESTS, is_within
from drydown.quality.results import Result, latest


@dataclass(frozen=True, slots=True)
class Estimated:
    """A content that was worked out and not measured: mass fractions."""

    kind: str
    content: Spread

    def is_within(self, limits: Mapping[str, Limit]) -> bool | None:
        """Whether the whole range is allowed; None where the limit lies within it."""
        low, high = (is_within(self.kind, end, limits) for end in (self.content.low, self.content.high))
        return low if low is high else None


@dataclass(frozen=True, slots=True)
class Release:
    """The whole of it. `missing` are kinds of tests that are due, `against` those that speak against it.

    `unlooked` are contents and kinds that were neither measured nor worked out, due or not.
    """

    measured: tuple[Result, ...]
    estimated: tuple[Estimated, ...]
    missing: tuple[str, ...]
    against: tuple[str, ...]
    unlooked: tuple[str, ...]

    @property
    def is_clear(self) -> bool:
        """Whether every test that is due was done and nothing speaks against it."""
        return not self.missing and not self.against


def release(
    results: Sequence[Result], estimated: Sequence[Estimated], limits: Mapping[str, Limit]
) -> Release:
    """What the last result of each kind and the last estimate come to."""
    found = latest(results)
    worked_out = tuple(one for one in estimated if one.kind not in found)
    known = {*found, *(one.kind for one in worked_out)}
    bad = [kind for kind, one in found.items() if is_within(kind, one.value, limits) is False]
    bad += [one.kind for one in worked_out if one.is_within(limits) is False]
    return Release(
        measured=tuple(found[kind] for kind in TESTS if kind in found),
        estimated=worked_out,
        missing=tuple(kind for kind, test in TESTS.items() if test.due and kind not in found),
        against=tuple(kind for kind in TESTS if kind in bad),
        unlooked=tuple(kind for kind in TESTS if kind not in known),
    )
