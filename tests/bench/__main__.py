"""python -m bench: measures drydown on this machine and holds what it finds against the goals."""

import argparse
import json
import subprocess
import sys

from rich.console import Console
from rich.table import Table

from bench.figure import Figure, Measured
from bench.registry import FIGURES
from bench.workbench import Workbench
from support.broker import PROGRAM

DIGITS = 4


def main() -> int:
    """0 if everything could be measured, whether or not the goals were met; else 1."""
    parser = _parser()
    options = parser.parse_args()
    unknown = [name for name in options.names if name not in FIGURES]
    if unknown:
        parser.error(f"there is no figure {', '.join(unknown)}; there are: {', '.join(FIGURES)}")
    if PROGRAM is None:
        print("mosquitto is missing: install it (Debian, Ubuntu: apt install mosquitto).", file=sys.stderr)
        return 1
    names = options.names or list(FIGURES)
    results: list[tuple[Figure, Measured]] = []
    console = Console(stderr=True)
    with Workbench() as bench:
        for name in names:
            with console.status(f"measuring {name}"):
                measured = _measure(FIGURES[name], bench)
            if measured is None:
                continue
            results.append((FIGURES[name], measured))
            if options.json:
                print(json.dumps(_object(FIGURES[name], measured)), flush=True)
    if not options.json:
        _print_table(results)
    return 0 if len(results) == len(names) else 1


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="deploy/bench", description="Measures drydown on this machine and holds it against its goals."
    )
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(FIGURES))
    parser.add_argument("--json", action="store_true", help="print one JSON object a figure, one a line")
    return parser


def _measure(figure: Figure, bench: Workbench) -> Measured | None:
    try:
        return figure.measure(bench)
    except (AssertionError, OSError, subprocess.SubprocessError) as error:
        print(f"{figure.name} can't be measured: {error}", file=sys.stderr)
        return None


def _object(figure: Figure, measured: Measured) -> dict[str, object]:
    return {
        "figure": figure.name,
        "value": _short(measured.value),
        "unit": figure.unit,
        "goal": figure.goal,
        "baseline": None if measured.baseline is None else _short(measured.baseline),
    }


def _print_table(results: list[tuple[Figure, Measured]]) -> None:
    console = Console()
    table = Table("figure", "measured", "goal", "")
    for figure, measured in results:
        met = "[green]met[/]" if figure.is_met(measured.value) else "[bold red]not met[/]"
        value = f"{_short(measured.value):g} {figure.unit}"
        table.add_row(figure.name, value, f"{figure.wanted} {figure.goal:g}", met)
    console.print(table)
    for figure, measured in results:
        console.print(f"[bold]{figure.name}[/]: {measured.how}", highlight=False)


def _short(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


if __name__ == "__main__":
    sys.exit(main())
