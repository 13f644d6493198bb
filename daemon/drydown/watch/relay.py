"""The contact in the blower's control circuit: held closed by pulses, and only by them.

A level could stay on a pin when the process dies or the board freezes. So the pin gives pulses while the
blower may run, and the relay beside it drops out when they stop, whatever level the pin has then. The wiring
is in the guide, `relay.md`.
"""

import threading
from collections.abc import Callable

from drydown.watch.output import OutputPin

HALF_PERIOD = 0.25  # s between two changes of the pin; the relay must drop out within 3 s without one


class Relay:
    """Start it. `may_run` is asked before every pulse, on a thread of its own."""

    def __init__(self, name: str, pin: OutputPin, may_run: Callable[[], bool]) -> None:
        self._pin, self._may_run = pin, may_run
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"relay {name}", daemon=True)

    @property
    def trouble(self) -> str:
        """What is wrong with its pin; empty where nothing is."""
        return self._pin.trouble

    def start(self) -> None:
        """Begin to give pulses."""
        self._thread.start()

    def close(self) -> None:
        """Stop, and leave the pin low."""
        self._stopping.set()
        self._thread.join(5)

    def _run(self) -> None:
        on = False
        try:
            while not self._stopping.wait(HALF_PERIOD):
                on = not on and self._may_run()
                self._pin.set(on)
        finally:
            self._pin.close()
