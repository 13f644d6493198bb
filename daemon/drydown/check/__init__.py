"""`drydown check`: what works, and what to mend, part by part."""

import argparse
import json
import logging
from collections.abc import Iterable
from itertools import chain

from drydown.check.broker import with_own_account
from drydown.check.calibrate import calibrate
from drydown.check.finding import Finding
from drydown.check.parts import findings
from drydown.check.touch import touch_findings
from drydown.config.load import ConfigError, load

ALL_WELL, TO_MEND = 0, 2
WIDTH = 32  # characters of a part's name


def main(args: argparse.Namespace) -> int:
    """Look at every part of the site of `args.config`; 0 only if all of them work.

    With `args.json` one JSON object a line: {"part", "works", "message"}. With `args.notify` a marked test
    goes out on each notice route. With `args.calibrate` that probe is calibrated instead; see `calibrate`.
    With `args.touch` it says which 1-Wire probe is being touched instead; see `touch`.
    """
    if args.calibrate:
        return calibrate(load(args.config), args.calibrate)
    try:
        site = load(args.config)
    except ConfigError as error:
        return _tell([Finding("configuration", False, str(error))], args.json)
    logging.getLogger("drydown").addHandler(logging.NullHandler())  # the findings say it in better words
    if args.touch:
        return _tell(touch_findings(site), args.json)
    found = Finding("configuration", True, f"{args.config} describes {len(site.tank)} tank(s).")
    return _tell(chain((found,), findings(with_own_account(site, args.config), args.notify)), args.json)


def _tell(found: Iterable[Finding], as_json: bool) -> int:
    """Print each finding as soon as it is known."""
    all_work = True
    for one in found:
        all_work &= one.works
        if as_json:
            print(json.dumps({"part": one.part, "works": one.works, "message": one.message}), flush=True)
        else:
            print(f"{'works' if one.works else 'MEND':6} {one.part:{WIDTH}} {one.message}", flush=True)
    return ALL_WELL if all_work else TO_MEND
