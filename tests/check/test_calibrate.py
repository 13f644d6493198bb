"""`drydown check --calibrate` from a pipe: asks, computes, and prints a line that the configuration takes."""

import os
import subprocess
import tomllib
from pathlib import Path

import pytest

from drydown.check.calibrate import calibrate
from drydown.config.load import load
from support.broker import free_port
from support.fake_sysfs import replace
from support.processes import DRYDOWN
from support.watched_place import Place, place


def run(made: Place, probe: str, answers: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [DRYDOWN, "check", "--config", made.config, "--calibrate", probe],
        input=answers,
        capture_output=True,
        text=True,
        timeout=60,
        env=os.environ | {"DRYDOWN_SYSFS": str(made.folder / "sys")},
    )


def test_points_from_notes_give_a_line_that_is_true_when_configured(tmp_path: Path) -> None:
    with place(tmp_path, free_port()) as made:
        ran = run(made, "fuel/level", "0.5 0.0\n1.5 0.402\n2.5 0.8\n")
        assert ran.returncode == 0, ran.stderr
        assert "true = 0.4 × read" in ran.stdout
        assert "2: read 1.5 V, true 0.402 m, off the line by +0.0013 m" in ran.stdout
        printed = ran.stdout.strip().splitlines()[-1]
        ((name, probe),) = tomllib.loads(printed).items()
        assert (name, probe["channel"]) == ("fuel/level", "in_voltage0")
        old = '"fuel/level" = { iio = "ads1015", channel = "in_voltage0" }'
        text = made.config.read_text()
        assert old in text
        made.config.write_text(text.replace(old, printed))
        assert load(made.config).tank[0].probes["fuel/level"].model_dump()["calibration"][1] == (1.5, 0.402)


def test_a_true_value_alone_has_the_probe_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DRYDOWN_SYSFS", str(tmp_path / "sys"))
    with place(tmp_path, free_port()) as made:
        gauge = tmp_path / "sys/bus/iio/devices/iio:device0/in_voltage0_raw"

        class Person:
            """Fills the tank, then types how full it is."""

            steps = iter([("500", "0.1\n"), ("1500", "0.5\n"), ("", "\n")])

            def isatty(self) -> bool:
                return False

            def readline(self) -> str:
                raw, answer = next(self.steps)
                if raw:
                    replace(gauge, f"{raw}\n")
                return answer

        monkeypatch.setattr("sys.stdin", Person())
        assert calibrate(made.site, "heron fuel/level") == 0
    out = capsys.readouterr().out
    assert "fuel/level reads 1.5 V at 0.5 m." in out
    assert "calibration = [[0.5, 0.1], [1.5, 0.5]]" in out
    assert "a third would show" in out


@pytest.mark.parametrize(
    ("probe", "answers", "words"),
    [
        ("fuel/level", "0.5 0.0\n0.51 0.01\n", "the points are too near"),
        ("fuel/level", "0.5 0.0\n1.5 0.5\n2.5 0.8\n", "do not lie on a line"),
        ("fuel/level", "0.5 0.0\n", "1 point(s)"),
        ("fuel/level", "full\n", "'full' is no point"),
        ("fuel/level", "1 2 3\n", "is no point"),
        ("fuel/level", "nan 1\n", "is no point"),
        ("fuel/temperature", "", "only iio and hwmon probes"),
        ("fuel/levle", "", 'allowed is one of "heron fuel/level"'),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(tmp_path: Path, probe: str, answers: str, words: str) -> None:
    with place(tmp_path, free_port()) as made:
        ran = run(made, probe, answers)
    assert ran.returncode == 2
    assert words in ran.stderr
    assert "Traceback" not in ran.stderr
