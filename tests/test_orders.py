"""Commands survive their way as lines; what is no command is refused with what is allowed."""

from typing import Any

import pytest

from drydown.commands import (
    Acknowledge,
    BenchTest,
    Command,
    CorrectStage,
    Degraded,
    Drain,
    Draw,
    Forget,
    Note,
    Part,
    Reset,
    RestoreSupply,
    Shelve,
    Unshelve,
)
from drydown.logbook.entry import Entry
from drydown.orders import OrderError, command_of, order_of
from drydown.run.stages import Stage


@pytest.mark.parametrize(
    "command",
    [
        Acknowledge("vent-closed", "Wren"),
        Unshelve("fuel-hot", "Wren"),
        Reset("blower-hot", "Wren"),
        Shelve("probe-fault", "Wren", 3600.0),
        CorrectStage(Stage.RESTING, "Wren"),
        BenchTest("water", 0.0006, 0.0001, "Wren"),
        BenchTest("water", 0.0006, 0.0001, "Wren", "karl-fischer", 1800.0),
        Draw("Wren"),
        Drain("Wren"),
        Forget("Wren"),
        RestoreSupply("Wren"),
        Note("opened the window: 5 °C outside", "Wren"),
        Entry("drained", {"seen": "milky", "volume": 0.004}, "Wren"),
        Entry("released", {}, "Wren"),
    ],
)
def test_a_command_is_the_same_after_its_way_as_a_line(command: Command) -> None:
    order = order_of(command)
    assert order is not None
    assert command_of(order) == command


def test_what_the_watcher_tells_itself_is_no_order() -> None:
    assert order_of(Degraded(Part.BROKER, "away")) is None


@pytest.mark.parametrize(
    ("order", "told"),
    [
        ({}, "command: allowed is acknowledge"),
        ({"command": ["acknowledge"], "who": "Wren"}, "command: allowed is"),
        ({"command": "acknowledge", "alarm": "fuel-hot"}, "who: allowed is a text of 1 to 64"),
        ({"command": "acknowledge", "who": "Wren"}, "alarm: allowed is"),
        ({"command": "acknowledge", "alarm": "a\nb", "who": "Wren"}, "alarm: allowed is"),
        ({"command": "shelve", "alarm": "a", "who": "Wren", "duration": -1}, "duration: allowed is a number"),
        ({"command": "shelve", "alarm": "a", "who": "Wren", "duration": True}, "duration: allowed is"),
        ({"command": "shelve", "alarm": "a", "who": "Wren", "duration": 10**400}, "duration: allowed is"),
        (
            {"command": "entry", "entry": "drained", "values": 7, "who": "Wren"},
            "values: allowed is an object",
        ),
        ({"command": "entry", "entry": ["drained"], "who": "Wren"}, "entry: allowed is drained, solub"),
        ({"command": "entry", "entry": "drained", "who": "Wren"}, "seen: is missing; allowed is dark, milky"),
        ({"command": "correct-stage", "stage": "boiling", "who": "Wren"}, "stage: allowed is idle, settling"),
        ({"command": "bench-test", "quantity": "soap", "who": "Wren"}, "quantity: allowed is methanol"),
        (
            {"command": "bench-test", "quantity": "water", "value": float("nan"), "sigma": 1, "who": "Wren"},
            "value: allowed is a number from 0 to 0.5",
        ),
    ],
)
def test_what_is_no_command_is_refused_by_field(order: dict[str, Any], told: str) -> None:
    with pytest.raises(OrderError, match=told):
        command_of(order)
