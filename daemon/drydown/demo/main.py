"""`drydown demo`: a broker, the recorder, the pages, and a watcher whose tank is simulated."""

import argparse
import json
import logging
import signal
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import NoReturn

from rich.console import Console
from rich.progress import Progress

from drydown.clock import zone
from drydown.config.load import load
from drydown.config.model import Site
from drydown.demo.broker import broker_command
from drydown.demo.children import Children
from drydown.demo.place import claim, free_port, write_site
from drydown.demo.watcher import STEP, DemoWatcher
from drydown.effects import Effect
from drydown.errors import UserError
from drydown.lines import effect_of
from drydown.print_report import print_report
from drydown.run.report import gather
from drydown.texts.notices import NoticeText

PACE = 60.0  # s of the tank's time a second
PATIENCE = 20.0  # s for the pages to be there


def main(args: argparse.Namespace) -> int:
    """Run the demo until told to stop, or with `args.once` to the end of its batch. Raises UserError."""
    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, _leave)
    logging.getLogger("drydown").addHandler(logging.NullHandler())  # the notices tell all there is to tell
    console = Console()
    port = claim(args.port) if args.port else free_port()
    with tempfile.TemporaryDirectory(prefix="drydown-demo-") as place, Children(Path(place)) as children:
        config = write_site(Path(place), free_port(), port)
        site = load(config)
        children.start("the broker", broker_command(Path(place), site.broker.port))
        for name in ("record", "serve"):
            command = [sys.executable, "-m", "drydown", name, "--config", str(config)]
            children.start(f"drydown {name}", command)
        address = f"http://127.0.0.1:{port}/"
        _wait_for(address + "api/v1/health", children.check)
        with closing(DemoWatcher(site, _teller(console), children.check)) as watcher:
            watcher.start()
            console.print(f"The page of the tank: [bold]{address}[/bold]")
            if args.once:
                _play_once(watcher, console)
                print_report(gather(_recorded(address, site, watcher)), site.tank[0].name, zone(), console)
            else:
                console.print(f"The tank lives {PACE:.0f} times as fast as a real one. End with Ctrl-C.")
                _play(watcher, console)
    return 0


def _leave(number: int, _frame: object) -> NoReturn:
    """Told to end: on the way out everything is put away."""
    raise SystemExit(128 + number)


def _play_once(watcher: DemoWatcher, console: Console) -> None:
    steps = int(watcher.duration / STEP)
    with Progress(console=console, transient=True) as progress:
        for _ in progress.track(range(steps), description="One batch, from filling to drawing"):
            watcher.step()
            watcher.catch_up()
        watcher.catch_up(0)


def _play(watcher: DemoWatcher, console: Console) -> NoReturn:
    due, last = time.monotonic(), int(watcher.duration / STEP)
    count = 0
    while True:
        watcher.step()
        count += 1
        if count == last:
            console.print("\nThat was the batch; from here on the tank rests. Start again for another one.")
        due += STEP / PACE
        time.sleep(max(due - time.monotonic(), 0.0))


def _recorded(address: str, site: Site, watcher: DemoWatcher) -> Iterator[Effect]:
    start, end = watcher.span
    lines = f"{address}api/v1/tanks/{site.tank[0].name}/lines?start={start - 1}&end={end + 1}"
    with urllib.request.urlopen(lines, timeout=60) as answer:
        for line in answer:
            body = json.loads(line)
            if body["kind"] != "command":
                yield effect_of(body, float)


def _wait_for(address: str, check: Callable[[], None]) -> None:
    end = time.monotonic() + PATIENCE
    while True:
        check()
        try:
            urllib.request.urlopen(address, timeout=5).close()
            return
        except OSError as error:
            if time.monotonic() > end:
                raise UserError(f"The pages did not come up at {address} ({error}): start again.") from error
            time.sleep(0.05)


def _teller(console: Console) -> Callable[[NoticeText], None]:
    """What a phone would show."""
    return lambda notice: console.print(f"\n[bold]{notice.title}[/bold]\n{notice.body}", highlight=False)
