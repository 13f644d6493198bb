"""When fuel has rested: once drops of the size that its owner chose have fallen below the standpipe."""

from drydown.physics.plain import Feedstock
from drydown.settling.fall import Sinking, pull_for

LEAST, MOST = 7200.0, 7 * 86400.0  # s; common practice, no source
DAY = 86400.0  # s, where the fall can't be reckoned; common practice, no source: leave it a day
STEADY = 600.0  # s over which the surface is averaged


class Rest:
    """Fed with temperatures and levels that can be believed, and told when the fuel comes to rest or is
    stirred. Times in s on the core's clock. A rest begins anew at a later time only: never at an earlier one.
    """

    def __init__(self, oil: Feedstock, standpipe: float, drop: float) -> None:
        """`standpipe` is its height (m) above the lowest point, `drop` a diameter (m)."""
        self.since: float | None = None
        self._sinking = Sinking(oil)
        self._standpipe, self._drop = standpipe, drop
        self._surface: float | None = None  # m
        self._levelled = 0.0  # when it was last read

    def begin(self, time: float) -> None:
        """From now on the fuel stands still."""
        if self.since is None or time > self.since:
            self.since = time
            self._sinking.begin(time)

    def end(self) -> None:
        """It is stirred."""
        self.since = None

    def feel(self, time: float, kelvin: float) -> None:
        """Take in the fuel's temperature."""
        self._sinking.feel(time, kelvin)

    def see(self, time: float, level: float) -> None:
        """Take in a level (m)."""
        if self._surface is None or time - self._levelled >= STEADY:
            self._surface, self._levelled = level, time
        elif time > self._levelled:
            self._surface += (level - self._surface) * (time - self._levelled) / STEADY
            self._levelled = time

    def length(self, now: float) -> float:
        """How long it has stood, s."""
        return 0.0 if self.since is None else now - self.since

    def is_over(self, now: float) -> bool:
        """Whether it has rested: within LEAST and MOST, or a day where nothing can be reckoned."""
        length, down = self.length(now), self._is_down(now)
        if down is None:
            return length >= DAY
        return length >= LEAST and (down or length >= MOST)

    def settled(self, now: float) -> float | None:
        """The size (m) of which all drops have fallen; None where they have not, or nobody can tell."""
        return self._drop if self._is_down(now) else None

    def _is_down(self, now: float) -> bool | None:
        pull = self._sinking.pull(now)
        if pull is None or self.since is None or self._surface is None or self._surface <= self._standpipe:
            return None
        return pull >= pull_for(self._drop, self._surface - self._standpipe)
