"""`drydown watch`: probes in, alarms out. Needs no broker, store or network to raise an alarm."""

import argparse
import sys

from drydown.unit import run_unit
from drydown.watch.service import WatchService

TURN = 0.0005  # s that a thread computes on while others wait: no alarm waits long for an estimate


def main(args: argparse.Namespace) -> int:
    """Watch the site of `args.config` until SIGTERM or SIGINT. Raises UserError."""
    sys.setswitchinterval(TURN)
    return run_unit(args, WatchService)
