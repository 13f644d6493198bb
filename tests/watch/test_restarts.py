"""A watcher that is killed and started again: its alarms stand as they stood, and it watches at once."""

import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from drydown.bus.local_client import ask
from drydown.core import Core
from drydown.effects import Effect
from drydown.notices.outbox import Outbox
from drydown.watch import tank
from drydown.watch.alarm_file import AlarmFile
from drydown.watch.rebuild import rebuild
from support.broker import free_port, until
from support.receiver import receiver
from support.watched_place import Place, place, watching

PATIENCE = 120.0  # s: however busy the machine is


def order(made: Place, name: str, **more: Any) -> None:
    command = {"command": name, "alarm": "fuel-hot", "who": "Wren"} | more
    ask(made.site.socket_path, "command", tank="heron", command=command)


def fuel_hot(made: Place) -> dict[str, Any]:
    return next((one for one in made.state().get("alarms", []) if one["alarm"] == "fuel-hot"), {})


def kept_as(made: Place, state: str) -> bool:
    """Whether the disk has it."""
    page = AlarmFile(made.site.folder / "alarms-heron.json").read(float)
    return page is not None and page.memory.alarms["fuel-hot"].state == state


def is_confirmed(made: Place) -> bool:
    """Whether the watcher knows that the phone has it: before, it would have to say it again."""
    outbox = Outbox(made.site.folder / "outbox.sqlite3")
    try:
        return not outbox.open()
    finally:
        outbox.close()


def test_what_somebody_has_seen_stays_seen_without_broker_or_record(tmp_path: Path) -> None:
    with receiver() as phone:
        routes = f'\n[notices]\nroutes = [{{ name = "phone", address = "{phone.address}" }}]\n'
        with place(tmp_path, free_port(), routes) as alone:
            with alone.command("watch") as first:
                alone.wait_for_readings()
                alone.thermometer.show(66.0)
                until(lambda: fuel_hot(alone).get("state") == "unacknowledged", PATIENCE)
                order(alone, "acknowledge")
                until(lambda: kept_as(alone, "acknowledged"), PATIENCE)
                before = fuel_hot(alone)
                until(lambda: any("too hot" in title for title in phone.titles), PATIENCE)
                until(lambda: is_confirmed(alone), PATIENCE)
                first._process.kill()
                first._process.wait()
            with alone.command("watch"):
                alone.wait_for_readings()
                after = fuel_hot(alone)
                assert (after["state"], after["who"]) == ("acknowledged", "Wren")
                assert after["time"] == pytest.approx(before["time"], abs=0.1)
                assert after["seen_at"] == pytest.approx(before["seen_at"], abs=0.1)
                time.sleep(4)  # the delay of the alarm, and more
                assert fuel_hot(alone)["state"] == "acknowledged"
        assert sum("too hot" in title for title in phone.titles) == 1


def test_what_somebody_was_told_of_is_known_after_a_restart_until_it_is_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with place(tmp_path, free_port()) as alone:
        monkeypatch.setenv("DRYDOWN_SYSFS", str(alone.folder / "sys"))
        with watching(alone) as service:
            alone.wait_for_readings()
            assert service._tanks["heron"].told == frozenset()
            alone.thermometer.show(66.0)
            until(lambda: kept_as(alone, "unacknowledged"), PATIENCE)
        with watching(alone) as service:
            until(lambda: fuel_hot(alone).get("state") == "unacknowledged", PATIENCE)
            assert service._tanks["heron"].told == {"fuel-hot"}


def test_an_emergency_comes_in_time_while_the_run_is_still_relived(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_go_through = threading.Event()

    def slowly(core: Core, *rest: Any) -> Iterator[Effect]:
        """A board that needs as long as the test wants to go through what was recorded."""
        may_go_through.wait(120)
        yield from rebuild(core, *rest)

    monkeypatch.setattr(tank, "rebuild", slowly)
    with place(tmp_path, free_port()) as alone:
        monkeypatch.setenv("DRYDOWN_SYSFS", str(alone.folder / "sys"))
        with watching(alone):
            alone.wait_for_readings()
            alone.thermometer.show(66.0)
            until(lambda: fuel_hot(alone).get("state") == "unacknowledged", 60)
            raised = fuel_hot(alone)["time"]
            assert not alone.state().get("estimate"), "nothing is relived yet"
            may_go_through.set()
            until(lambda: alone.state().get("estimate"), 60)  # the other core has taken over
            after = fuel_hot(alone)
            assert (after["state"], after["time"]) == ("unacknowledged", raised)


def test_a_record_that_cannot_be_gone_through_stops_no_alarm(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def breaks(*_: Any) -> Iterator[Effect]:
        raise KeyError("a mistake")
        yield

    monkeypatch.setattr(tank, "rebuild", breaks)
    with place(tmp_path, free_port()) as alone:
        monkeypatch.setenv("DRYDOWN_SYSFS", str(alone.folder / "sys"))
        with watching(alone):
            alone.wait_for_readings()
            alone.thermometer.show(66.0)
            until(lambda: fuel_hot(alone).get("state") == "unacknowledged", 60)
            assert "can't be gone through" in caplog.text
            alone.thermometer.show(30.0)
            until(lambda: alone.state()["readings"]["fuel/temperature"]["value"] == 30.0, 10)
