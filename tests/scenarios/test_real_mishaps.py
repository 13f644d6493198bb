"""Mishaps at seven tanks at once: one real watcher, a real broker, a web server and a mailbox.

Each thing has to be told once, both ways where it is an emergency, and nothing else.
"""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from drydown.alarms.wander import LIFTED
from drydown.bus.local_client import WatcherError, ask
from support.broker import Mosquitto, until
from support.mail import mailbox
from support.receiver import receiver
from support.shed import PROBES, Said, Shed

pytestmark = pytest.mark.broker

FILLED, DRAINED, UNPLUGGED, VAPOUR = "heron", "plover", "egret", "teal"
BEARING, SHORTED, FOAMING = "curlew", "knot", "dunlin"
TANKS = (FILLED, DRAINED, UNPLUGGED, VAPOUR, BEARING, SHORTED, FOAMING)
EMERGENCIES = {
    f"{FILLED}: EMERGENCY: ": "brim",
    f"{DRAINED}: EMERGENCY: ": "loses fuel",
    f"{UNPLUGGED}: EMERGENCY: ": "Is the vent open?",
    f"{BEARING}: EMERGENCY: ": "The blower is too hot",
    f"{SHORTED}: EMERGENCY: ": "A probe has failed",
    f"{FOAMING}: EMERGENCY: ": "The fuel foams",
}
PATIENCE = 90.0  # s, on a slow machine
SHELVED = 8.0  # s


def moving(level: float, rate: float, to: float, after: float = 0.0) -> Callable[[], Said]:
    """A level (m) that begins to move in so many seconds, at so much a second."""
    began = time.monotonic() + after
    bound = max if rate < 0 else min
    return lambda: {"fuel/level": bound(to, level + rate * max(0.0, time.monotonic() - began))}


def told(titles: list[str], tank: str) -> list[str]:
    return [title for title in titles if title.startswith(f"{tank}: ")]


def order(shed: Shed, tank: str, command: str, alarm: str, **more: Any) -> None:
    whole = {"command": command, "alarm": alarm, "who": "Wren"} | more
    ask(shed.site.socket_path, "command", tank=tank, command=whole)


def test_seven_mishaps_at_once_and_one_of_them_is_shelved(tmp_path: Path, broker: Mosquitto) -> None:
    probes = (*PROBES, "vapour/methanol", "blower/motor_temperature")
    with receiver() as phone, mailbox() as mail:
        routes = [f'address = "{phone.address}"', f'address = "{mail.address}"\nleast = "emergency"']
        with (
            Shed(tmp_path, broker.port, TANKS, routes, probes, max_age=10.0, wired=SHORTED) as shed,
            shed.record(),
            shed.watch(),
        ):
            clean: Said = {"vapour/methanol": 0.0001, "blower/motor_temperature": 40.0}
            still: Said = dict(clean) | {"blower/running": False}
            by_wire: Said = dict(clean) | {"fuel/temperature": None}
            for tank in TANKS:
                shed.says(tank, lambda: clean)
            for tank in (FILLED, DRAINED):
                shed.says(tank, lambda: still)
            shed.says(SHORTED, lambda: by_wire)
            shed.wait_for_readings()
            filling, draining = moving(0.6, 0.012, 0.895), moving(0.6, -0.003, 0.3)
            shed.says(FILLED, lambda: dict(still) | dict(filling()))
            shed.says(DRAINED, lambda: dict(still) | dict(draining()))
            foaming = moving(0.6, 0.01, 0.66, after=LIFTED)
            shed.says(FOAMING, lambda: dict(clean) | dict(foaming()))
            shed.says(UNPLUGGED, lambda: dict(clean) | {"vent/open": None})
            shed.says(BEARING, lambda: dict(clean) | {"blower/motor_temperature": 95.0})
            # 13 % of what can burn, from memory: 6 %
            shed.says(VAPOUR, lambda: dict(clean) | {"vapour/methanol": 0.008})
            shed.thermometer.short()
            until(
                lambda: len(phone.taken) >= len(TANKS) and len(mail.taken) >= len(EMERGENCIES),
                PATIENCE,
                "all of them",
            )
            for start, words in EMERGENCIES.items():
                for titles in (phone.titles, mail.titles):
                    assert [words in title for title in titles if title.startswith(start)] == [True], titles
            assert ["vapour" in title for title in told(phone.titles, VAPOUR)] == [True]
            assert "shorted" in next(one["message"] for one in phone.taken if SHORTED in one["title"])
            with pytest.raises(WatcherError, match="mergency"):
                order(shed, DRAINED, "shelve", "level-falling", duration=60.0)
            order(shed, VAPOUR, "shelve", "vapour-high", duration=SHELVED)
            assert shed.alarms(VAPOUR)["vapour-high"] == "shelved"
            until(lambda: shed.alarms(VAPOUR).get("vapour-high") == "unacknowledged", PATIENCE, "its end")
            order(shed, UNPLUGGED, "acknowledge", "vent-closed")
            shed.says(UNPLUGGED, lambda: clean)
            until(lambda: len(told(phone.titles, UNPLUGGED)) == 2, PATIENCE, "it is plugged in again")
            assert told(phone.titles, UNPLUGGED)[-1] == f"{UNPLUGGED}: all clear"
        for tank in (FILLED, DRAINED, BEARING, SHORTED, FOAMING):
            assert len(told(phone.titles, tank)) == 1, phone.titles
