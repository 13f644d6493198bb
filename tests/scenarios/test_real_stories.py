"""Stories with nothing made up: real processes, a real broker, web and mail servers that do as they like.

Whatever arrives has to be wanted, once. Times are left open, because machines are slow at times.
"""

import signal
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from drydown.texts.messages import OLD, UNSURE
from support.broker import Mosquitto, free_port, until
from support.mail import Mailbox, mailbox
from support.receiver import Receiver, receiver
from support.shed import VENT_CLOSED, Shed
from support.watched_place import place

pytestmark = pytest.mark.broker

HERON_CLOSED = f"heron: {VENT_CLOSED}"
LINK = "http://board.local:8470/tanks/heron#alarm-vent-closed"
PATIENCE = 30.0  # s


@pytest.fixture
def phone() -> Iterator[Receiver]:
    with receiver() as made:
        yield made


@pytest.fixture
def mail() -> Iterator[Mailbox]:
    with mailbox() as made:
        yield made


def sent_to(service: Receiver | Mailbox, **more: str) -> str:
    return "\n".join(
        [f'address = "{service.address}"', *(f'{key} = "{value}"' for key, value in more.items())]
    )


def soon(condition: Callable[[], object], what: str) -> None:
    until(condition, PATIENCE, what)


def test_two_vents_close_at_once_one_is_seen_both_open_again(
    tmp_path: Path, broker: Mosquitto, phone: Receiver, mail: Mailbox
) -> None:
    routes = [sent_to(phone), sent_to(mail, least="emergency")]
    with Shed(tmp_path, broker.port, ["heron", "plover"], routes) as shed, shed.watch():
        shed.wait_for_readings()
        shed.vent(is_open=False)
        soon(lambda: len(phone.taken) == len(mail.taken) == 2, "both emergencies, both ways")
        for titles in (phone.titles, mail.titles):
            assert sorted(titles) == [HERON_CLOSED, f"plover: {VENT_CLOSED}"]
        heron = next(one["message"] for one in phone.taken if "heron" in one["title"])
        assert heron.endswith(f"Say that you have seen it: {LINK}")
        assert "Cut the blower's supply" in heron
        shed.acknowledge()
        assert shed.alarms()["vent-closed"] == "acknowledged"
        shed.vent(is_open=True)
        soon(lambda: len(phone.taken) == len(mail.taken) == 4, "the end of both, both ways")
        assert (
            sorted(phone.titles[2:]) == sorted(mail.titles[2:]) == ["heron: all clear", "plover: all clear"]
        )


def test_the_clock_jumps_an_hour_during_an_emergency_and_back_again(
    tmp_path: Path, broker: Mosquitto, phone: Receiver, mail: Mailbox
) -> None:
    with Shed(tmp_path, broker.port, ["heron"], [sent_to(phone), sent_to(mail)]) as shed:
        with shed.watch() as watcher:
            shed.wait_for_readings()
            shed.vent(is_open=False)
            soon(lambda: len(phone.taken) == len(mail.taken) == 1, "the emergency, both ways")
            for skew in (3600.0, 0.0):
                shed.set_clock(skew)
                soon(partial(shed.tells, skew), "the other time")
                assert shed.alarms()["vent-closed"] == "unacknowledged"
            soon(lambda: len(phone.taken) == len(mail.taken) == 3, "that the clock was wrong, twice")
            watcher.check()
        shed.set_clock(-3600.0)
        with shed.watch():
            soon(lambda: shed.alarms().get("vent-closed") == "unacknowledged", "the restarted watcher")
            shed.wait_for_readings()
            shed.vent(is_open=True)
            soon(lambda: len(phone.taken) == len(mail.taken) == 4, "the end, both ways")
    wrong = "heron: the clock was wrong"
    for titles in (phone.titles, mail.titles):
        assert titles == [HERON_CLOSED, wrong, wrong, "heron: all clear"]


def test_the_network_is_dead_the_watcher_is_killed_and_both_come_back(
    tmp_path: Path, broker: Mosquitto, mail: Mailbox
) -> None:
    with receiver() as gone:
        pass  # nobody listens there any more
    with Shed(tmp_path, broker.port, ["heron"], [sent_to(gone), sent_to(mail)]) as shed:
        with shed.watch() as watcher:
            shed.wait_for_readings()
            shed.vent(is_open=False)
            soon(lambda: mail.titles == [HERON_CLOSED], "the way that is open")
            shed.vent(is_open=True)
            soon(lambda: mail.titles == [HERON_CLOSED, "heron: all clear"], "its end")
            watcher.signal(signal.SIGKILL)
            watcher.wait(10)
        with receiver(gone.port) as phone, shed.watch():
            soon(lambda: len(phone.taken) == 2, "what was missed")
            assert sorted(phone.titles) == [f"Missed: {HERON_CLOSED}", "heron: all clear"]
            missed = next(one["message"] for one in phone.taken if "Missed" in one["title"])
            assert missed.startswith(OLD)
            shed.wait_for_readings()
            shed.vent(is_open=False)
            soon(lambda: len(phone.taken) == len(mail.taken) == 3, "the next emergency")
        assert phone.titles[-1] == mail.titles[-1] == HERON_CLOSED


@pytest.mark.parametrize("service", ["phone", "mail"])
def test_killed_between_alarm_and_notice(
    tmp_path: Path, broker: Mosquitto, service: str, phone: Receiver, mail: Mailbox
) -> None:
    way = phone if service == "phone" else mail
    with Shed(tmp_path, broker.port, ["heron"], [sent_to(way)]) as shed:
        with shed.watch() as watcher:
            shed.wait_for_readings()
            shed.vent(is_open=False)
            soon(lambda: '"unacknowledged"' in shed.kept_alarms(), "the alarm, kept")
            watcher.signal(signal.SIGKILL)
            watcher.wait(10)
        before = list(way.titles)
        with shed.watch():
            soon(lambda: way.titles, "the notice")
            soon(lambda: "vent-closed" in shed.alarms(), "the alarm, known again")
            shed.vent(is_open=True)
            soon(lambda: any("over" in title or "clear" in title for title in way.titles), "its end")
        told = [title for title in way.titles if HERON_CLOSED in title]
        assert 1 <= len(told) <= 2
        if len(told) == 2:  # it had arrived, and nobody could know
            again = way.bodies[-2] if isinstance(way, Mailbox) else way.taken[-2]["message"]
            assert UNSURE in again, before
        assert sum("all clear" in title for title in way.titles) == 1


def test_without_broker_or_recorder_the_emergency_comes_and_the_rest_waits_for_the_morning(
    tmp_path: Path, phone: Receiver, mail: Mailbox
) -> None:
    routes = "".join(
        f'\n[[notices.routes]]\nname = "{name}"\n{sent_to(way, quiet="00:00-23:59")}\n'
        for name, way in (("phone", phone), ("mail", mail))
    )
    with place(tmp_path, free_port(), routes) as alone, alone.command("watch"):
        alone.wait_for_readings()
        alone.thermometer.show(66.0)
        soon(lambda: phone.taken and mail.taken, "the emergency")
        assert [len(way.titles) for way in (phone, mail)] == [1, 1]
        assert "EMERGENCY: The fuel is too hot" in phone.titles[0]
        assert phone.titles == mail.titles


def test_stopped_while_a_slow_service_has_it_and_started_again(
    tmp_path: Path, broker: Mosquitto, phone: Receiver
) -> None:
    with Shed(tmp_path, broker.port, ["heron"], [sent_to(phone)]) as shed:
        phone.delay = 1.0
        with shed.watch():
            shed.wait_for_readings()
            shed.vent(is_open=False)
            soon(lambda: phone.attempts, "the attempt")
        phone.delay = 0.0
        assert phone.titles in ([], [HERON_CLOSED])
        with shed.watch():
            shed.vent(is_open=True)
            soon(lambda: phone.titles[-1:] == ["heron: all clear"], "its end")
        told = [one for one in phone.taken if HERON_CLOSED in one["title"]]
        assert 1 <= len(told) <= 2
        assert all(UNSURE in one["message"] for one in told[1:])
