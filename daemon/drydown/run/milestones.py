"""What a person wants told of a run, each once: methanol gone, dry, no more in this air, stop, rested."""

from collections.abc import Iterator

from drydown.effects import NoticeDue, Priority
from drydown.estimate.result import Estimate, Verdict, flat
from drydown.settling.rest import Rest

LINGER = 600.0  # s for which the blower may run on in vain before somebody is told to stop it
ENDS = (Verdict.DRY, Verdict.AIR_LIMITED, Verdict.WETTING)


class Milestones:
    """Passes each milestone of a run once. A notice's key is KIND/TIME, of when its run began."""

    def __init__(self) -> None:
        self._run: float | None = None
        self.passed: dict[str, NoticeDue] = {}  # in this run, by kind
        self._in_vain_since: float | None = None

    def pass_by(self, estimate: Estimate, run_started: float | None, running: bool) -> Iterator[NoticeDue]:
        """What the estimate says for the first time in this run; `running`: the blower is."""
        if run_started is None:
            return
        self._begin(run_started)
        for kind, reached in (
            ("methanol-gone", estimate.methanol_done),
            ("dry", estimate.verdict is Verdict.DRY),
            ("air-limited", estimate.verdict is Verdict.AIR_LIMITED),
            ("wetting", estimate.verdict is Verdict.WETTING),
            ("stop", self._lingers(estimate, running)),
        ):
            if reached:
                yield from self._pass(kind, estimate.time, _figures(estimate))

    def end_rest(
        self, now: float, run_started: float | None, rest: Rest, drawable: float | None
    ) -> Iterator[NoticeDue]:
        """The fuel has rested; `drawable` is what stands above the standpipe, m³."""
        if run_started is None:
            return
        self._begin(run_started)
        figures: dict[str, float | str] = {"rested": rest.length(now)}
        settled = rest.settled(now)
        if settled is not None:
            figures["settled"] = settled
        if drawable is not None:
            figures["drawable"] = drawable
        yield from self._pass("rested", now, figures)

    def _begin(self, run_started: float) -> None:
        if run_started != self._run:
            self._run = run_started
            self.passed.clear()
            self._in_vain_since = None

    def _lingers(self, estimate: Estimate, running: bool) -> bool:
        """Whether the blower has run on for a while although there is nothing more to be gained."""
        in_vain = running and estimate.methanol_done and estimate.verdict in ENDS
        if not in_vain:
            self._in_vain_since = None
            return False
        if self._in_vain_since is None:
            self._in_vain_since = estimate.time
        return estimate.time - self._in_vain_since >= LINGER

    def _pass(self, kind: str, now: float, figures: dict[str, float | str]) -> Iterator[NoticeDue]:
        if kind not in self.passed:
            notice = NoticeDue(now, f"{kind}/{self._run:.3f}", kind, Priority.LOW, figures)
            self.passed[kind] = notice
            yield notice


def _figures(estimate: Estimate) -> dict[str, float | str]:
    figures: dict[str, float | str] = {"run_time": estimate.run_time, "verdict": str(estimate.verdict)}
    for name in ("methanol", "water", "water_floor"):
        spread = getattr(estimate, name)
        if spread is not None:
            figures |= {name: spread.median, f"{name}_low": spread.low, f"{name}_high": spread.high}
    return figures | flat(estimate.advice)
