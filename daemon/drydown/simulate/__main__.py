"""python -m drydown.simulate: writes simulated runs for calibration and benchmarks."""

import argparse
from pathlib import Path

from drydown.simulate.write import write_runs


def main() -> None:
    """Write as many runs as asked for into a folder."""
    parser = argparse.ArgumentParser(prog="python -m drydown.simulate", description="Writes simulated runs.")
    parser.add_argument("folder", type=Path, help="where NAME.senml, NAME.toml and NAME.truth.csv go")
    parser.add_argument("--runs", type=int, default=20, help="how many (default 20)")
    parser.add_argument("--first-seed", type=int, default=1, help="seed of the first (default 1)")
    arguments = parser.parse_args()
    first = arguments.first_seed
    for name in write_runs(arguments.folder, range(first, first + arguments.runs)):
        print(name)


if __name__ == "__main__":
    main()
