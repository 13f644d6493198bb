"""The same happening has the same key whoever tells it, and links lead to the alarm."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from drydown.clock import Clock, Moment
from drydown.config.model import Site
from drydown.effects import NoticeDue, Priority
from drydown.notices.courier import Courier
from drydown.watch.teller import SAME_RUN, Teller
from support.boathouse import heron

BOOTED = 1_000_000_000.0  # Unix s


class Outlet:
    """A teller over a real courier without routes; what it keeps is read from its outbox."""

    def __init__(self, folder: Path, **serve: object) -> None:
        plover = heron(name="plover")
        self.site = Site.model_validate({"site": "quay", "tank": (heron(), plover), "serve": serve})
        self.path = folder / "outbox.sqlite3"
        self.now = 5000.0
        self.courier = Courier(self.path, (), lambda: Moment("one", self.now, BOOTED + self.now, True))
        self.courier.start()
        self.told: dict[str, set[str]] = {}  # what an earlier watcher told of, by tank
        self.restart(BOOTED)

    def restart(self, booted: float) -> None:
        """Another watcher, whose board was started then."""
        clock = Clock(boot=lambda: self.now, wall=lambda: booted + self.now)
        self.teller = Teller(self.site, clock, self.courier, lambda tank: self.told.get(tank, set()))

    def tell(self, notice: NoticeDue, tank: str = "heron", booted: float = BOOTED) -> None:
        self.teller.notice(tank, notice, booted + notice.time)

    def kept(self) -> list[tuple[str, str, str]]:
        """Key, title and body of each notice; nothing can be told any more."""
        self.courier.close()
        with closing(sqlite3.connect(self.path)) as reader:
            return reader.execute("SELECT key, title, body FROM notice ORDER BY time, key").fetchall()


@pytest.fixture
def outlet(tmp_path: Path) -> Iterator[Outlet]:
    yield Outlet(tmp_path, address="http://board.local:8470/")


def alarm(time: float, change: str = "raised", name: str = "fuel-hot") -> NoticeDue:
    values: dict[str, float | str]
    values = {"alarm": name, "change": change, "cause": "value", "temperature": 334.6, "limit": 333.15}
    values["probe"] = "blower/motor_temperature"
    key = f"alarm/{name}/{change}/{time:.3f}"
    return NoticeDue(time, key, "alarm", Priority.EMERGENCY, values)


def dry(time: float, run: float) -> NoticeDue:
    values: dict[str, float | str] = {"run_time": 3600.0, "methanol_high": 0.0018, "water_high": 0.0004}
    return NoticeDue(time, f"dry/{run:.3f}", "dry", Priority.LOW, values)


def test_an_alarm_told_again_by_another_start_of_the_board_is_the_same(outlet: Outlet) -> None:
    outlet.tell(alarm(4000.0))
    outlet.restart(BOOTED + 3900.0)
    outlet.tell(alarm(100.0), booted=BOOTED + 3900.0)
    outlet.tell(alarm(4500.0 - 3900.0), booted=BOOTED + 3900.0)
    assert [key for key, _, _ in outlet.kept()] == [
        "heron/alarm/fuel-hot/raised/1000004000.000",
        "heron/alarm/fuel-hot/raised/1000004500.000",
    ]


def test_a_run_whose_beginning_is_found_a_little_off_is_told_of_once_and_the_next_again(
    outlet: Outlet,
) -> None:
    outlet.tell(dry(4000.0, 1000.0))
    outlet.tell(dry(4060.0, 1000.0 + SAME_RUN / 2))
    outlet.tell(dry(4900.0, 4200.0))
    assert [key for key, _, _ in outlet.kept()] == ["heron/dry/1000001000.000", "heron/dry/1000004200.000"]


def test_the_link_leads_to_the_alarm_and_only_where_phones_can_follow(outlet: Outlet, tmp_path: Path) -> None:
    outlet.tell(alarm(4000.0))
    ((_, _, body),) = outlet.kept()
    assert body.endswith("Say that you have seen it: http://board.local:8470/tanks/heron#alarm-fuel-hot")
    for serve in ({}, {"host": "0.0.0.0"}):
        (tmp_path / str(len(serve))).mkdir()
        lonely = Outlet(tmp_path / str(len(serve)), **serve)
        lonely.tell(alarm(4000.0))
        ((_, _, body),) = lonely.kept()
        assert "http" not in body


def test_the_last_that_is_over_gives_the_all_clear_of_its_own_tank(outlet: Outlet) -> None:
    outlet.tell(alarm(4000.0))
    outlet.tell(alarm(4001.0, name="blower-hot"))
    outlet.tell(alarm(4002.0), tank="plover")
    outlet.tell(alarm(4100.0, "returned"))
    outlet.tell(alarm(4200.0, "returned", "blower-hot"))
    titles = [title for _, title, _ in outlet.kept()]
    assert titles[-2:] == ["heron: over: The fuel is too hot", "heron: all clear"]


def test_what_came_and_went_again_and_again_is_named_once_in_the_all_clear(outlet: Outlet) -> None:
    outlet.tell(alarm(4000.0))
    for time in range(4100, 4600, 100):
        outlet.tell(alarm(time, name="blower-hot"))
        outlet.tell(alarm(time + 50.0, "returned", "blower-hot"))
    outlet.tell(alarm(5000.0, "returned"))
    *_, (_, title, body) = outlet.kept()
    assert title == "heron: all clear"
    assert "Over before: The blower" in body
    assert body.count("The blower") == 1


def test_a_restart_makes_no_all_clear_of_the_first_end_while_another_alarm_stands(outlet: Outlet) -> None:
    outlet.tell(alarm(4000.0))
    outlet.tell(alarm(4001.0, name="blower-hot"))
    outlet.told = {"heron": {"fuel-hot", "blower-hot"}}
    outlet.restart(BOOTED)
    outlet.tell(alarm(4100.0, "returned"))
    outlet.tell(alarm(4200.0, "returned", "blower-hot"))
    titles = [title for _, title, _ in outlet.kept()]
    assert titles[-2:] == ["heron: over: The fuel is too hot", "heron: all clear"]


def test_alarms_that_end_together_after_a_restart_give_one_all_clear(outlet: Outlet) -> None:
    outlet.tell(alarm(4000.0))
    outlet.tell(alarm(4001.0, name="blower-hot"))
    outlet.restart(BOOTED)  # and nothing stands any more when the first end is told
    outlet.tell(alarm(4100.0, "returned"))
    outlet.tell(alarm(4100.0, "returned", "blower-hot"))
    outlet.tell(alarm(4200.0))
    outlet.tell(alarm(4300.0, "returned"))
    titles = [title for _, title, _ in outlet.kept()]
    assert titles.count("heron: all clear") == 2
    assert titles[-1] == "heron: all clear"


def test_what_all_tanks_share_is_told_by_one(outlet: Outlet) -> None:
    values: dict[str, float | str]
    values = {"alarm": "watch-degraded", "change": "raised", "cause": "notices"}
    values |= {"parts": "notices", "reason": "route phone: it was not taken"}
    notice = NoticeDue(4000.0, "alarm/watch-degraded/raised/4000.000", "alarm", Priority.HIGH, values)
    outlet.tell(notice, "plover")
    outlet.tell(notice, "heron")
    assert [key.split("/")[0] for key, _, _ in outlet.kept()] == ["heron"]
