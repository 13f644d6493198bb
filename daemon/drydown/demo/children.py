"""The demo's other processes: started, kept an eye on, and ended in good order whatever happens."""

import signal
import subprocess
from pathlib import Path
from types import TracebackType
from typing import Self

from drydown.errors import UserError

PATIENCE = 5.0  # s for a process to end when told to
IMPATIENCE = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)


class Children:
    """Processes by what they are to a person. What they write goes to files in `folder`."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._processes: dict[str, subprocess.Popen[bytes]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.end()

    def start(self, what: str, command: list[str]) -> None:
        """Start one, out of reach of the terminal's Ctrl-C: we end it ourselves."""
        with self._log(what).open("wb") as log:
            self._processes[what] = subprocess.Popen(
                command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=log, process_group=0
            )

    def check(self) -> None:
        """Raises UserError if one of them has ended by itself."""
        for what, process in self._processes.items():
            if process.poll() is not None:
                said = self._log(what).read_text(errors="replace").strip().splitlines()
                why = f" ({said[-1]})" if said else ""
                raise UserError(
                    f"The demo is over: {what} ended by itself{why}. Start the demo again; if that keeps "
                    "happening, report it."
                )

    def end(self) -> None:
        """End all of them, the latest first. From here on nobody's impatience can leave one behind."""
        for number in IMPATIENCE:
            signal.signal(number, signal.SIG_IGN)
        while self._processes:
            _, process = self._processes.popitem()
            process.terminate()
            try:
                process.wait(PATIENCE)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()

    def _log(self, what: str) -> Path:
        return self._folder / f"{what}.log"
