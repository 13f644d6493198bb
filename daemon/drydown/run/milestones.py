"""What a person wants to be told of a run: methanol gone, dry, or not to be dried in this air; each once."""

from collections.abc import Iterator

from drydown.effects import NoticeDue, Priority
from drydown.estimate.result import Estimate, Verdict, flat


class Milestones:
    """Passes each milestone of a run once. A notice's key holds the time when its run began."""

    def __init__(self) -> None:
        self._run: float | None = None
        self._passed: set[str] = set()

    def pass_by(self, estimate: Estimate, run_started: float | None) -> Iterator[NoticeDue]:
        """What the estimate says for the first time in this run."""
        if run_started is None:
            return
        if run_started != self._run:
            self._run = run_started
            self._passed.clear()
        for kind, reached in (
            ("methanol-gone", estimate.methanol_done),
            ("dry", estimate.verdict is Verdict.DRY),
            ("air-limited", estimate.verdict is Verdict.AIR_LIMITED),
            ("wetting", estimate.verdict is Verdict.WETTING),
        ):
            if reached and kind not in self._passed:
                self._passed.add(kind)
                key = f"{kind}/{run_started:.3f}"
                yield NoticeDue(estimate.time, key, kind, Priority.LOW, _figures(estimate))


def _figures(estimate: Estimate) -> dict[str, float | str]:
    figures: dict[str, float | str] = {"run_time": estimate.run_time}
    for name in ("methanol", "water", "water_floor"):
        spread = getattr(estimate, name)
        if spread is not None:
            figures |= {name: spread.median, f"{name}_low": spread.low, f"{name}_high": spread.high}
    return figures | flat(estimate.advice)
