"""Runs a service in the foreground, as systemd and people at a terminal start it."""

import argparse
import signal
from collections.abc import Callable
from typing import Protocol

from drydown.config.load import load
from drydown.config.model import Site
from drydown.logs import set_up
from drydown.texts.language import speak


class Service(Protocol):
    """Something that runs until it is stopped."""

    def run(self) -> None:
        """Go on until `stop`."""

    def stop(self) -> None:
        """End `run` soon, in good order."""


def run_unit(args: argparse.Namespace, make: Callable[[Site], Service]) -> int:
    """Run the service of the site of `args.config` until SIGTERM or SIGINT. Raises UserError."""
    set_up()
    site = load(args.config)
    speak(site.language)
    service = make(site)
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: service.stop())
    service.run()
    return 0
