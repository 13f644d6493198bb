"""Lets a second core relive the run while the first one, which has the alarms, watches already.

The second core follows on a thread of its own: first what was recorded, then what has been read since. Once
it has caught up it takes the first one's place, and its alarms.
"""

import logging
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence

from drydown.commands import (
    Acknowledge,
    Command,
    Degraded,
    Mended,
    Reset,
    RestoreSupply,
    Shelve,
    Unshelve,
)
from drydown.core import Core
from drydown.effects import AlarmChanged, Conditioned, Derived, Effect, NoticeDue, SupplyChanged
from drydown.reading import Reading

KNOWN_AT_ONCE = (Acknowledge, Degraded, Mended, Reset, RestoreSupply, Shelve, Unshelve)

log = logging.getLogger(__name__)


def is_sure(effect: Effect) -> bool:
    """Whether a core that does not know what went before can say it: readings and alarms, but no run."""
    is_alarm = isinstance(effect, NoticeDue) and effect.kind in ("alarm", "supply-cut")
    return is_alarm or isinstance(effect, AlarmChanged | SupplyChanged | Conditioned)


def can_be_obeyed(command: Command) -> bool:
    """Whether a core that does not know what went before can obey a command."""
    return isinstance(command, KNOWN_AT_ONCE)


class Reliving:
    """One core that catches up. `follow`, `is_over` and `take` belong to the thread that made it."""

    def __init__(self, core: Core, relive: Callable[[Core], Iterator[Effect]], began: float) -> None:
        """`relive` takes the core through what was recorded; since `began` (s) the probes are heard again."""
        self._core = core
        self._relive = relive
        self._began = began
        self._steps: deque[tuple[float, Sequence[Reading], Sequence[Command]]] = deque()
        self._shown: dict[tuple[str, str], Effect] = {}  # the last of each kind, of what was recorded
        self._said: list[Effect] = []  # what came of the steps since
        self._failed: Exception | None = None
        self._thread = threading.Thread(target=self._run, name=f"relive {core.tank.name}", daemon=True)
        self._thread.start()

    @property
    def is_over(self) -> bool:
        """Whether it has come to an end, good or bad."""
        return not self._thread.is_alive()

    def follow(self, now: float, readings: Sequence[Reading], commands: Sequence[Command]) -> None:
        """Keep a step of the first core for the second."""
        self._steps.append((now, readings, commands))

    def take(self) -> tuple[Core, Iterable[Effect], Iterable[Effect]] | None:
        """The core up to now, what it showed at last, and what the first core did not say since.

        None where what was recorded is more than it can bear.
        """
        self._thread.join()
        self._catch_up()
        return None if self._failed else (self._core, self._shown.values(), self._said)

    def _run(self) -> None:
        try:
            for effect in self._relive(self._core):
                self._shown[_kind(effect)] = effect
            self._core.listen_anew(self._began)
        except Exception as error:
            self._fail(error)
        self._catch_up()

    def _catch_up(self) -> None:
        while self._steps and not self._failed:
            now, readings, commands = self._steps.popleft()
            try:
                effects = self._core.step(max(now, self._core.scene.now), readings, commands)
            except Exception as error:
                self._fail(error)
                return
            self._said += [effect for effect in effects if not is_sure(effect)]

    def _fail(self, error: Exception) -> None:
        self._failed = error
        log.error(
            "%s: what was recorded can't be gone through; please report this",
            self._core.tank.name,
            exc_info=error,
        )


def _kind(effect: Effect) -> tuple[str, str]:
    name = effect.reading.name if isinstance(effect, Conditioned | Derived) else ""
    return type(effect).__name__, name
