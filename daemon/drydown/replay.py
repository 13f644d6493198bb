"""drydown replay: the same core over a recorded run, at full speed."""

import argparse
import json
import sys
from collections import deque
from collections.abc import Iterable, Iterator
from pathlib import Path

from drydown.bus.recorded import Batch, read_run
from drydown.clock import zone
from drydown.commands import Command
from drydown.config.load import load
from drydown.config.model import Site, Tank
from drydown.core import Core
from drydown.effects import Effect
from drydown.errors import UserError
from drydown.lines import line_of
from drydown.texts.language import speak

ENDING = ".zip"  # of a run's own file


def main(args: argparse.Namespace) -> int:
    """Replay `args.run` with the tank of `args.config` that `args.tank` names, or its only one.

    A run's own file (.zip) brings its tank with it.

    Prints one JSON object a line where `args.json` is set, else a report; draws it into the file `args.plot`,
    where that is set. Raises UserError.
    """
    if args.run.suffix == ENDING:
        from drydown.archive import read_archive  # here, so that others need not wait for it

        archive = read_archive(args.run)
        tank, run, commands = archive.tank, archive.run, archive.commands
    else:
        site = load(args.config)
        speak(site.language)
        tank = _tank(site, args.tank, args.config)
        run, commands = read_run(args.run, f"{site.site}/{tank.name}/"), []
    effects: Iterable[Effect] = replay(tank, run, commands)
    if args.plot:
        effects = list(effects)
        _draw(effects, tank, args.plot)
    if args.json:
        _print_lines(effects)
    else:
        _print_report(effects, tank.name)
    return 0


def replay(
    tank: Tank, run: Iterable[Batch], commands: Iterable[tuple[float, Command]] = ()
) -> Iterator[Effect]:
    """All that a core decides over a recorded run; its clock is the Unix time of the recording.

    Between two batches the core is asked again whenever one of its delays runs out. Commands come with the
    first batch after them.
    """
    core, waiting = Core(tank), deque(commands)
    for batch in run:
        while core.due < batch.time:
            yield from core.step(core.due, (), ())
        told = []
        while waiting and waiting[0][0] <= batch.time:
            told.append(waiting.popleft()[1])
        yield from core.step(batch.time, batch.readings, told)


def _tank(site: Site, name: str | None, config: Path) -> Tank:
    found = [tank for tank in site.tank if name in (None, tank.name)]
    names = ", ".join(tank.name for tank in site.tank)
    if not found:
        raise UserError(f"{config} has no tank {name!r}; it has: {names}")
    if len(found) > 1:
        raise UserError(f"{config} has several tanks: name one of {names} with --tank")
    return found[0]


def _print_lines(effects: Iterable[Effect]) -> None:
    encode = json.JSONEncoder(ensure_ascii=False, check_circular=False, separators=(",", ":")).encode
    lines = [encode(line_of(effect, float)) for effect in effects]
    sys.stdout.write("\n".join(lines) + "\n")
    sys.stdout.flush()


def _draw(effects: Iterable[Effect], tank: Tank, picture: Path) -> None:
    from drydown.plot.page import draw

    try:
        picture.write_text(draw(effects, tank, zone()), encoding="utf-8")
    except OSError as error:
        raise UserError(
            f"{picture} cannot be written ({error.strerror}): name a file in a folder that may be written"
        ) from None


def _print_report(effects: Iterable[Effect], tank: str) -> None:
    from rich.console import Console  # here, so that the lines need not wait for it

    from drydown.print_report import print_report
    from drydown.run.report import gather

    print_report(gather(effects), tank, zone(), Console())
