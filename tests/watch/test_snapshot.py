"""The state that other threads ask for while the tank's own thread goes on."""

from drydown.commands import Part
from drydown.core import Core
from drydown.watch.snapshot import Snapshot
from support.boathouse import heron


class Meanwhile(str):
    """The name of a part; while it is put into words, the tank's thread adds another."""

    core: Core

    def __str__(self) -> str:
        self.core.scene.degraded[Part.DISK] = "full"
        return "broker"


def test_what_happens_meanwhile_does_not_spoil_the_state() -> None:
    part = Meanwhile("broker")
    part.core = core = Core(heron())
    core.scene.degraded[part] = "away"  # type: ignore[index]
    state = Snapshot().state(core, 0.0, float)
    assert state["degraded"] == {"broker": "away"}
