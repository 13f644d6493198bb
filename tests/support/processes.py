"""Starts drydown's commands as real processes, ends them, and looks at what they use."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

DRYDOWN = Path(sys.executable).with_name("drydown")
TICKS = os.sysconf("SC_CLK_TCK")  # a second of CPU time in /proc/PID/stat (proc_pid_stat(5))


class Running:
    """One `drydown COMMAND` that runs; what it writes goes to a file."""

    def __init__(
        self,
        arguments: tuple[str | Path, ...],
        log: Path,
        environment: Mapping[str, str],
        program: Sequence[str | Path] = (DRYDOWN,),
    ) -> None:
        self.name = str(arguments[0])
        self.log = log
        with log.open("ab") as out:
            self._process = subprocess.Popen(
                [*program, *arguments],
                stdout=out,
                stderr=out,
                stdin=subprocess.DEVNULL,
                env=os.environ | dict(environment),
            )

    @property
    def pid(self) -> int:
        return self._process.pid

    @property
    def cpu_seconds(self) -> float:
        """CPU time that it and its threads have used, in user and kernel mode."""
        return cpu_seconds(self.pid)

    @property
    def resident(self) -> int:
        """Bytes of memory that are its own or shared and in RAM (VmRSS)."""
        status = Path(f"/proc/{self.pid}/status").read_text()
        line = next(line for line in status.splitlines() if line.startswith("VmRSS:"))
        return int(line.split()[1]) * 1024

    def check(self) -> None:
        """Raise AssertionError, with what it wrote, if it has ended."""
        if self._process.poll() is not None:
            raise AssertionError(f"drydown {self.name} has ended by itself: {self.log.read_text()[-2000:]}")

    def kill(self) -> None:
        """End it at once, as a power cut would."""
        self._process.kill()
        self._process.wait()

    def pause(self) -> None:
        """Let it stand still."""
        self._process.send_signal(signal.SIGSTOP)

    def resume(self) -> None:
        """Let it go on."""
        self._process.send_signal(signal.SIGCONT)

    def signal(self, number: signal.Signals) -> None:
        """Send it a signal."""
        self._process.send_signal(number)

    def wait(self, within: float) -> int:
        """Its exit code, negative for the signal it died of; raises subprocess.TimeoutExpired."""
        return self._process.wait(within)

    def stop(self, within: float = 10.0) -> None:
        """End it as a person or systemd would, and by force if that does not help."""
        self._process.terminate()
        self._process.send_signal(signal.SIGCONT)
        try:
            self._process.wait(within)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


def cpu_seconds(pid: int) -> float:
    """CPU time that a process and its threads have used, in user and kernel mode."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS  # utime and stime: fields 14 and 15 of the line


@contextmanager
def running(
    *arguments: str | Path, log: Path, program: Sequence[str | Path] = (DRYDOWN,), **environment: str
) -> Iterator[Running]:
    """`drydown ARGUMENTS`, or another program with them, while the block lasts."""
    process = Running(arguments, log, environment, program)
    try:
        yield process
    finally:
        process.stop()


def wait_until_said(process: Running, text: str, seconds: float = 60.0) -> str:
    """The first line with this text that the process writes. Raises AssertionError."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        found = next((line for line in process.log.read_text().splitlines() if text in line), None)
        if found is not None:
            return found
        process.check()
        time.sleep(0.02)
    raise AssertionError(f"drydown {process.name} has not said {text!r} within {seconds} s")
