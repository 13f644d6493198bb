"""`drydown demo`: a broker, the recorder, the pages, and a watcher whose tank is simulated."""

import argparse
import json
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from rich.console import Console
from rich.progress import Progress

from drydown.clock import zone
from drydown.config.load import load
from drydown.demo.broker import broker_command
from drydown.demo.place import free_port, write_site
from drydown.demo.watcher import STEP, DemoWatcher
from drydown.effects import Effect
from drydown.errors import UserError
from drydown.lines import effect_of
from drydown.print_report import print_report
from drydown.run.report import gather
from drydown.texts.notices import NoticeText

PACE = 60.0  # s of the tank's time a second
PATIENCE = 20.0  # s for a process to be there


def main(args: argparse.Namespace) -> int:
    """Run the demo until told to stop, or with `args.once` to the end of its batch. Raises UserError."""
    console = Console()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="drydown-demo-")))
        port = args.port or free_port()
        config = write_site(folder, free_port(), port)
        site = load(config)
        stack.enter_context(_process("the broker", broker_command(folder, site.broker.port)))
        for name in ("record", "serve"):
            command = [sys.executable, "-m", "drydown", name, "--config", str(config)]
            stack.enter_context(_process(f"drydown {name}", command))
        address = f"http://127.0.0.1:{port}/"
        _wait_for(address + "api/v1/health")
        watcher = DemoWatcher(site, lambda notice: _print_notice(notice, console))
        stack.callback(watcher.close)
        watcher.start()
        console.print(f"The page of the tank: [bold]{address}[/bold]")
        if args.once:
            _play_once(watcher, console)
            print_report(gather(_recorded(address, watcher)), "heron", zone(), console)
        else:
            console.print(f"The tank lives {PACE:.0f} times as fast as a real one. End with Ctrl-C.")
            _play(watcher)
    return 0


def _play_once(watcher: DemoWatcher, console: Console) -> None:
    steps = int(watcher.duration / STEP)
    with Progress(console=console, transient=True) as progress:
        for _ in progress.track(range(steps), description="One batch, from filling to drawing"):
            watcher.step()
            watcher.catch_up()
        watcher.catch_up(0)


def _play(watcher: DemoWatcher) -> None:
    due = time.monotonic()
    while True:
        watcher.step()
        due += STEP / PACE
        time.sleep(max(due - time.monotonic(), 0.0))


def _recorded(address: str, watcher: DemoWatcher) -> Iterator[Effect]:
    start, end = watcher.span
    lines = f"{address}api/v1/tanks/heron/lines?start={start - 1}&end={end + 1}"
    with urllib.request.urlopen(lines, timeout=60) as answer:
        for line in answer:
            body = json.loads(line)
            if body["kind"] != "command":
                yield effect_of(body, float)


@contextmanager
def _process(what: str, command: list[str]) -> Iterator[None]:
    process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    try:
        yield
    finally:
        process.terminate()
        try:
            process.wait(5)
        except subprocess.TimeoutExpired:
            process.kill()
            raise UserError(f"{what} did not end when told to, and was killed.") from None


def _wait_for(address: str) -> None:
    end = time.monotonic() + PATIENCE
    while True:
        try:
            urllib.request.urlopen(address, timeout=5).close()
            return
        except OSError as error:
            if time.monotonic() > end:
                raise UserError(f"The pages did not come up at {address}: {error}") from error
            time.sleep(0.05)


def _print_notice(notice: NoticeText, console: Console) -> None:
    console.print(f"\n[bold]{notice.title}[/bold]\n{notice.body}", highlight=False)
