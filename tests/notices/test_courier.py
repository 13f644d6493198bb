"""Notices reach a real receiver, once, whatever refuses, hangs or dies on the way."""

import logging
import socket
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from drydown.clock import Moment, moment
from drydown.config.services import Route
from drydown.effects import Priority
from drydown.notices import courier as couriers
from drydown.notices import messenger, routes
from drydown.notices.age import age as age_of
from drydown.notices.courier import Courier
from drydown.notices.messenger import Messenger
from drydown.notices.outbox import APPLICATION, KEPT, Notice, Outbox, OutboxError
from drydown.notices.turn import EXPIRES, FRESH, JITTER
from support.broker import free_port, until
from support.receiver import Receiver, receiver

DRY = "heron: the fuel is dry"
OF_2 = ", about TEXT NOT NULL, repeats INTEGER NOT NULL, settled INTEGER NOT NULL"


@pytest.fixture
def phone() -> Iterator[Receiver]:
    with receiver() as made:
        yield made


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "outbox.sqlite3"


def notice(title: str = DRY, priority: Priority = Priority.LOW, age: float = 0) -> Notice:
    return Notice(f"heron/{title}", time.time() - age, priority, title, "At 16:40 it was.")


def once(age: float = 0.0) -> Moment:
    """A moment of this start of the board."""
    return moment().before(age)


def route(address: str, name: str = "phone", least: str = "low") -> Route:
    return Route.model_validate({"name": name, "address": address, "least": least})


@contextmanager
def carrying(path: Path, *ways: Route) -> Iterator[Courier]:
    courier = Courier(path, ways, first_delay=0.05)
    courier.start()
    try:
        yield courier
    finally:
        courier.close()


def waiting(path: Path) -> list[str]:
    outbox = Outbox(path)
    try:
        return [found.notice.title for found in outbox.open()]
    finally:
        outbox.close()


def test_a_notice_arrives_with_its_words_and_its_kind(path: Path, phone: Receiver) -> None:
    with carrying(path, route(phone.address)) as courier:
        courier.post(notice("heron: EMERGENCY: hot", Priority.EMERGENCY))
        until(lambda: phone.taken)
    taken = phone.taken[0]
    assert (taken["title"], taken["message"], taken["type"]) == (
        "heron: EMERGENCY: hot",
        "At 16:40 it was.",
        "failure",
    )
    assert waiting(path) == []


def test_what_is_long_over_is_forgotten_by_a_watcher_that_never_ends(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(couriers, "TIDY", 0.2)
    monkeypatch.setattr(couriers, "LOOK", 0.1)
    Outbox(path).close()
    with carrying(path) as courier:
        old, new = notice("old", age=KEPT + 60.0), notice("new")
        courier.post(old)
        courier.post(new)

        def kept() -> list[str]:
            reader = sqlite3.connect(path)
            try:
                return [key for (key,) in reader.execute("SELECT key FROM notice")]
            finally:
                reader.close()

        until(lambda: new.key in kept(), 10)
        until(lambda: kept() == [new.key], 10)


def test_the_same_happening_is_told_once_even_by_the_next_watcher(path: Path, phone: Receiver) -> None:
    for _ in range(2):
        with carrying(path, route(phone.address)) as courier:
            courier.post(notice())
            courier.post(notice())
            courier.post(notice(f"marker {len(phone.taken)}"))
            until(lambda: phone.titles[-1:] and phone.titles[-1].startswith("marker"))
            time.sleep(0.2)
    assert phone.titles.count("heron: the fuel is dry") == 1


def test_what_is_refused_is_tried_again_with_growing_delay(path: Path, phone: Receiver) -> None:
    phone.refuse = 4
    with carrying(path, route(phone.address)) as courier:
        courier.post(notice())
        until(lambda: "was not taken" in courier.trouble)
        until(lambda: phone.taken, 10)
        until(lambda: not courier.trouble)
    assert len(phone.taken) == 1
    gaps = [after - before for before, after in pairwise(phone.attempts)]
    least = [0.05 * 2**number * (1 - JITTER) for number in range(4)]  # however slow the machine is
    assert [gap >= wanted for gap, wanted in zip(gaps, least, strict=True)] == [True] * 4


def test_a_dead_route_does_not_hold_up_the_others(path: Path, phone: Receiver) -> None:
    nowhere = route(f"json://127.0.0.1:{free_port()}/", "nowhere")
    with carrying(path, nowhere, route(phone.address)) as courier:
        courier.post(notice())
        until(lambda: phone.taken)
        until(lambda: courier.trouble.startswith("route nowhere"))


def test_a_route_that_never_answers_makes_nobody_doubt_the_others(
    path: Path, phone: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as mute:  # takes connections, and never says a word
        hangs = route(f"json://127.0.0.1:{mute.getsockname()[1]}/?rto=300", "hangs", "emergency")
        with carrying(path, hangs, route(phone.address)) as courier:
            courier.post(notice("first"))
            until(lambda: phone.taken)
            phone.delay = 0.3  # so that something is always on its way when the other's sender is ended
            monkeypatch.setattr(messenger, "LONGEST", 3.0)
            courier.post(notice("hot", Priority.EMERGENCY))
            for number in range(12):
                courier.post(notice(f"news {number}"))
            until(lambda: "within a minute" in courier.trouble)
            until(lambda: len(phone.taken) == 14)
    assert sorted(phone.titles) == sorted(["first", "hot", *(f"news {number}" for number in range(12))])
    assert {one["message"] for one in phone.taken} == {"At 16:40 it was."}


def test_posting_never_waits_for_a_slow_receiver(path: Path, phone: Receiver) -> None:
    phone.delay = 1.0
    with carrying(path, route(phone.address)) as courier:
        before = time.perf_counter()
        for number in range(100):
            courier.post(notice(f"notice {number}"))
        assert time.perf_counter() - before < 0.1


def test_what_a_killed_watcher_did_not_send_is_sent_by_the_next(path: Path, phone: Receiver) -> None:
    outbox = Outbox(path)
    outbox.add(notice(age=60), ["phone"], once(60))
    outbox.close()
    with carrying(path, route(phone.address)):
        until(lambda: phone.titles == ["heron: the fuel is dry"])
    assert waiting(path) == []


def test_trouble_that_passes_keeps_back_nothing_of_what_an_earlier_watcher_left(
    path: Path, phone: Receiver
) -> None:
    with closing(Outbox(path)) as outbox:
        outbox.add(notice(), ["phone"], once())
    with closing(sqlite3.connect(path, isolation_level=None)) as thief:
        thief.execute("BEGIN IMMEDIATE")
        with carrying(path, route(phone.address)) as courier:
            until(lambda: "the outbox can't be used" in courier.trouble)
            thief.execute("ROLLBACK")
            until(lambda: phone.taken)
            assert courier.trouble == ""


def test_old_news_is_not_sent_as_new(path: Path, phone: Receiver) -> None:
    outbox = Outbox(path)
    for title, age in (("forgotten", EXPIRES + 60), ("old", 2 * FRESH), ("fresh", 0.0)):
        outbox.add(notice(title, age=age), ["phone"], once(age))
    outbox.close()
    with carrying(path, route(phone.address)):
        until(lambda: len(phone.titles) == 2)
        until(lambda: waiting(path) == [])
    assert phone.titles == ["fresh", "Missed: old"]
    assert phone.taken[1]["message"].startswith("This is no news")


@pytest.mark.parametrize("behind", [0.0, 40 * 86_400.0])
def test_what_a_power_cut_held_back_is_not_told_as_new_by_a_clock_that_is_behind(
    path: Path, phone: Receiver, behind: float
) -> None:
    outbox = Outbox(path)
    before = Moment("the start before", 3600.0, time.time(), True)
    outbox.add(notice("dry", age=-behind), ["phone"], before)
    hot = notice("hot", Priority.EMERGENCY)
    outbox.add(replace(hot, about="heron/fuel-hot", repeats=True), ["phone"], before)
    outbox.close()
    courier = Courier(path, (route(phone.address),), lambda: Moment("this", 40.0, time.time(), False))
    courier.start()
    try:
        until(lambda: len(phone.taken) == 2)
    finally:
        courier.close()
    assert phone.titles == ["hot", "Missed: dry"]  # what stands is told in any case, and that it comes late
    assert phone.taken[0]["message"].startswith("This comes late")


def test_an_outbox_of_an_older_shape_keeps_what_it_held(path: Path) -> None:
    for version, more in ((1, ""), (2, OF_2)):
        path.unlink(missing_ok=True)
        with closing(sqlite3.connect(path)) as older:
            older.executescript(
                "CREATE TABLE notice (key TEXT PRIMARY KEY, time REAL NOT NULL, priority TEXT NOT NULL,"
                f" title TEXT NOT NULL, body TEXT NOT NULL{more}) WITHOUT ROWID;"
                "CREATE TABLE delivery (key TEXT NOT NULL REFERENCES notice (key), route TEXT NOT NULL,"
                f" state TEXT NOT NULL{', times INTEGER NOT NULL' if more else ''},"
                " PRIMARY KEY (key, route)) WITHOUT ROWID;"
                "INSERT INTO notice VALUES ('heron/dry/1', 1e9, 'low', 'dry', 'It is.'"
                f"{', ' + repr('') + ', 0, 0' if more else ''});"
                f"INSERT INTO delivery VALUES ('heron/dry/1', 'phone', 'waiting'{', 0' if more else ''});"
                f"PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {version};"
            )
        outbox = Outbox(path)
        (kept,) = outbox.open()
        outbox.close()
        assert (kept.notice, kept.times) == (Notice("heron/dry/1", 1e9, Priority.LOW, "dry", "It is."), 0)
        assert age_of(kept.happened, Moment("this", 40.0, 1e9 + 60, True)) > FRESH, "nobody knows its start"


def test_a_route_takes_only_what_is_urgent_enough(path: Path, phone: Receiver) -> None:
    with carrying(path, route(phone.address, least="high")) as courier:
        courier.post(notice("low", Priority.LOW))
        courier.post(notice("high", Priority.HIGH))
        courier.post(notice("emergency", Priority.EMERGENCY))
        until(lambda: len(phone.taken) == 2)
    assert sorted(phone.titles) == ["emergency", "high"]


def test_notices_go_out_even_where_the_outbox_can_t_be_kept(tmp_path: Path, phone: Receiver) -> None:
    broken = tmp_path / "outbox.sqlite3"
    broken.mkdir()
    with carrying(broken, route(phone.address)) as courier:
        courier.post(notice())
        until(lambda: phone.taken)
        assert "the outbox can't be used" in courier.trouble


def test_an_address_in_a_file_is_read_when_it_is_needed(path: Path, tmp_path: Path, phone: Receiver) -> None:
    secret = tmp_path / "address"
    way = Route.model_validate({"name": "phone", "address_file": secret})
    with carrying(path, way) as courier:
        courier.post(notice())
        until(lambda: "can't be read" in courier.trouble)
        secret.write_text(phone.address + "\n")
        until(lambda: phone.taken)


def test_no_secret_of_an_address_is_logged(
    path: Path, phone: Receiver, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    phone.refuse = 1
    secret = phone.address.replace("//", "//tern:s3cret-word@")
    with carrying(path, route(secret)) as courier:
        courier.post(notice())
        until(lambda: phone.taken)
    assert "was not taken" in caplog.text
    assert "s3cret-word" not in caplog.text


def test_an_address_that_is_none_is_told_of_by_the_name_of_its_route() -> None:
    with pytest.raises(routes.RouteError, match="route phone: its address is none"):
        routes.check(Messenger(), route("nonsense"))


def test_an_outbox_that_is_not_ours_is_left_alone(path: Path) -> None:
    with sqlite3.connect(path) as theirs:
        theirs.execute("CREATE TABLE precious (thing)")
    theirs.close()
    before = path.read_bytes()
    with pytest.raises(OutboxError, match="not an outbox"):
        Outbox(path)
    assert path.read_bytes() == before


def test_finished_notices_are_forgotten_and_waiting_ones_kept(path: Path) -> None:
    outbox = Outbox(path)
    outbox.add(notice("done", age=100), ["phone"], once(100))
    outbox.add(notice("waits", age=100), ["phone"], once(100))
    outbox.sent(["heron/done"], "phone")
    outbox.forget_before(time.time() - 50)
    assert [found.notice.title for found in outbox.open()] == ["waits"]
    assert outbox.add(notice("done"), ["phone"], once())
    assert not outbox.add(notice("waits"), ["phone"], once())
    outbox.close()
