"""How another board behaves: how much of what it sends is read, and whether it floods or lies. Pure.

Memory and work are bounded for each sender, and only senders that a probe is configured for are known.
"""

from collections import deque
from dataclasses import dataclass, field

from drydown.probes import kinds


@dataclass(slots=True)
class Sender:
    """One board. Times in s on the core's clock."""

    name: str
    allowance: float = kinds.BURST  # messages that may come now
    counted: float = float("-inf")  # when that was worked out
    excess: int = 0  # messages too many since the last look
    flooded: float = float("-inf")  # when the last of them came
    muted_until: float = float("-inf")
    refusal: str = ""  # why its last message was not read; empty when it was
    refused: deque[float] = field(default_factory=lambda: deque(maxlen=kinds.LIES))
    logged: float = float("-inf")

    def may_speak(self, now: float) -> bool:
        """Whether a message that comes now is read; it counts."""
        if self.counted > float("-inf"):
            self.allowance = min(kinds.BURST, self.allowance + kinds.RATE * max(0.0, now - self.counted))
        self.counted = now
        if self.allowance >= 1.0:
            self.allowance -= 1.0
            return True
        self.excess += 1
        self.flooded = now
        return False

    def refuse(self, now: float, reason: str) -> bool:
        """A message could not be used; whether that is worth a line in the log, which it is once a minute."""
        self.refusal = reason
        self.refused.append(now)
        if now - self.logged < kinds.LIES_WITHIN:
            return False
        self.logged = now
        return True

    def is_welcome(self, now: float) -> bool:
        """Whether its messages are wanted for now. To be asked about once a second."""
        if self.excess >= kinds.FLOOD:
            self.muted_until = now + kinds.MUTED
        self.excess = 0
        return now >= self.muted_until

    def trouble(self, now: float) -> str:
        """What is wrong with it, in words; empty when nothing is."""
        if now - self.flooded < kinds.CALM:
            return kinds.FLOODER.found(board=self.name)[1]
        if len(self.refused) == kinds.LIES and now - self.refused[0] < kinds.LIES_WITHIN:
            return kinds.LIAR.found(
                board=self.name, reason=self.refusal or "they differ from one to the next"
            )[1]
        return ""
