"""Keeps a mistake in what is worked out beside the alarms from costing an alarm, and has it told."""

from collections.abc import Callable
from typing import TypeVar

from drydown.alarms.scene import Scene
from drydown.commands import Part
from drydown.telling import is_finite

Found = TypeVar("Found")


class Faults:
    """Tries what may fail. What went wrong stands in the scene until a whole round has gone well."""

    def __init__(self, scene: Scene) -> None:
        self._scene = scene
        self._is_clean = True
        self._untold: Exception | None = None

    def tried(self, work: Callable[[], Found], otherwise: Callable[[], Found]) -> Found:
        """What the work finds; `otherwise` finds where it fails, or comes to a number that is none."""
        try:
            found = work()
            if is_finite(found):
                return found
            self._note(ArithmeticError("a number that is not finite"))
        except Exception as error:  # whatever it is, the alarms must be looked at
            self._note(error)
        return otherwise()

    def begin_round(self) -> None:
        """Another estimate is due: what failed before the last one, and has not failed since, is mended."""
        if self._is_clean:
            self._scene.degraded.pop(Part.ESTIMATE, None)
        self._is_clean = True

    def take(self) -> Exception | None:
        """The last mistake, once, for whoever keeps a log."""
        error, self._untold = self._untold, None
        return error

    def _note(self, error: Exception) -> None:
        self._is_clean, self._untold = False, error
        self._scene.degraded[Part.ESTIMATE] = f"a mistake in drydown: {type(error).__name__}: {error}"
