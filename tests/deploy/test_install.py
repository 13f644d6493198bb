"""The staged installation: run twice, upgraded, taken back, taken away; and the rights at its broker."""

import hashlib
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from drydown.bus.broker import make_client
from drydown.check.broker import with_own_account
from drydown.config.load import load
from drydown.config.services import Broker
from support.broker import mosquitto

HERE = Path(__file__).parents[2]
needs_mosquitto = pytest.mark.skipif(
    shutil.which("mosquitto_passwd") is None, reason="mosquitto_passwd (Debian: mosquitto) is not here"
)
pytestmark = needs_mosquitto
PATIENCE = 30.0  # s, for what takes moments where nothing else runs


def install(root: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [str(HERE / "deploy" / "install"), "--root", str(root), *words]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)


def installed(root: Path, environment: str = sys.prefix) -> Path:
    install(root, "--environment", environment)
    return root


def sums(root: Path) -> dict[str, str]:
    files = (path for path in root.rglob("*") if path.is_file() and "versions" not in path.parts)
    return {
        str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files if "opt" not in path.parts
    }


def other_environment(folder: Path) -> str:
    (folder / "bin").mkdir(parents=True)
    (folder / "bin" / "drydown").symlink_to(Path(sys.prefix) / "bin" / "drydown")
    return str(folder)


def test_a_second_run_changes_nothing(tmp_path: Path) -> None:
    before = sums(installed(tmp_path))
    assert len(before) >= 13
    current = (tmp_path / "opt/drydown/current").readlink()
    assert sums(installed(tmp_path)) == before
    assert (tmp_path / "opt/drydown/current").readlink() == current
    assert not (tmp_path / "opt/drydown/previous").exists()


def test_the_upgrade_keeps_data_and_goes_back_and_uninstalling_keeps_data(tmp_path: Path) -> None:
    root = installed(tmp_path / "board")
    kept = root / "var/lib/drydown/drydown.sqlite3"
    kept.write_text("kept")
    site = root / "etc/drydown/site.toml"
    site.write_text("# mine\n")
    current = root / "opt/drydown/current"
    first = current.readlink()
    installed(root, other_environment(tmp_path / "newer"))
    assert current.readlink() != first
    install(root, "--rollback")
    assert current.readlink() == first
    install(root, "--uninstall")
    assert not current.exists()
    assert not list((root / "etc/systemd/system").iterdir())
    assert (kept.read_text(), site.read_text()) == ("kept", "# mine\n")


def add_board(root: Path, name: str) -> str:
    """Another board's account at the installed broker; its line there."""
    file = root.parent / name
    file.write_text(f"{name}:word\n")
    subprocess.run(["mosquitto_passwd", "-U", str(file)], check=True)
    line = file.read_text()
    with (root / "etc/mosquitto/drydown.passwords").open("a") as passwords:
        passwords.write(line)
    return line


def test_other_boards_keep_their_accounts_and_rights_when_it_is_upgraded_or_taken_away(
    tmp_path: Path,
) -> None:
    root = installed(tmp_path / "board")
    passwords, acl = root / "etc/mosquitto/drydown.passwords", root / "etc/mosquitto/drydown.acl"
    line = add_board(root, "annexe") + add_board(root, "drydown-watch-of-mine")
    acl.write_text(acl.read_text() + "user annexe\ntopic read drydown/#\n")
    before = sums(root)
    assert sums(installed(root)) == before
    told = install(root, "--uninstall").stderr
    assert "annexe drydown-watch-of-mine" in told and "drydown's accounts are gone" in told
    assert passwords.read_text() == line
    assert passwords.stat().st_mode & 0o077 == 0
    assert acl.read_text().endswith("user annexe\ntopic read drydown/#\n")
    assert (root / "etc/mosquitto/conf.d/drydown.conf").exists()
    installed(root)  # and once more: the accounts are made anew, each once, with the passwords that were kept
    names = [row.partition(":")[0] for row in passwords.read_text().splitlines()]
    assert sorted(names) == [
        "annexe",
        "drydown-check",
        "drydown-record",
        "drydown-watch",
        "drydown-watch-of-mine",
    ]


def test_nothing_stays_at_the_broker_where_there_is_no_other_board(tmp_path: Path) -> None:
    root = installed(tmp_path / "board")
    assert "Left at the broker" not in install(root, "--uninstall").stderr
    assert [path for path in (root / "etc/mosquitto").rglob("*") if path.is_file()] == []


def test_a_password_that_was_lost_is_made_anew_at_the_broker_too(tmp_path: Path) -> None:
    root = installed(tmp_path / "board")
    passwords, secret = root / "etc/mosquitto/drydown.passwords", root / "etc/drydown/broker/watch.password"
    before, word = passwords.read_text().splitlines(), secret.read_text()
    secret.unlink()
    installed(root)
    after = passwords.read_text().splitlines()
    assert secret.read_text() != word
    assert len(after) == len(before) == 3
    assert {row.partition(":")[0] for row in set(before) - set(after)} == {"drydown-watch"}


def test_the_first_phones_token_is_told_once_and_what_to_wire(tmp_path: Path) -> None:
    root = tmp_path / "board"
    first = install(root, "--environment", sys.prefix)
    assert re.search(r"^    \S{32}$", first.stdout, re.MULTILINE)
    assert "Wire first:" in first.stderr and "drydown check" in first.stderr
    again = install(root, "--environment", sys.prefix)
    assert "first phone" not in again.stdout + again.stderr and "Wire first:" not in again.stderr


def test_the_record_is_sent_on_where_the_configuration_says_so(tmp_path: Path) -> None:
    def units() -> str:
        told = install(tmp_path, "--environment", sys.prefix).stderr
        return told.partition("systemctl restart ")[2].partition(";")[0]

    always = "drydown-watch drydown-record drydown-serve"
    assert units() == always
    site = tmp_path / "etc/drydown/site.toml"
    site.write_text(site.read_text() + '\n[ forward ] # yes\nurl = "https://harbour.local:8086"\n')
    assert units() == f"{always} drydown-forward"
    site.write_text("[forward\n")
    assert units() == always


def test_passwords_differ_and_are_for_few(tmp_path: Path) -> None:
    files = sorted((installed(tmp_path) / "etc/drydown/broker").iterdir())
    assert len({file.read_text() for file in files}) == 3
    assert all(file.stat().st_mode & 0o037 == 0 for file in files)
    assert (tmp_path / "etc/mosquitto/drydown.passwords").stat().st_mode & 0o077 == 0


class Client:
    """A real client that remembers what came. In MQTT 3.1.1 a refused message is dropped in silence."""

    def __init__(self, port: int, name: str | None, password: str | None) -> None:
        self.heard: set[str] = set()
        self.answer: str | None = None
        self.ready = False
        self.client = mqtt.Client(CallbackAPIVersion.VERSION2)
        self.client.username_pw_set(name, password)
        self.client.on_connect = lambda *words: setattr(self, "answer", str(words[3]))
        self.client.on_subscribe = lambda *_: setattr(self, "ready", True)
        self.client.on_message = lambda _c, _u, message: self.heard.add(message.topic)
        self.client.connect("127.0.0.1", port)
        self.client.loop_start()
        wait(lambda: self.answer is not None)

    def listen(self) -> None:
        self.client.subscribe("#", 1)
        wait(lambda: self.ready)

    def close(self) -> None:
        self.client.disconnect()
        self.client.loop_stop()


def wait(until: object) -> None:
    end = time.monotonic() + PATIENCE
    while not until():  # type: ignore[operator]
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.01)


BASE = "drydown/boathouse/heron/"
TOPICS = [
    BASE + rest
    for rest in (
        "readings",
        "estimates",
        "run",
        "online",
        "alarms/fuel-hot",
        "recorded/store",
        "recorder-trouble/store",
        "check",
        "probe/annexe",
        "probe/other",
    )
]
WRITES = {
    "drydown-watch": set(TOPICS[:5]),
    "drydown-record": set(TOPICS[5:7]),
    "drydown-check": {BASE + "check"},
    "annexe": {BASE + "probe/annexe"},
}
READS = {
    "drydown-watch": {*TOPICS[5:7], *TOPICS[8:]},
    "drydown-record": {*TOPICS[:3], *TOPICS[4:7]},
    "drydown-check": set(TOPICS[7:]),
    "annexe": set(),
}


def test_each_client_may_do_what_its_rights_say_and_no_more(tmp_path: Path) -> None:
    root = installed(tmp_path / "board")
    etc = root / "etc/mosquitto"
    names = tmp_path / "names"  # two more: the other board, and one that may do all
    names.write_text("annexe:a\nall:a\n")
    subprocess.run(["mosquitto_passwd", "-U", str(names)], check=True)
    (etc / "drydown.passwords").open("a").write(names.read_text())
    acl = etc / "drydown.acl"
    acl.write_text(acl.read_text() + "\nuser all\ntopic readwrite #\n")
    for file in (etc / "drydown.passwords", acl):  # a broker started by root drops to its own user
        file.chmod(0o644)
    rules = [
        line
        for line in (etc / "conf.d/drydown.conf").read_text().splitlines()
        if line and not line.startswith(("#", "listener", "allow_anonymous", "per_listener"))
    ]
    secrets = {
        name: (root / f"etc/drydown/broker/{name[8:]}.password") for name in WRITES if name != "annexe"
    }
    words = {name: file.read_text().strip() for name, file in secrets.items()} | {"annexe": "a"}
    with mosquitto(tmp_path, "user root", *rules, "allow_anonymous false") as broker:
        for name, word in ((None, None), ("drydown-watch", "wrong")):
            stranger = Client(broker.port, name, word)
            assert stranger.answer == "Not authorized"
            stranger.close()
        everything = Client(broker.port, "all", "a")
        everything.listen()
        clients = {name: Client(broker.port, name, words[name]) for name in WRITES}
        for name, client in clients.items():
            assert client.answer == "Success"
            everything.heard.clear()
            for topic in TOPICS:
                client.client.publish(topic, b"x", qos=1)
            client.client.publish("elsewhere/" + name, b"x", qos=1).wait_for_publish(PATIENCE)
            everything.client.publish("end/" + name, b"x", qos=1)
            wait(lambda name=name: "end/" + name in everything.heard)
            assert everything.heard - {"end/" + name} == WRITES[name], name
        for client in clients.values():
            client.listen()
        for topic in TOPICS:
            everything.client.publish(topic, b"x", qos=1)
        for name, client in clients.items():
            wait(lambda name=name, client=client: client.heard >= READS[name])
        time.sleep(0.2)  # what was let through by mistake would have come by now
        for name, client in clients.items():
            assert client.heard == READS[name], name
            client.close()
        everything.close()


def test_the_check_takes_its_own_account_where_one_is_beside_the_configuration(tmp_path: Path) -> None:
    file = tmp_path / "site.toml"
    shutil.copy(HERE / "deploy/boathouse.toml", file)
    site = load(file)
    assert with_own_account(site, file).broker.username is None
    secret = tmp_path / "broker/check.password"
    secret.parent.mkdir()
    secret.write_text("sea\n")
    taken = with_own_account(site, file).broker
    assert (taken.username, taken.password_file) == ("drydown-check", secret)
    mine = site.model_copy(update={"broker": Broker(username="mine", password_file=secret)})
    assert with_own_account(mine, file).broker.username == "mine"


def test_a_service_takes_the_account_of_its_unit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    secret = tmp_path / "watch.password"
    secret.write_text("sea\n")
    monkeypatch.setenv("DRYDOWN_BROKER_USER", "drydown-watch")
    monkeypatch.setenv("DRYDOWN_BROKER_PASSWORD_FILE", str(secret))
    assert make_client(Broker(), "any").username == "drydown-watch"
    assert make_client(Broker(username="mine", password_file=secret), "any").username == "mine"
