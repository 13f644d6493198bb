"""`drydown COMMAND`: finds the command in a table, runs it with its options, turns its errors into words.

Each command stands in a module of its own, which is imported only when it is called. It gets the parsed
options and returns an exit code: 0 for done, 2 for what the user has to mend, 130 for Ctrl-C.
"""

import argparse
import io
import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from drydown.errors import UserError

DEFAULT_CONFIG = Path("/etc/drydown/site.toml")
FAULT, INTERRUPTED, PIPE_CLOSED = 2, 130, 141  # the latter two are what a shell gives for SIGINT and SIGPIPE

CAUTION = "Not a certified gas detector and no safety system: ventilate, keep sparks away, test the fuel."


@dataclass(frozen=True, slots=True)
class Command:
    """A command: where its function is, what it does, and what adds its options."""

    target: str  # "module:function"
    purpose: str
    add_options: Callable[[argparse.ArgumentParser], None]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command that the arguments name, by default those of the process; returns the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(
                errors="replace"
            )  # a terminal that lacks a character shows another in its place
    options = _parser().parse_args(arguments)
    # numpy's BLAS would share out matrices of 30 by 30 among threads that then wait for each other: on a busy
    # board an estimate took ten times as long. To be said before numpy is imported.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        code = _function(COMMANDS[options.command].target)(options)
        sys.stdout.flush()
    except UserError as error:
        print(error, file=sys.stderr)
        return FAULT
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _forget_output()
        return PIPE_CLOSED
    except OSError as error:
        _forget_output()
        print(f"drydown {options.command}: {error.strerror}: {error.filename or 'output'}", file=sys.stderr)
        return FAULT
    return code


def _forget_output() -> None:
    """What is left to write goes nowhere, so that leaving the process does not try again."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _function(target: str) -> Callable[[argparse.Namespace], int]:
    module, _, name = target.partition(":")
    function: Callable[[argparse.Namespace], int] = getattr(import_module(module), name)
    return function


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="drydown",
        description="Watches a biodiesel finishing tank: how dry the fuel is, how sure, and what is wrong.",
        epilog=CAUTION,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="print the version and exit")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, command in COMMANDS.items():
        own = commands.add_parser(
            name, help=command.purpose, description=f"{command.purpose[0].upper()}{command.purpose[1:]}."
        )
        command.add_options(own)
    return parser


class _Version(argparse.Action):
    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import version  # slow, and rarely asked for

        print("drydown", version("drydown"))
        parser.exit()


def _config(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--config",
        type=_file,
        default=DEFAULT_CONFIG,
        metavar="FILE",
        help=f"the site's configuration (default: {DEFAULT_CONFIG})",
    )


def _copy(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="the copy of the record")
    _config(parser)


def _serve(parser: argparse.ArgumentParser) -> None:
    _config(parser)
    parser.add_argument("--host", metavar="ADDRESS", help="listen here instead of where [serve] says")
    parser.add_argument("--port", type=_port, metavar="N", help="listen on this port instead")


def _replay(parser: argparse.ArgumentParser) -> None:
    kinds = "a recorded run: .senml, .sensml, or a .zip that the pages gave"
    parser.add_argument("run", type=Path, metavar="RUN", help=kinds)
    _config(parser)
    parser.add_argument("--tank", metavar="NAME", help="the tank that the run is of, if the site has several")
    parser.add_argument(
        "--json", action="store_true", help="print one JSON object a line instead of a report"
    )
    parser.add_argument("--plot", type=_picture, metavar="FILE", help="draw the run too, into this .svg file")


def _demo(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--once", action="store_true", help="run one batch as fast as can be, print its report, and exit"
    )
    parser.add_argument("--port", type=_port, metavar="N", help="serve the pages on this port")


def _check(parser: argparse.ArgumentParser) -> None:
    _config(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object a line")
    parser.add_argument("--notify", action="store_true", help="send a marked test on each notice route")
    parser.add_argument("--touch", action="store_true", help="say which 1-Wire probe you warm in your hand")
    parser.add_argument(
        "--calibrate",
        metavar="PROBE",
        help='find the line through known values of a probe, e.g. "fuel/level"',
    )


def _token(parser: argparse.ArgumentParser) -> None:
    deeds = parser.add_subparsers(dest="deed", metavar="DEED", required=True)
    make = deeds.add_parser("make", help="let one more phone or program in; shows the token once")
    make.add_argument("name", metavar="NAME", help='whose it is, like "Wren\'s phone"')
    make.add_argument(
        "--may", choices=("view", "operate"), default="view", help="look only (as is), or give commands too"
    )
    revoke = deeds.add_parser("revoke", help="let a phone or program in no more")
    revoke.add_argument("name", metavar="NAME", help="whose it is")
    listing = deeds.add_parser("list", help="say whom the pages let in")
    for deed in (make, revoke, listing):
        _config(deed)


def _file(text: str) -> Path:
    if not text:
        raise argparse.ArgumentTypeError("it names no file; allowed is the path of a TOML file")
    return Path(text)


def _picture(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() != ".svg":
        raise argparse.ArgumentTypeError(
            f"a run is drawn as SVG; allowed is a name that ends in .svg: {text}"
        )
    return path


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text[:6]) <= 65535:
        raise argparse.ArgumentTypeError(f"{text[:20]!r} is not a port; allowed is 1 to 65535")
    return int(text)


COMMANDS = {
    "watch": Command("drydown.watch:main", "read the probes, raise alarms, send notices", _config),
    "record": Command("drydown.record:main", "keep what the watcher says in the store", _config),
    "forward": Command("drydown.forward.service:main", "send the record on to another server", _config),
    "backup": Command("drydown.store.commands:main_backup", "copy the record while it is written", _copy),
    "restore": Command("drydown.store.commands:main_restore", "bring a copy of the record back", _copy),
    "serve": Command("drydown_api.serve:main", "serve the pages and the API", _serve),
    "token": Command("drydown_api.token_command:main", "say who may see the pages from elsewhere", _token),
    "replay": Command("drydown.replay:main", "run a recorded run through the same core", _replay),
    "demo": Command("drydown.demo.main:main", "show everything with a simulated tank", _demo),
    "check": Command("drydown.check:main", "say what works, and what to mend", _check),
}
