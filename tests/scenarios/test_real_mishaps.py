"""Mishaps at four tanks at once: one real watcher, a real broker, a web server and a mailbox.

Each thing has to be told once, both ways where it is an emergency, and nothing else.
"""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from drydown.bus.local_client import WatcherError, ask
from support.broker import Mosquitto, until
from support.mail import mailbox
from support.receiver import receiver
from support.shed import PROBES, Said, Shed

pytestmark = pytest.mark.broker

FILLED, DRAINED, UNPLUGGED, VAPOUR = "heron", "plover", "egret", "teal"
EMERGENCIES = {
    f"{FILLED}: EMERGENCY: ": "brim",
    f"{DRAINED}: EMERGENCY: ": "loses fuel",
    f"{UNPLUGGED}: EMERGENCY: ": "Is the vent open?",
}
PATIENCE = 90.0  # s, on a slow machine
SHELVED = 8.0  # s


def moving(level: float, rate: float, to: float) -> Callable[[], Said]:
    """A level (m) that begins to move now, at so much a second."""
    began = time.monotonic()
    bound = max if rate < 0 else min
    return lambda: {"fuel/level": bound(to, level + rate * (time.monotonic() - began))}


def told(titles: list[str], tank: str) -> list[str]:
    return [title for title in titles if title.startswith(f"{tank}: ")]


def order(shed: Shed, tank: str, command: str, alarm: str, **more: Any) -> None:
    whole = {"command": command, "alarm": alarm, "who": "Wren"} | more
    ask(shed.site.socket_path, "command", tank=tank, command=whole)


def test_four_mishaps_at_once_and_one_of_them_is_shelved(tmp_path: Path, broker: Mosquitto) -> None:
    tanks, probes = (FILLED, DRAINED, UNPLUGGED, VAPOUR), (*PROBES, "vapour/methanol")
    with receiver() as phone, mailbox() as mail:
        routes = [f'address = "{phone.address}"', f'address = "{mail.address}"\nleast = "emergency"']
        with (
            Shed(tmp_path, broker.port, tanks, routes, probes, max_age=10.0) as shed,
            shed.record(),
            shed.watch(),
        ):
            clean = {"vapour/methanol": 0.0001}
            still = clean | {"blower/running": False}
            for tank in tanks:
                shed.says(tank, lambda: clean)
            for tank in (FILLED, DRAINED):
                shed.says(tank, lambda: still)
            shed.wait_for_readings()
            filling, draining = moving(0.6, 0.012, 0.895), moving(0.6, -0.003, 0.3)
            shed.says(FILLED, lambda: still | dict(filling()))
            shed.says(DRAINED, lambda: still | dict(draining()))
            shed.says(UNPLUGGED, lambda: clean | {"vent/open": None})
            shed.says(VAPOUR, lambda: {"vapour/methanol": 0.008})  # 13 % of what can burn, from memory: 6 %
            until(lambda: len(phone.taken) >= 4 and len(mail.taken) >= 3, PATIENCE, "all four")
            for start, words in EMERGENCIES.items():
                for titles in (phone.titles, mail.titles):
                    assert [words in title for title in titles if title.startswith(start)] == [True], titles
            assert ["vapour" in title for title in told(phone.titles, VAPOUR)] == [True]
            with pytest.raises(WatcherError, match="mergency"):
                order(shed, DRAINED, "shelve", "level-falling", duration=60.0)
            order(shed, VAPOUR, "shelve", "vapour-high", duration=SHELVED)
            assert shed.alarms(VAPOUR)["vapour-high"] == "shelved"
            until(lambda: shed.alarms(VAPOUR).get("vapour-high") == "unacknowledged", PATIENCE, "its end")
            order(shed, UNPLUGGED, "acknowledge", "vent-closed")
            shed.says(UNPLUGGED, lambda: clean)
            until(lambda: len(told(phone.titles, UNPLUGGED)) == 2, PATIENCE, "it is plugged in again")
            assert told(phone.titles, UNPLUGGED)[-1] == f"{UNPLUGGED}: all clear"
        assert [len(told(phone.titles, tank)) for tank in (FILLED, DRAINED)] == [1, 1]
