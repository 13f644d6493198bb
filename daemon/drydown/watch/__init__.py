"""`drydown watch`: probes in, alarms out. Needs no broker, store or network to raise an alarm."""

import argparse
import signal

from drydown.config.load import load
from drydown.logs import set_up
from drydown.watch.service import WatchService


def main(args: argparse.Namespace) -> int:
    """Watch the site of `args.config` until SIGTERM or SIGINT. Raises UserError."""
    set_up()
    service = WatchService(load(args.config))
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: service.stop())
    service.run()
    return 0
