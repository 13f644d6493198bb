"""A board that is really started: systemd as PID 1 in namespaces of its own, on a copy of this disk.

What it writes goes to memory and is gone after it; this computer's own disk, network, clock and services are
not touched. Its /sys is a fake tree. It needs root and a kernel that lets it mount: `why_not` says what is in
the way. Its processes and mounts end with the process that started it, however that ends; another, which
waits for just that, then takes its folder and its cgroup away.
"""

import os
import shutil
import subprocess
import sys
import sysconfig
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

HERE = Path(__file__).parents[2]
SCRIPT = Path(__file__).with_name("booted.sh")
MEMORY = Path("/dev/shm")  # a disk in memory can be the upper part of an overlay, which another overlay can't
CLEAN = """\
cat
for second in 1 2 3 4 5 6 7 8 9 10; do
  [ ! -e "$1" ] || find "$1" -depth -type d -exec rmdir {} \\; 2>/dev/null
  [ -e "$1" ] || break
  sleep 1
done
rm -rf "$0"
"""
NEEDED = (
    "unshare",
    "nsenter",
    "pivot_root",
    "setpriv",
    "mosquitto",
    "mosquitto_passwd",
    "useradd",
    "runuser",
)
PATIENCE = 60.0  # s for what takes a few where nothing else runs
OWN = {"PATH": "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin", "TERM": "dumb"}


class Board:
    """A computer to install on. `sysfs` is what it has for /sys."""

    def __init__(self, folder: Path, cgroup: Path) -> None:
        self.sysfs = folder / "sys"
        self._folder, self._cgroup = folder, cgroup
        self._process: subprocess.Popen[bytes] | None = None
        self._begun: list[subprocess.Popen[bytes]] = []
        for name in ("upper", "work", "root", "sys"):
            (folder / name).mkdir()
        for path in (folder, folder / "upper", folder / "sys"):
            path.chmod(0o755)

    def add_environment(self, name: str) -> str:
        """An environment with drydown as it is here, before the board starts; its path there."""
        place = self._folder / "upper/srv" / name
        packages = place / f"lib/python{sys.version_info[0]}.{sys.version_info[1]}/site-packages"
        packages.mkdir(parents=True)
        (place / "bin").mkdir()
        python = Path(sys.executable).resolve().name
        (place / "bin/python").symlink_to(f"/srv/python/bin/{python}")
        (place / "pyvenv.cfg").write_text("home = /srv/python/bin\ninclude-system-site-packages = false\n")
        parts = ["/srv/packages", *(f"/srv/checkout/{part}" for part in ("daemon", "api", "dashboards"))]
        (packages / "here.pth").write_text("\n".join(parts))
        command = place / "bin/drydown"
        text = "import sys\nfrom drydown.cli import main\nsys.exit(main())\n"
        command.write_text(f"#!/srv/{name}/bin/python\n{text}")
        command.chmod(0o755)
        return f"/srv/{name}"

    def start(self, target: str) -> None:
        """Power on, and wait until systemd has come to the target; or AssertionError with what it said."""
        self._cgroup.mkdir(exist_ok=True)
        with (self._folder / "console").open("ab") as console:
            self._process = _launch(self._folder, self._cgroup, target, console.fileno())
        end = time.monotonic() + PATIENCE
        while not self._is_up(target):
            said = (self._folder / "console").read_text(errors="replace")[-2000:]
            assert self._process.poll() is None and time.monotonic() < end, f"it does not start: {said}"
            time.sleep(0.1)

    def cut_power(self) -> None:
        """Everything on it ends at once, as PID 1 does."""
        if self._process is None:
            return
        self._process.kill()  # which takes PID 1 along: unshare(1), --kill-child
        for process in (self._process, *self._begun):
            process.wait()
        self._process, self._begun = None, []
        end = time.monotonic() + PATIENCE
        while self._cgroup.exists() and time.monotonic() < end:
            _remove_cgroup(self._cgroup)
            time.sleep(0.02)

    def run(self, *command: str, check: bool = True, text: str = "") -> subprocess.CompletedProcess[str]:
        """A command on the board, as root."""
        ran = subprocess.run(
            [*self._inside(), *command], input=text, capture_output=True, text=True, timeout=120, env=OWN
        )
        assert not check or ran.returncode == 0, (command, ran.stdout[-2000:], ran.stderr[-2000:])
        return ran

    def begin(self, *command: str) -> None:
        """A command on the board that goes on until the power is cut."""
        self._begun.append(subprocess.Popen([*self._inside(), *command], env=OWN, stdin=subprocess.DEVNULL))

    def show(self, unit: str, name: str) -> str:
        """A property of a unit, as systemctl(1) tells it."""
        return self.run("systemctl", "show", unit, f"--property={name}", "--value").stdout.strip()

    def _is_up(self, target: str) -> bool:
        assert self._process is not None
        if not _children(self._process.pid):
            return False
        return self.run("systemctl", "is-active", target, check=False).stdout.strip() == "active"

    def _inside(self) -> list[str]:
        assert self._process is not None
        return ["nsenter", "--target", _children(self._process.pid)[0], "--all", "--"]


@contextmanager
def board() -> Iterator[Board]:
    """A board while the block lasts; not yet started."""
    cgroups = _cgroups()
    assert cgroups is not None
    folder = Path(tempfile.mkdtemp(prefix="drydown-board-", dir=MEMORY))
    made = Board(folder, cgroups / folder.name)
    cleaner = subprocess.Popen(
        ["sh", "-c", CLEAN, folder, cgroups / folder.name], stdin=subprocess.PIPE, start_new_session=True
    )
    try:
        yield made
    finally:
        made.cut_power()
        cleaner.communicate()


@cache
def why_not() -> str:
    """What is in the way of starting a board here; empty if nothing is."""
    if os.geteuid() != 0:
        return "starting a systemd needs root"
    missing = [name for name in NEEDED if shutil.which(name, path=OWN["PATH"]) is None]
    if missing or not Path("/lib/systemd/systemd").exists():
        return f"not here: {' '.join(missing) or 'systemd'}"
    cgroups = _cgroups()
    if cgroups is None:
        return "there are no cgroups of version 2 here"
    try:
        with board() as tried:
            tried._cgroup.mkdir()
            ran = _launch(tried._folder, tried._cgroup, "-", subprocess.PIPE)
            said = ran.communicate(timeout=PATIENCE)[0].decode(errors="replace")
            _remove_cgroup(tried._cgroup)
            return "" if ran.returncode == 0 else f"this computer does not let it: {said.strip()[-300:]}"
    except (OSError, subprocess.TimeoutExpired) as error:
        return f"this computer does not let it: {error}"


def _launch(folder: Path, cgroup: Path, target: str, out: int) -> subprocess.Popen[bytes]:
    alone = "setpriv --pdeathsig KILL unshare --mount --pid --cgroup --net --uts --ipc --fork --kill-child"
    command = f'echo $$ >"$0/cgroup.procs" && exec {alone} sh "$@"'
    shown = {"PYTHON": sys.base_prefix, "PACKAGES": sysconfig.get_path("purelib"), "CHECKOUT": str(HERE)}
    return subprocess.Popen(
        ["sh", "-c", command, str(cgroup), str(SCRIPT), str(folder), target],
        env=OWN | shown, stdin=subprocess.DEVNULL, stdout=out, stderr=subprocess.STDOUT,
    )  # fmt: skip


def _cgroups() -> Path | None:
    """Where this computer's cgroups of version 2 are mounted."""
    rows = (line.split() for line in Path("/proc/self/mounts").read_text().splitlines())
    return next((Path(row[1]) for row in rows if row[2] == "cgroup2"), None)


def _children(pid: int) -> list[str]:
    try:
        return Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except OSError:
        return []


def _remove_cgroup(folder: Path) -> None:
    for each in (*sorted(folder.rglob("*/"), reverse=True), folder):
        _remove(each)


def _remove(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return  # its last process is still going
