"""What is said in words: methanol gone, dry, air-limited, wetting; only once it is sure, without flicker."""

import math
from typing import NamedTuple

from drydown.estimate.result import Verdict

SURE, DOUBT = 0.95, 0.80  # probabilities: to make a claim, and to take it back
STEADY = 300.0  # s that a claim must have held
GAINING = 0.3 / 3600.0  # 1/s, of the water there is: while so much leaves there is something to gain
FIRST_WORD = 180.0  # s of bubbling before anything is said
FIRST_CLAIM = 300.0  # s of bubbling before anything is counted as within its limit
OUT_OF_HEARING = 600.0  # s without a reading of the fuel's temperature


class Evidence(NamedTuple):
    """What the words rest on. Probabilities, and seconds."""

    run_time: float
    silence: float  # since the fuel's temperature was last read
    explained: bool  # whether the model can follow the readings
    methanol_within: float
    water_within: float
    never_within: float  # that this air cannot bring water within its limit, now or as the fuel warms
    at_floor: bool  # water has come as near to this air's floor as matters
    falling: float  # 1/s, share of the water that leaves: it may follow a floor that falls
    rising: float  # that bubbling adds water, and not just a trace


class Claims:
    """Follows what may be said. Times in s on the core's clock."""

    def __init__(self) -> None:
        self.verdict = Verdict.UNKNOWN
        self._next, self._since = Verdict.UNKNOWN, -math.inf
        self._clear = {"methanol": math.inf, "dry": math.inf}  # since when the claim has held

    def methanol_done(self, now: float) -> bool:
        """Whether methanol has surely been within its limit for long enough."""
        return now - self._clear["methanol"] >= STEADY

    def withdraw(self) -> None:
        """Another fuel, or nothing known any more."""
        self._clear = dict.fromkeys(self._clear, math.inf)

    def weigh(self, now: float, evidence: Evidence) -> None:
        """Take in the evidence of now."""
        if not evidence.explained:
            self.withdraw()
        elif evidence.run_time >= FIRST_CLAIM:
            self._note(now, "methanol", evidence.methanol_within)
            self._note(now, "dry", min(evidence.methanol_within, evidence.water_within))
        self._settle(now, self._verdict(now, evidence))

    def _note(self, now: float, claim: str, chance: float) -> None:
        """Follows since when a claim has been sure; one that was made stands until it is in real doubt."""
        made = now - self._clear[claim] >= STEADY
        if chance < (DOUBT if made else SURE):
            self._clear[claim] = math.inf
        elif self._clear[claim] == math.inf:
            self._clear[claim] = now

    def _verdict(self, now: float, e: Evidence) -> Verdict:
        if e.run_time < FIRST_WORD or e.silence > OUT_OF_HEARING or not e.explained:
            return Verdict.UNKNOWN
        if now - self._clear["dry"] >= STEADY:
            return Verdict.DRY
        if not self.methanol_done(now):
            return Verdict.DRYING
        stands = self.verdict  # what was said needs less to go on being said
        if e.rising >= (0.7 if stands is Verdict.WETTING else 0.9):
            return Verdict.WETTING
        never, gaining = (0.7, 1.5 * GAINING) if stands is Verdict.AIR_LIMITED else (0.9, GAINING)
        limited = e.never_within >= never and e.water_within < 0.5
        done = limited and e.at_floor and e.falling < gaining
        return Verdict.AIR_LIMITED if done else Verdict.DRYING

    def _settle(self, now: float, verdict: Verdict) -> None:
        """The verdict that has stood for a while; unknown, dry and the first word are said at once."""
        if verdict != self._next:
            self._next, self._since = verdict, now
        at_once = {Verdict.UNKNOWN, Verdict.DRY}
        if verdict in at_once or self.verdict in at_once or now - self._since >= STEADY:
            self.verdict = verdict
