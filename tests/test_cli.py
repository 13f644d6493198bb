"""The command line as a person meets it: real processes, their words and their exit codes."""

import os
import re
import signal
import subprocess
import sys
import time
from importlib.metadata import version
from pathlib import Path

import pytest

from drydown.bus.senml import Record
from drydown.bus.senml_json import encode
from drydown.cli import COMMANDS, _function, main
from drydown.simulate.write import write_run

CONFIGURED = [name for name in COMMANDS if name != "demo"]  # it brings its own configuration


def drydown(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "drydown", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def needs(name: str) -> list[str]:
    """The arguments that a command cannot do without."""
    needed = {"replay": ["run.senml"], "token": ["list"], "backup": ["copy"], "restore": ["copy"]}
    return needed.get(name, [])


@pytest.fixture
def run(tmp_path: Path) -> Path:
    write_run(tmp_path, "run", seed=1, kit="basic")
    return tmp_path / "run.senml"


def test_the_version_is_that_of_the_package() -> None:
    done = drydown("--version")
    assert (done.returncode, done.stdout) == (0, f"drydown {version('drydown')}\n")


def test_help_names_every_command_and_the_caution() -> None:
    done = drydown("--help")
    assert done.returncode == 0
    for name, command in COMMANDS.items():
        assert re.search(rf"^ +{name} +{command.purpose}$", done.stdout, re.MULTILINE)
    assert "no safety system" in done.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_where_the_table_says_and_explains_itself(name: str) -> None:
    assert callable(_function(COMMANDS[name].target))
    done = drydown(name, "--help")
    assert done.returncode == 0
    assert done.stdout.startswith(f"usage: drydown {name} ")


@pytest.mark.parametrize("arguments", [[], ["dry"], ["watch", "--port", "80"], ["replay"]])
def test_what_no_command_takes_is_refused_with_the_usage(arguments: list[str]) -> None:
    done = drydown(*arguments)
    assert done.returncode == 2
    assert done.stderr.startswith("usage: drydown")
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("port", ["0", "65536", "-1", "web", "1e3", "٣", "9" * 5000, ""])
def test_a_port_is_a_number_that_can_be_one(port: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["serve", f"--port={port}"])
    assert ended.value.code == 2
    assert "is not a port; allowed is 1 to 65535" in capsys.readouterr().err


@pytest.mark.parametrize("name", [name for name in CONFIGURED if name != "check"])
def test_a_missing_configuration_is_one_line_and_exit_code_2(
    name: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "none.toml"
    assert main([name, *needs(name), "--config", str(path)]) == 2
    assert capfd.readouterr() == ("", f"{path} cannot be read: No such file or directory\n")


@pytest.mark.parametrize("name", [name for name in CONFIGURED if name != "check"])
def test_every_fault_of_the_configuration_is_a_line(name: str, run: Path) -> None:
    path = run.with_suffix(".toml")
    path.write_text(path.read_text().replace("diameter", "diametre").replace("volume = ", "volume = -"))
    done = drydown(name, *needs(name), "--config", path)
    assert done.returncode == 2
    assert [line.split(" line ")[0] for line in done.stderr.splitlines()] == [str(path)] * 2
    assert "tank.diametre is not a key here; did you mean diameter?" in done.stderr


def test_a_broken_run_is_one_line(run: Path) -> None:
    config = run.with_suffix(".toml")
    run.write_bytes(run.read_bytes()[:-500])
    done = drydown("replay", run, "--config", config)
    assert done.returncode == 2
    assert re.fullmatch(rf"{run}: record \d+: it ends in the middle; is the rest cut off\?\n", done.stderr)


def test_a_run_of_another_tank_is_one_line(run: Path) -> None:
    run.write_bytes(encode([Record("boathouse/plover/fuel/level", 1789200000.0, 0.5, "m")]))
    done = drydown("replay", run, "--config", run.with_suffix(".toml"))
    assert done.returncode == 2
    assert done.stderr == f"{run} holds no readings of boathouse/heron/, only of boathouse/plover/\n"


def heed_ctrl_c() -> None:
    """Shells let what they start in the background ignore it, and so would all that is started from there."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


def test_ctrl_c_ends_it_without_a_word(tmp_path: Path) -> None:
    pipe = tmp_path / "site.toml"
    os.mkfifo(pipe)  # nobody writes to it, so the command waits
    command = [sys.executable, "-m", "drydown", "replay", "run.senml", "--config", str(pipe)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, preexec_fn=heed_ctrl_c
    ) as process:
        time.sleep(2.0)
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=20)
    assert (process.returncode, out, err) == (130, b"", b"")


def test_a_reader_that_goes_away_ends_it_without_a_word(run: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    command = [sys.executable, "-m", "drydown", "replay", "--json", str(run)]
    command += ["--config", str(run.with_suffix(".toml"))]
    done = subprocess.run(command, stdout=writing, stderr=subprocess.PIPE, timeout=60, check=False)
    os.close(writing)
    assert (done.returncode, done.stderr) == (141, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full here")
def test_a_full_disk_under_the_output_is_one_line(run: Path) -> None:
    command = [sys.executable, "-m", "drydown", "replay", "--json", str(run)]
    command += ["--config", str(run.with_suffix(".toml"))]
    with open("/dev/full", "wb") as full:  # noqa: PTH123  a device, not a path to work with
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (2, b"drydown replay: No space left on device: output\n")


def test_a_terminal_without_the_characters_shows_others(tmp_path: Path) -> None:
    environment = os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    path = tmp_path / "rüben.toml"
    path.write_text("", encoding="utf-8")
    command = [sys.executable, "-m", "drydown", "watch", "--config", str(path)]
    done = subprocess.run(command, capture_output=True, env=environment, timeout=60, check=False)
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert b"r?ben.toml says nothing" in done.stderr or rb"r\xfcben.toml says nothing" in done.stderr


def test_only_the_command_that_is_called_is_imported() -> None:
    code = (
        "import sys, drydown.cli; print(*{'pydantic', 'numpy', 'fastapi', 'rich', 'paho'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "\n"


def test_a_configuration_without_a_name_is_refused() -> None:
    done = drydown("check", "--config", "")
    assert done.returncode == 2
    assert "argument --config: it names no file; allowed is the path of a TOML file" in done.stderr
