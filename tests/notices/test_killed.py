"""A watcher is killed at every step of sending: its notice arrives once, or twice and then says so."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from drydown.notices.messenger import Answer
from drydown.notices.sender import UNANSWERED, answer
from drydown.texts.messages import UNSURE
from support import dying_courier
from support.broker import until
from support.dying_courier import TITLE
from support.mail import Mailbox, mailbox
from support.receiver import Receiver, receiver

TESTS = Path(__file__).parents[1]
STEPS = [f"{when} {name}" for name in ("add", "begin", "sent") for when in ("before", "after")]
MAY_COME_TWICE = ("after begin", "before sent")  # of which the next watcher can't know whether it arrived

Service = Receiver | Mailbox


@contextmanager
def service(kind: str) -> Iterator[Service]:
    if kind == "web":
        with receiver() as phone:
            yield phone
    else:
        with mailbox() as mail:
            yield mail


def bodies(of: Service) -> list[str]:
    return of.bodies if isinstance(of, Mailbox) else [one["message"] for one in of.taken]


def start(outbox: Path, to: Service, step: str) -> "subprocess.Popen[bytes]":
    command = [sys.executable, dying_courier.__file__, str(outbox), to.address, step]
    return subprocess.Popen(command, env=os.environ | {"PYTHONPATH": str(TESTS)})


@pytest.mark.parametrize(
    ("step", "kind"), [*((step, "web") for step in STEPS), *((step, "mail") for step in MAY_COME_TWICE)]
)
def test_killed_at_a_step_of_sending(tmp_path: Path, kind: str, step: str) -> None:
    with service(kind) as phone:
        assert start(tmp_path / "outbox", phone, step).wait(40) == -signal.SIGKILL
        assert start(tmp_path / "outbox", phone, "").wait(40) == 0
        told = [body for title, body in zip(phone.titles, bodies(phone), strict=True) if title == TITLE]
        assert 1 <= len(told) <= (2 if step in MAY_COME_TWICE else 1)
        unsure = [body for body in told if UNSURE in body]
        assert len(unsure) == (1 if step in MAY_COME_TWICE else 0)
        assert told[-1:] == (unsure or told)[-1:]  # whatever comes again says so
        assert phone.titles.count("heron: dry") == 1


@pytest.mark.parametrize("taken_at_last", [True, False])
def test_killed_while_the_service_takes_its_time(tmp_path: Path, taken_at_last: bool) -> None:
    with receiver() as phone:
        phone.delay, phone.refuse = 0.5, 0 if taken_at_last else 1
        dying = start(tmp_path / "outbox", phone, "")
        until(lambda: phone.attempts, 20)
        dying.kill()
        dying.wait(10)
        until(lambda: phone.taken if taken_at_last else not phone.refuse, 20)
        phone.delay = 0.0
        assert start(tmp_path / "outbox", phone, "").wait(40) == 0
        told = [one["message"] for one in phone.taken if one["title"] == TITLE]
        assert len(told) == (2 if taken_at_last else 1)
        assert UNSURE in told[-1]
        assert not any(UNSURE in body for body in told[:-1])


@pytest.mark.parametrize("kind", ["web", "mail"])
def test_a_service_that_took_it_and_whose_answer_was_lost_gets_it_again_marked(
    tmp_path: Path, kind: str
) -> None:
    with service(kind) as phone:
        phone.lose_answers = 1
        assert start(tmp_path / "outbox", phone, "").wait(40) == 0
        told = [body for title, body in zip(phone.titles, bodies(phone), strict=True) if title == TITLE]
        assert len(told) == 2
        assert [UNSURE in body for body in told] == [False, True]
        assert phone.titles.count("heron: dry") == 1


@pytest.mark.parametrize("kind", ["web", "mail"])
def test_what_was_surely_refused_comes_without_a_doubt(tmp_path: Path, kind: str) -> None:
    with service(kind) as phone:
        phone.refuse = 2
        assert start(tmp_path / "outbox", phone, "").wait(40) == 0
        assert sorted(phone.titles) == ["heron: dry", TITLE]
        assert not any(UNSURE in body for body in bodies(phone))


def test_a_service_that_cannot_be_reached_surely_has_nothing() -> None:
    with receiver() as phone:
        address = phone.address
    with mailbox() as mail:
        mail_address = mail.address
    for gone in (address, mail_address):
        trouble, unsure = answer({"address": gone, "title": "a", "body": "b", "kind": "info"})
        assert trouble
        assert not unsure


def test_the_answer_of_the_process_says_whether_it_is_unsure() -> None:
    with receiver() as phone:
        phone.lose_answers = 1
        found = answer({"address": phone.address, "title": "a", "body": "b", "kind": "info"})
        assert Answer(*found) == Answer(UNANSWERED, unsure=True)
