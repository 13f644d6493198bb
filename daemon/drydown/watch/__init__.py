"""`drydown watch`: probes in, alarms out. Needs no broker, store or network to raise an alarm."""

import argparse

from drydown.unit import run_unit
from drydown.watch.service import WatchService


def main(args: argparse.Namespace) -> int:
    """Watch the site of `args.config` until SIGTERM or SIGINT. Raises UserError."""
    return run_unit(args, WatchService)
