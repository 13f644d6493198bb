"""Every process is killed in turn; in the end the store has all that the probes gave, and the phone was told.

`deploy/soak` does the same hundreds of times at random moments.
"""

import time
from pathlib import Path

import pytest

from drydown.bus.publisher import LAG
from drydown.bus.spool import SERIES
from support.broker import Mosquitto, until
from support.ordeal import COOL, HOT, Ordeal, ordeal

pytestmark = pytest.mark.broker

HOT_FUEL = "heron: EMERGENCY: The fuel is too hot"


def is_hot(made: Ordeal) -> bool:
    return any(alarm.startswith("fuel-hot") for alarm in made.place.alarms())


def test_nothing_is_lost_or_doubled_whoever_is_killed(tmp_path: Path, broker: Mosquitto) -> None:
    with ordeal(tmp_path, broker) as made:
        made.kill("record")
        time.sleep(2.0)
        made.start("record")
        made.kill("mosquitto")
        made.place.thermometer.show(HOT)
        until(lambda: HOT_FUEL in made.phone.titles, 30, "an alarm needs no broker")
        made.start("mosquitto")
        made.kill("record")
        time.sleep(LAG[SERIES] + 3.0)
        made.kill("watch")  # what waits for the recorder is on the disk
        made.start("watch")
        until(lambda: is_hot(made), 30, "the alarm stands after the restart")
        made.place.thermometer.show(COOL)
        made.start("record")
        made.settle()
        assert made.doubled() == []
        assert made.phone.titles.count(HOT_FUEL) == 1
        assert {("fuel-hot", "raised")} <= {alarm[:2] for alarm in made.witness.alarms}
