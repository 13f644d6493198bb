"""What the figures share: a temporary folder, a broker, the boathouse, and its long afternoon."""

import tempfile
from contextlib import ExitStack
from functools import cached_property
from pathlib import Path
from types import TracebackType

from bench.boathouse import Boathouse
from bench.review import reviewed
from bench.stay import Stay, stay
from support.broker import Mosquitto, free_port, mosquitto


class Workbench:
    """Made when it is first asked for, and cleared away at the end."""

    def __enter__(self) -> "Workbench":
        self._open = ExitStack()
        self.folder = Path(self._open.enter_context(tempfile.TemporaryDirectory(prefix="drydown-bench-")))
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._open.close()

    @cached_property
    def broker(self) -> Mosquitto:
        """A mosquitto whose queue holds all that a figure sends it."""
        return self._open.enter_context(mosquitto(self.folder, "max_queued_messages 0"))

    @cached_property
    def boathouse(self) -> Boathouse:
        """Two tanks with twelve probes."""
        return Boathouse(self.folder, self.broker.port, free_port())

    @cached_property
    def reviewed(self) -> Boathouse:
        """The same with a long run in its store, for the pages that look back."""
        return reviewed(self.folder / "reviewed")

    @property
    def stay(self) -> Stay:
        """What the processes used while they watched, recorded and served the boathouse for minutes.

        Raises AssertionError, without trying again, if it once came to nothing.
        """
        found = self._stayed
        if isinstance(found, AssertionError):
            raise found
        return found

    @cached_property
    def _stayed(self) -> Stay | AssertionError:
        try:
            return stay(self.boathouse)
        except AssertionError as error:
            return error
