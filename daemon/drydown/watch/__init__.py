"""`drydown watch`: probes in, alarms out. Needs no broker, store or network to raise an alarm."""

import argparse
import logging
import signal

from drydown.config.load import load
from drydown.config.unbuilt import unbuilt
from drydown.logs import set_up
from drydown.watch.service import WatchService

log = logging.getLogger(__name__)


def main(args: argparse.Namespace) -> int:
    """Watch the site of `args.config` until SIGTERM or SIGINT. Raises UserError."""
    set_up()
    site = load(args.config)
    for key, message in unbuilt(site):
        log.warning("%s: %s", key, message)
    service = WatchService(site)
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: service.stop())
    service.run()
    return 0
