"""python -m drydown.guide FOLDER: writes every generated page of the guide."""

import argparse
from collections.abc import Callable, Mapping
from pathlib import Path

from drydown.guide import alarms, faults, forward, stages

PAGES: Mapping[str, Callable[[], str]] = {
    "alarms.md": alarms.page,
    "faults.md": faults.page,
    "forward.md": forward.page,
    "stages.md": stages.page,
}


def main() -> None:
    """Write the pages into a folder, which is made if need be."""
    parser = argparse.ArgumentParser(prog="python -m drydown.guide", description="Writes the guide's pages.")
    parser.add_argument("folder", type=Path, help="where the pages go, such as deploy/guide")
    folder: Path = parser.parse_args().folder
    folder.mkdir(parents=True, exist_ok=True)
    for name, page in PAGES.items():
        (folder / name).write_text(page(), "utf-8")


if __name__ == "__main__":
    main()
