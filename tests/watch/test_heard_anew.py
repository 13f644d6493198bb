"""After a start every probe has its usual time to be heard; what truly stood before stands."""

from pathlib import Path

import pytest

from drydown.alarms.lifecycle import State
from drydown.core import Core
from drydown.effects import AlarmChanged, Change, Conditioned
from drydown.quantities import ZERO_CELSIUS
from drydown.reading import Quality, Reading
from drydown.store.write import StoreWriter
from drydown.watch.rebuild import rebuild
from drydown.watch.reliving import Reliving
from support.probed_tank import tank_with
from support.written import record

WALL = 1_789_200_000.0
SLOW = 5.0  # s between two messages of the board
LATEST = 300.0  # s that the patient tank waits for its board
VALUES: dict[str, float | bool] = {
    "fuel/temperature": 25 + ZERO_CELSIUS,
    "fuel/level": 0.6,
    "blower/running": True,
    "vent/open": True,
}
AWAY = 120.0  # s between two watchers
KILLED = 1200.0  # s from the beginning


def boards(**more: float) -> Core:
    return Core(tank_with({name: {"mqtt": "board"} | more for name in VALUES}))


def flicker(time: float) -> list[Reading]:
    """What the board sends: the last digits move, as they do."""
    wiggle = 0.0625 * (int(time / SLOW) % 2)
    return [
        Reading(name, time, value if isinstance(value, bool) else value + wiggle * (name[-1] == "e"))
        for name, value in VALUES.items()
    ]


def absent(time: float) -> list[Reading]:
    return [Reading(name, time, None, Quality.BAD, "nothing comes") for name in VALUES]


def watched(core: Core, store: StoreWriter, since: float, until: float, gone: float) -> None:
    """A watcher that records; from `gone` on its board is silent, which is told after 30 s."""
    time = since
    while time < until:
        heard = flicker(time) if time < gone else absent(time) if time > gone + 30.0 else []
        effects = core.step(time, heard, ())
        record(store, [one for one in effects if isinstance(one, Conditioned)], lambda at: at + WALL)
        time += SLOW
    store.commit({})
    store.close()


def state_of(core: Core) -> State:
    return core.panel.alarms["probe-fault"].state


def restarted(core: Core, path: Path, now: float, **more: float) -> Core:
    """The core that follows on a killed one, as the watcher makes it."""
    after = boards(**more)
    after.recall(core.kept())
    reliving = Reliving(
        boards(**more),
        lambda fresh: rebuild(fresh, path, now, lambda unix: unix - WALL, now + WALL),
        now,
    )
    relived = reliving.take()
    assert relived is not None
    relived[0].go_on_from(after)
    return relived[0]


def raised(core: Core, since: float, until: float, heard: float = float("inf")) -> dict[str, float]:
    """The alarms that are raised, with the s since the start; the board is heard from `heard` on."""
    found: dict[str, float] = {}
    time = since
    while time < until:
        step = min(time, core.due)
        readings = flicker(time) if time >= heard and step == time and (time - heard) % SLOW == 0 else []
        effects = core.step(step, readings, ())
        for one in effects:
            if isinstance(one, AlarmChanged) and one.change is Change.RAISED:
                found.setdefault(one.alarm, one.time - since)
        time = time + 1.0 if step == time else time
    return found


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "drydown.sqlite3"


@pytest.mark.parametrize("gone", [KILLED, KILLED - 40.0], ids=["heard to the last", "just fallen silent"])
def test_a_board_that_has_not_spoken_yet_is_not_lost(path: Path, gone: float) -> None:
    core = boards()
    watched(core, StoreWriter(path), 0.0, KILLED, gone)
    began = KILLED + AWAY
    after = restarted(core, path, began)
    assert raised(after, began, began + 200.0, heard=began + SLOW) == {}
    assert not after.scene.lost


def test_a_board_that_stays_silent_is_told_of_after_its_usual_time(path: Path) -> None:
    core = boards()
    watched(core, StoreWriter(path), 0.0, KILLED, KILLED)
    began = KILLED + AWAY
    found = raised(restarted(core, path, began), began, began + 100.0)
    assert 30.0 < found["probe-fault"] < 40.0


@pytest.mark.parametrize("recorded", [True, False])
def test_a_patient_tank_waits_for_as_long_as_it_says(path: Path, recorded: bool) -> None:
    core = boards(max_age=LATEST)
    if recorded:
        watched(core, StoreWriter(path), 0.0, KILLED, KILLED)
    began = KILLED + AWAY
    found = raised(restarted(core, path, began, max_age=LATEST), began, began + 400.0)
    assert LATEST <= found["probe-fault"] < LATEST + 10.0


def test_a_board_that_was_silent_before_stays_the_same_alarm(path: Path) -> None:
    core = boards(max_age=LATEST)
    watched(core, StoreWriter(path), 0.0, KILLED, 600.0)
    assert state_of(core) is State.UNACKNOWLEDGED
    began = KILLED + AWAY
    after = restarted(core, path, began, max_age=LATEST)
    assert raised(after, began, began + 400.0) == {}
    assert state_of(after) is State.UNACKNOWLEDGED
    raised(after, began + 400.0, began + 500.0, heard=began + 400.0)
    assert state_of(after) is State.RETURNED
