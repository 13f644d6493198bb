"""The process that sends: started when needed, alone with its faults, gone with the watcher."""

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from drydown.notices import messenger as module
from drydown.notices.messenger import GONE, SLOW, Answer, Messenger
from support.broker import until
from support.receiver import Receiver, receiver


@pytest.fixture
def phone() -> Iterator[Receiver]:
    with receiver() as made:
        yield made


@pytest.fixture
def messenger() -> Iterator[Messenger]:
    made = Messenger()
    yield made
    made.close()


def request(phone: Receiver, title: str = "a title") -> dict[str, str]:
    return {"address": phone.address, "title": title, "body": "a body", "kind": "info"}


def test_a_slow_service_holds_up_no_other(messenger: Messenger, phone: Receiver) -> None:
    assert messenger.send(request(phone, "first")) == Answer("")
    with receiver() as slow:
        slow.delay = 2.0
        waiting = threading.Thread(target=messenger.send, args=(request(slow),))
        waiting.start()
        before = time.monotonic()
        assert messenger.send(request(phone, "second")) == Answer("")
        assert time.monotonic() - before < 1.5
        waiting.join()
    assert phone.titles == ["first", "second"]


def test_a_process_that_dies_is_told_and_started_again(messenger: Messenger, phone: Receiver) -> None:
    phone.delay = 5.0
    troubles: list[Answer] = []
    waiting = threading.Thread(target=lambda: troubles.append(messenger.send(request(phone))))
    waiting.start()
    until(lambda: phone.attempts)
    assert messenger._process
    messenger._process.kill()
    waiting.join(3)
    assert troubles == [GONE]
    phone.delay = 0.0
    assert messenger.send(request(phone)) == Answer("")


def test_a_service_that_never_answers_is_given_up(
    messenger: Messenger, phone: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "LONGEST", 1.5)
    phone.delay = 3.0
    assert messenger.send(request(phone)) == SLOW


def test_the_process_ends_after_a_rest_and_comes_back(
    messenger: Messenger, phone: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "IDLE", 3.0)  # more than a start takes on a busy machine
    assert messenger.send(request(phone)) == Answer("")
    until(lambda: messenger._process is None)
    assert messenger.send(request(phone)) == Answer("")


def test_it_ends_with_a_watcher_that_was_killed(phone: Receiver) -> None:
    watcher = (
        "import json, sys, time; from drydown.notices.messenger import Messenger; made = Messenger();"
        "made.send(json.loads(sys.argv[1])); print(made._process.pid, flush=True); time.sleep(60)"
    )
    command = [sys.executable, "-c", watcher, json.dumps(request(phone))]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout
    sender = int(process.stdout.readline())
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()
    until(lambda: not _lives(sender))


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
        stat = Path(f"/proc/{pid}/stat").read_text()
        return stat.rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False
