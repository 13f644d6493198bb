"""python -m soak: what takes an hour to find out. Kills, wrong input, and growth; a figure a line."""

import argparse
import json
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console

from fuzz.course import fuzz
from fuzz.registry import TARGETS
from soak.kills import suffer
from soak.stay import stay

THOUSAND = 1000
DAYS, HURRY = 3, 100.0  # three days within three quarters of an hour
TENFOLD = 10.0


@dataclass(frozen=True, slots=True)
class Found:
    """One figure. `most` is the goal, None where there is none."""

    figure: str
    value: float
    unit: str
    most: float | None = None


def main() -> int:
    """0 if every goal is met, else 1."""
    options = _parser().parse_args()
    parts = {
        "kills": lambda: _kills(options.kills, options.seed),
        "fuzz": lambda: _fuzz(options.inputs, options.seed),
        "growth": lambda: _growth(options.minutes),
    }
    is_met = True
    console = Console(stderr=True)
    for name in options.parts or parts:
        with console.status(name):
            for found in parts[name]():
                is_met &= found.most is None or found.value <= found.most
                print(json.dumps(_object(found)) if options.json else _line(found), flush=True)
    return 0 if is_met else 1


def _kills(kills: int, seed: int) -> Iterator[Found]:
    toll = suffer(kills, seed)
    yield Found("kills", toll.kills, "")
    yield Found("rows_lost", toll.rows_lost, f"of {toll.rows}", 0)
    yield Found("rows_doubled", toll.rows_doubled, f"of {toll.rows}", 0)
    yield Found("alarms_missed", toll.alarms_missed, f"of {toll.alarms} changes", 0)
    yield Found("notices_lost", toll.notices_lost, f"of {toll.notices}", 0)


def _fuzz(inputs: int, seed: int) -> Iterator[Found]:
    given = crashes = 0
    with tempfile.TemporaryDirectory(prefix="drydown-soak-") as folder:
        for name, target in TARGETS.items():
            outcome = fuzz(target, Path(folder) / name, inputs * target.share // THOUSAND, seed)
            given, crashes = given + outcome.inputs, crashes + outcome.crashes
            for payload, told in outcome.faults:
                Console(stderr=True).print(name, repr(payload[:500]), told, markup=False)
            yield Found(
                f"fuzz_growth_{name}", round(outcome.grown / 1e6, 2), f"MB in {outcome.inputs} inputs"
            )
    yield Found("fuzz_inputs", given, "")
    yield Found("fuzz_crashes", crashes, "", 0)


def _growth(minutes: float) -> Iterator[Found]:
    for name, pace, hours in (
        ("growth", HURRY, DAYS * 24.0),
        ("growth_tenfold", TENFOLD, minutes / 60 * TENFOLD),
    ):
        stayed = stay(hours, pace)
        for process, slope in stayed.slopes.items():
            unit = f"MB a day of use, through {hours:g} hours at {pace:g} times the pace"
            yield Found(f"{name}_{process}", round(slope / 1e6, 2), unit, 1)
            yield Found(f"{name}_handles_{process}", stayed.handles[process], "more", 0)


def _object(found: Found) -> dict[str, object]:
    return {"figure": found.figure, "value": found.value, "unit": found.unit, "goal": found.most}


def _line(found: Found) -> str:
    goal = "" if found.most is None else f" (at most {found.most:g})"
    return f"{found.figure}: {found.value:g} {found.unit}{goal}"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="deploy/soak", description="Finds out what takes long to find out.")
    parser.add_argument("parts", nargs="*", metavar="PART", help="kills, fuzz, growth; all, unless named")
    parser.add_argument("--json", action="store_true", help="print one JSON object a figure, one a line")
    parser.add_argument("--kills", type=int, default=500, help="so many processes are killed (500)")
    parser.add_argument("--inputs", type=int, default=1_000_000, help="so much wrong input in all (1000000)")
    parser.add_argument(
        "--minutes", type=float, default=30.0, help="for which growth is watched at tenfold pace (30)"
    )
    parser.add_argument("--seed", type=int, default=1, help="another number, other kills and input (1)")
    return parser


raise SystemExit(main())
