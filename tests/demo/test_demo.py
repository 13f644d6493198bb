"""`drydown demo` as a real process: to its end, and however else it ends. Nothing may be left behind."""

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

import httpx
import pytest

from drydown.demo.broker import broker_command
from drydown.errors import UserError
from support.broker import free_port, until
from support.processes import DRYDOWN

pytestmark = pytest.mark.broker

WITHOUT_MOSQUITTO = """
import sys
from dataclasses import replace
from drydown import cli
from drydown.demo import broker, watcher

broker.MOSQUITTO_PATH = ""
whole = watcher.story_of
watcher.story_of = lambda tank: replace(whole(tank), duration=6600.0)  # until it bubbles again
sys.exit(cli.main())
"""


class Demo:
    """The demo with a folder of its own for what it puts down, so that what it leaves can be seen."""

    def __init__(self, place: Path, log: Path) -> None:
        self._place, self._log = place, log
        self.process: subprocess.Popen[bytes] | None = None

    def start(self, *command: str | Path, **environment: str) -> None:
        with self._log.open("wb") as log:
            self.process = subprocess.Popen(
                [*command],
                stdout=log,
                stderr=log,
                stdin=subprocess.DEVNULL,
                env=os.environ | {"TMPDIR": str(self._place), "COLUMNS": "120"} | environment,
                start_new_session=True,
                preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
            )

    def wait(self, seconds: float) -> int:
        assert self.process is not None
        return self.process.wait(seconds)

    @property
    def said(self) -> str:
        return self._log.read_text()

    def press(self, number: signal.Signals) -> None:
        """As the terminal does: to everything in its foreground."""
        assert self.process is not None
        os.killpg(self.process.pid, number)

    def children(self) -> Mapping[int, str]:
        """Its other processes: their commands by number (proc_pid_cmdline(5))."""
        found = {}
        for folder in Path("/proc").iterdir():
            try:
                command = (folder / "cmdline").read_bytes().replace(b"\0", b" ").decode()
            except OSError:
                continue
            if folder.name.isdigit() and f"{self._place}/" in command:
                found[int(folder.name)] = command
        return found

    def child(self, name: str) -> int:
        """The number of one of them."""
        return next(pid for pid, command in self.children().items() if name in command)

    def check_nothing_is_left(self) -> None:
        until(lambda: not self.children(), 2)
        assert list(self._place.iterdir()) == []

    def end(self) -> None:
        if self.process and self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        for pid in self.children():
            os.kill(pid, signal.SIGKILL)


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[Demo]:
    with TemporaryDirectory(prefix="demo-") as place:  # short enough for the path of a Unix socket
        made = Demo(Path(place), tmp_path / "demo.log")
        yield made
        made.end()


def check_report(said: str) -> list[str]:
    """The report of a batch up to its second bubbling; the stages that it tells."""
    report = said[said.index("Run of heron") :]
    # A batch of a late evening passes midnight, and names its days then.
    stages = re.findall(r"\d\d:\d\d(?: on \d+ \w+)? +(\w+) \(drydown\)", report)
    assert stages[:4] == ["settling", "bubbling", "paused", "bubbling"]
    assert "emergency: The blower runs and the vent is closed" in report
    assert re.search(r"vent is closed:\s+over", report)
    assert "no safety system" in report
    assert "Traceback" not in said
    return stages


def check_whole_report(said: str) -> None:
    """The report of the whole batch: dry, and every stage on the way."""
    stages = check_report(said)
    assert stages[4] == "paused"
    assert "resting" in stages
    report = said[said.index("Run of heron") :]
    rows = [line for line in report.splitlines() if re.match(r"\d\d:\d\d ", line)]
    dried = [row for row in rows if " 2 h 28 min " in row]
    assert dried
    assert all(row.rstrip().endswith("dry") for row in dried)
    assert rows[-1].rstrip().endswith("dry"), "what is drawn leaves the rest as dry as it was"
    assert re.search(r"heron: the fuel is dry *\n", report)


def test_one_batch_to_its_end(demo: Demo) -> None:
    began = time.monotonic()
    demo.start(DRYDOWN, "demo", "--once")
    assert demo.wait(60) == 0
    assert time.monotonic() - began < 45  # 9 s on two idle cores
    check_whole_report(demo.said)
    assert "The page of the tank: http://127.0.0.1:" in demo.said
    assert "heron: EMERGENCY: The blower runs and the vent is closed" in demo.said
    demo.check_nothing_is_left()


def test_a_batch_where_mosquitto_is_not_installed(demo: Demo) -> None:
    demo.start(sys.executable, "-c", WITHOUT_MOSQUITTO, "demo", "--once", PATH=str(DRYDOWN.parent))
    seen: list[str] = []
    while demo.process and demo.process.poll() is None:
        seen += [name for name in demo.children().values() if "mosquitto -c" in name]
        time.sleep(0.5)
    assert seen == []
    assert demo.wait(1) == 0
    check_report(demo.said)
    demo.check_nothing_is_left()


def test_no_broker_at_all_is_one_clear_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from drydown.demo import broker

    monkeypatch.setenv("PATH", "")
    monkeypatch.setattr(broker, "MOSQUITTO_PATH", "")
    assert broker_command(tmp_path, 1)[1:3] == ["-m", "drydown.demo.broker"]
    monkeypatch.setitem(sys.modules, "amqtt", None)  # as if it were not installed
    with pytest.raises(UserError, match=r"apt install mosquitto.*'drydown\[demo\]'"):
        broker_command(tmp_path, 1)


def test_a_port_in_use_is_one_clear_sentence(demo: Demo) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = str(other.getsockname()[1])
        demo.start(DRYDOWN, "demo", "--port", port)
        assert demo.wait(20) == 2
    assert demo.said.count("\n") == 1
    assert f"can't be served at 127.0.0.1 port {port}" in demo.said
    assert "or choose another with --port" in demo.said
    demo.check_nothing_is_left()


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)]
)
def test_it_puts_everything_away_when_told_to_end(demo: Demo, number: signal.Signals, code: int) -> None:
    port = free_port()
    demo.start(DRYDOWN, "demo", "--port", str(port))
    until(lambda: "End with Ctrl-C" in demo.said, 30)
    assert len(demo.children()) == 3
    with (
        httpx.Client(trust_env=False) as page,
        page.stream("GET", f"http://127.0.0.1:{port}/api/v1/tanks/heron/events") as answer,
    ):
        next(answer.iter_lines())
        demo.press(number)
        time.sleep(0.1)
        demo.press(number)  # nobody presses Ctrl-C once
        assert demo.wait(10) == code
    assert "Traceback" not in demo.said
    assert demo.said.splitlines()[-1].startswith("The tank lives 60 times as fast as a real one.")
    demo.check_nothing_is_left()


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("mosquitto -c", "the broker"),
        ("drydown record", "drydown record"),
        ("drydown serve", "drydown serve"),
    ],
)
def test_a_part_that_dies_ends_it_with_a_sentence(demo: Demo, name: str, what: str) -> None:
    demo.start(DRYDOWN, "demo")
    until(lambda: "End with Ctrl-C" in demo.said, 30)
    os.kill(demo.child(name), signal.SIGKILL)
    assert demo.wait(10) == 2
    assert f"The demo is over: {what} ended by itself" in demo.said.splitlines()[-1]
    assert "Traceback" not in demo.said
    demo.check_nothing_is_left()


def test_a_broker_that_dies_in_the_middle_of_a_batch(demo: Demo) -> None:
    demo.start(DRYDOWN, "demo", "--once")
    until(lambda: "The page of the tank" in demo.said, 30)
    os.kill(demo.child("mosquitto -c"), signal.SIGKILL)
    assert demo.wait(10) == 2
    assert "The demo is over: the broker ended by itself" in demo.said
    demo.check_nothing_is_left()
