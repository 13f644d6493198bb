"""python -m soak.fast_watch CONFIG PACE: `drydown watch` on a clock that goes so many times as fast."""

import argparse
from pathlib import Path

from drydown.clock import Clock
from drydown.unit import run_unit
from drydown.watch.service import WatchService


def main() -> int:
    """Watch until told to stop. Raises UserError."""
    parser = argparse.ArgumentParser(prog="fast_watch")
    parser.add_argument("config", type=Path)
    parser.add_argument("pace", type=float)
    options = parser.parse_args()
    return run_unit(options, lambda site: WatchService(site, Clock(options.pace)))


if __name__ == "__main__":
    raise SystemExit(main())
