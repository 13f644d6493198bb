"""`drydown check` as a person would use it: what works, what to mend, and the exit code."""

import json
import os
import socket
import subprocess
import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import numpy as np
import pytest

from drydown.check.broker import BrokerLine
from drydown.check.finding import Finding
from drydown.check.learned import learned_findings
from drydown.check.parts import (
    folder_finding,
    heartbeat_findings,
    output_findings,
    pages_finding,
    route_findings,
    store_finding,
)
from drydown.config.model import Site
from drydown.config.services import Broker, Notices, Route
from drydown.effects import Taught
from drydown.estimate.learned import learned_of
from drydown.estimate.lesson import Lesson, owner_of
from drydown.estimate.lesson_use import UNKNOWNS
from drydown.estimate.unknowns import COUNT
from drydown.store.write import StoreWriter
from drydown.texts.learned import NOTHING
from support.boathouse import heron
from support.broker import Mosquitto, free_port, mosquitto, until
from support.listening import listening
from support.mail import mailbox
from support.processes import DRYDOWN
from support.receiver import receiver
from support.watched_place import Place, place
from support.written import record, record_event


@pytest.fixture
def boathouse(tmp_path: Path, broker: Mosquitto) -> Iterator[Place]:
    with place(tmp_path, broker.port) as made:
        yield made


def check(made: Place, *options: str) -> tuple[int, dict[str, tuple[bool, str]]]:
    ran = subprocess.run(
        [DRYDOWN, "check", "--config", made.config, "--json", *options],
        capture_output=True,
        text=True,
        timeout=60,
        env=os.environ | {"DRYDOWN_SYSFS": str(made.folder / "sys")},
    )
    assert "Traceback" not in ran.stderr
    lines = [json.loads(line) for line in ran.stdout.splitlines()]
    return ran.returncode, {line["part"]: (line["works"], line["message"]) for line in lines}


@pytest.mark.broker
def test_where_all_works_it_says_so_and_exits_0(boathouse: Place) -> None:
    speaking = threading.Event()

    def speak() -> None:
        while not speaking.wait(0.3):
            boathouse.switch(True)

    speaker = threading.Thread(target=speak)
    speaker.start()
    code, found = check(boathouse)
    speaking.set()
    speaker.join()
    assert [part for part, (works, _) in found.items() if not works] == []
    assert code == 0
    assert found["heron fuel/temperature"][1] == "It reads 30 °C."
    assert found["heron fuel/level"][1] == "It reads 0.6 m: 170 L, bubbles included."
    assert found["heron"][1] == "It holds 254 L when full, 43 L of it below the standpipe."  # π/4 · d² · h
    assert found["heron blower/running"][1] == "It says yes."
    assert set(found) >= {"configuration", "folder", "broker", "store", "pages", "notices", "clock"}


@pytest.mark.broker
def test_what_does_not_work_is_named_with_what_to_mend(boathouse: Place, broker: Mosquitto) -> None:
    boathouse.thermometer.unplug()
    broker.stop()
    code, found = check(boathouse)
    wrong = {part: message for part, (works, message) in found.items() if not works}
    assert code == 2
    assert set(wrong) == {"broker", "heron fuel/temperature", "heron blower/running"}
    assert "can't be reached: check that it runs" in wrong["broker"]
    assert "28-0000071c2a3b" in wrong["heron fuel/temperature"]
    assert wrong["heron blower/running"] == "not tried: the broker is away."


def test_rows_come_as_they_are_known_and_nothing_else_is_said(tmp_path: Path) -> None:
    with place(tmp_path, free_port()) as made:
        made.level(0.0)
        made.thermometer.unplug()
        began = time.monotonic()
        process = subprocess.Popen(
            [DRYDOWN, "check", "--config", made.config],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=os.environ | {"DRYDOWN_SYSFS": str(made.folder / "sys")},
        )
        assert process.stdout and process.stderr
        came = [(time.monotonic() - began, line.split(maxsplit=1)[1]) for line in process.stdout]
        assert process.wait() == 2
        assert process.stderr.read() == ""
    level, lost = (
        next((at, line) for at, line in came if line.startswith(f"heron fuel/{name}"))
        for name in ("level", "temperature")
    )
    assert "It reads 0 m: the tank is empty. If there is fuel in it, the probe is wrong." in level[1]
    assert "28-0000071c2a3b" in lost[1]
    assert level[0] < lost[0] - 1.5, "one that is known does not wait for one that is not"
    assert came[-1][0] < 20, "nothing that hangs holds up the end"


@pytest.mark.broker
def test_while_the_watcher_runs_its_readings_are_told(boathouse: Place) -> None:
    with boathouse.command("watch"):
        boathouse.wait_for_readings()
        boathouse.thermometer.show(22.0)
        boathouse.switch(False)
        _, found = check(boathouse)
    assert found["heron fuel/level"] == (True, "It reads 0.6 m: 170 L, bubbles included.")


def test_a_wrong_configuration_is_told_key_by_key(tmp_path: Path) -> None:
    config = tmp_path / "site.toml"
    config.write_text('site = "boathouse"\nsitee = 1\n')
    ran = subprocess.run([DRYDOWN, "check", "--config", config], capture_output=True, text=True, timeout=60)
    assert ran.returncode == 2
    assert ran.stdout.startswith("MEND   configuration")
    assert "sitee" in ran.stdout


@pytest.mark.broker
def test_a_broker_that_wants_a_password_gets_it_or_says_so(tmp_path: Path) -> None:
    passwords, secret = tmp_path / "passwords", tmp_path / "secret"
    secret.write_text("harbour-light\n")
    subprocess.run(["mosquitto_passwd", "-b", "-c", passwords, "watch", "harbour-light"], check=True)
    lines = ("user root", "allow_anonymous false", f"password_file {passwords}")
    with mosquitto(tmp_path, *lines) as broker:
        assert "refuses the connection (not authorized)" in broker_finding(broker.config).message
        known = broker.config.model_copy(update={"username": "watch", "password_file": secret})
        assert broker_finding(known).works
        secret.unlink()
        assert f"password_file {secret} can't be read" in broker_finding(known).message


def broker_finding(broker: Broker) -> Finding:
    site = Site(site="boathouse", tank=(heron(),))
    with BrokerLine(site.model_copy(update={"broker": broker})) as line:
        return line.finding()


def test_the_pages_port_is_free_ours_or_somebody_elses() -> None:
    port = free_port()
    assert pages_finding("127.0.0.1", port).works
    with socket.create_server(("127.0.0.1", port)):
        taken = pages_finding("127.0.0.1", port)
    assert not taken.works
    assert "choose another [serve] host or port" in taken.message

    class Health(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.end_headers()
            self.wfile.write(b'{"well": true, "watcher": "", "store": ""}')

        def log_message(self, *_: object) -> None:
            pass

    server = HTTPServer(("127.0.0.1", free_port()), Health)
    threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True).start()
    assert "They are at" in pages_finding("127.0.0.1", server.server_port).message
    server.shutdown()
    server.server_close()


def test_a_store_is_looked_at_and_none_is_made(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    assert store_finding(path).works
    assert not path.exists()
    StoreWriter(path).close()
    assert "holds readings of no tank yet" in store_finding(path).message
    path.write_text("no database " * 100)
    assert not store_finding(path).works


def test_a_file_in_the_place_of_the_folder_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "site").write_text("")
    assert not folder_finding(tmp_path / "site").works
    assert folder_finding(tmp_path / "other" / "deep").message.endswith("can be made.")


def test_routes_are_tried_only_when_asked() -> None:
    with receiver() as phone:
        route = Route.model_validate({"name": "phone", "address": phone.address})
        (found,) = route_findings((route,), notify=False)
        assert (found.works, phone.titles) == (True, [])
        (found,) = route_findings((route,), notify=True)
        assert (found.works, phone.titles) == (True, ["TEST: drydown"])
        phone.refuse = 1
        (found,) = route_findings((route,), notify=True)
        assert not found.works
    wrong = Route.model_validate({"name": "phone", "address": "nonsense"})
    (found,) = route_findings((wrong,), notify=False)
    assert (found.works, "none that apprise understands" in found.message) == (False, True)


def test_what_runs_taught_is_told_with_whether_it_will_be_used(tmp_path: Path) -> None:
    path = tmp_path / "drydown.sqlite3"
    site = Site(site="boathouse", tank=(heron(),), folder=tmp_path)
    assert list(learned_findings(site)) == []
    store = StoreWriter(path)
    store.commit({})
    assert [found.message for found in learned_findings(site)] == [NOTHING]
    learned = learned_of(np.zeros(COUNT), 0.5 * np.eye(COUNT))
    lesson = Lesson(learned, owner_of(heron()), UNKNOWNS, 2, 1_789_200_000.0)
    record(store, [Taught(1_789_200_000.0, lesson)], float)
    store.commit({})
    (found,) = learned_findings(site)
    assert found.works
    assert (found.part, found.message[:32]) == ("heron learned", "Learned from 2 runs since 12 Sep")
    other = site.model_copy(update={"tank": (heron(diameter=0.7),)})
    (found,) = learned_findings(other)
    assert "no longer used" in found.message
    assert "the tank's diameter was 0.6, is 0.7" in found.message
    record_event(store, {"kind": "command", "time": 1_789_200_100.0, "command": "forget", "who": "Wren"})
    store.commit({})
    assert [found.message for found in learned_findings(site)] == [
        "What 2 runs taught was forgotten on 12 September 2026 by Wren: the next run begins anew."
    ]


def test_each_route_says_what_it_answered_web_and_mail() -> None:
    with receiver() as phone, mailbox() as mail:
        ways = {"phone": phone.address, "mail": mail.address, "dead": f"json://127.0.0.1:{free_port()}/"}
        routes = tuple(
            Route.model_validate(
                {"name": name, "address": address, "quiet": "00:00-23:59", "least": "emergency"}
            )
            for name, address in ways.items()
        )
        found = {one.part: one for one in route_findings(routes, notify=True)}
        assert found["notices phone"].works
        assert found["notices mail"].works
        assert phone.titles == mail.titles == ["TEST: drydown"]
        assert "Nothing has happened" in mail.bodies[0]
        assert "was not taken" in found["notices dead"].message
        phone.lose_answers = 1
        (unanswered,) = route_findings(routes[:1], notify=True)
        assert "it was sent, and no answer came" in unanswered.message


def test_a_route_that_hangs_keeps_no_other_waiting() -> None:
    with socket.create_server(("127.0.0.1", 0)) as slow, receiver() as phone:

        def hang_until_the_phone_has_it() -> None:
            with slow.accept()[0]:
                until(lambda: phone.taken, 50)

        ways = {"slow": f"json://127.0.0.1:{slow.getsockname()[1]}/?rto=300", "phone": phone.address}
        routes = tuple(Route.model_validate({"name": name, "address": to}) for name, to in ways.items())
        threading.Thread(target=hang_until_the_phone_has_it, daemon=True).start()
        found = list(route_findings(routes, notify=True))
    assert [(one.part, one.works) for one in found] == [("notices slow", False), ("notices phone", True)]
    assert "it was sent, and no answer came" in found[0].message


def test_the_heartbeat_is_looked_at_and_not_called_and_outputs_are_not_switched(tmp_path: Path) -> None:
    with listening() as address:
        (found,) = heartbeat_findings(Notices(heartbeat=address.address))
        assert found.works
        assert address.calls == []
    (found,) = heartbeat_findings(Notices.model_validate({"heartbeat_file": tmp_path / "none"}))
    assert (found.works, "can't be read" in found.message) == (False, True)
    assert list(heartbeat_findings(Notices())) == []
    tank = heron(relay={"gpio": 24, "cuts_on": ["vent-closed", "fuel-hot"]})
    site = Site.model_validate({"site": "boathouse", "tank": (tank,), "buzzer": {"gpio": 22}})
    outputs = list(output_findings(site))
    assert [(one.part, one.works) for one in outputs] == [("buzzer", True), ("heron relay", True)]
    assert all(one.message.startswith("Not tried.") for one in outputs)
