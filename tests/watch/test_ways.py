"""The ways to people as the whole watcher uses them: dead ones, unseen emergencies, clocks that jump."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from drydown.alarms.catalogue import KINDS
from drydown.bus.local_client import ask
from drydown.commands import Part
from drydown.notices import turn, way
from drydown.texts.messages import AGAIN
from drydown.watch import health
from support.broker import free_port, until
from support.mail import mailbox
from support.receiver import Receiver, receiver
from support.watched_place import Place, place, watching


@pytest.fixture
def phone() -> Iterator[Receiver]:
    with receiver() as made:
        yield made


def routes(*addresses: str) -> str:
    lines = [
        f'\n[[notices.routes]]\nname = "route-{n}"\naddress = "{one}"\n' for n, one in enumerate(addresses, 1)
    ]
    return "".join(lines)


@contextmanager
def alone(folder: Path, more: str) -> Iterator[Place]:
    with pytest.MonkeyPatch.context() as patch, place(folder, free_port(), more) as made:
        patch.setenv("DRYDOWN_SYSFS", str(made.folder / "sys"))
        yield made


def hot(titles: list[str]) -> int:
    return sum("too hot" in title for title in titles)


def test_a_dead_route_is_told_of_through_the_others(
    tmp_path: Path, phone: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    degraded = next(kind for kind in KINDS if kind.name == "watch-degraded")
    monkeypatch.setattr(health, "TOLERANCE", 0.0)
    monkeypatch.setitem(degraded.on_delays, Part.NOTICES, 0.5)
    with (
        mailbox() as mail,
        alone(tmp_path, routes("json://127.0.0.1:9/", phone.address, mail.address)) as made,
    ):
        with watching(made):
            made.wait_for_readings()
            made.thermometer.show(66.0)
            until(lambda: any("trouble" in one for one in phone.titles), 30)
            until(lambda: any("trouble" in one for one in mail.titles), 30)
        told = next(one for one in phone.taken if "trouble" in one["title"])
        assert "the way to your phone" in told["title"]
        wrong = "route route-1: it was not taken; check the network, the address, and the service."
        assert told["message"].startswith(f"What is wrong: {wrong}")
        assert hot(phone.titles) == hot(mail.titles) == 1


def test_the_heartbeat_stops_when_nothing_reaches_anybody_any_more(tmp_path: Path) -> None:
    port = free_port()
    both = routes("json://127.0.0.1:9/", f"json://127.0.0.1:{port}/")
    with alone(tmp_path, both) as made, watching(made) as service:
        made.wait_for_readings()
        until(service.can_warn, 30)
        made.thermometer.show(66.0)
        until(lambda: not service.can_warn(), 30)
        assert service.is_well(), "a restart would mend nothing"
        with receiver(port) as phone:
            until(service.can_warn, 60)  # one of two is enough
            assert hot(phone.titles) == 1


def test_an_emergency_is_repeated_until_somebody_has_seen_it(
    tmp_path: Path, phone: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(way, "REPEAT", 0.5)
    monkeypatch.setattr(turn, "REPEAT", 0.5)
    with alone(tmp_path, routes(phone.address)) as made:
        with watching(made):
            made.wait_for_readings()
            made.thermometer.show(66.0)
            until(lambda: hot(phone.titles) >= 3, 30)
            assert AGAIN not in phone.taken[0]["message"]
            assert all(one["message"].startswith(AGAIN) for one in phone.taken[1:])
        with watching(made):  # a restart changes nothing
            made.wait_for_readings()
            before = hot(phone.titles)
            until(lambda: hot(phone.titles) > before, 30)
            order = {"command": "acknowledge", "alarm": "fuel-hot", "who": "Wren"}
            ask(made.site.socket_path, "command", tank="heron", command=order)
            time.sleep(1.0)  # what was on its way
            after = hot(phone.titles)
            time.sleep(1.5)
            assert hot(phone.titles) == after


def test_what_was_seen_while_the_watcher_was_away_is_not_repeated(
    tmp_path: Path, phone: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(turn, "REPEAT", 0.5)
    with alone(tmp_path, routes(phone.address)) as made:
        with watching(made):
            made.wait_for_readings()
            made.thermometer.show(66.0)
            until(lambda: hot(phone.titles) == 1, 30)
        for alarms in made.site.folder.glob("alarms-*.json"):
            alarms.unlink()  # nothing is known to stand any more
        made.thermometer.show(40.0)
        monkeypatch.setattr(way, "REPEAT", 0.5)
        with watching(made):
            made.wait_for_readings()
            for _ in range(15):  # at first nobody can know that it is over
                told = hot(phone.titles)
                time.sleep(2.0)
                if hot(phone.titles) == told:
                    return
    raise AssertionError(f"it was repeated to the end: {phone.titles}")
