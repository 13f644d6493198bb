"""A run in one file: its readings, what people told it, and its tank; a zip that `drydown replay` takes."""

import json
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import tomli_w

from drydown.bus.recorded import Batch, RecordedError, batches_of
from drydown.bus.senml_json import FILE, encode_stream
from drydown.commands import Command
from drydown.config.load import parse
from drydown.config.model import Site, Tank
from drydown.orders import OrderError, command_of
from drydown.quantities import MEASURED
from drydown.store.export import records_of_samples
from drydown.store.lines import recorded_lines
from drydown.store.read import StoreReader

READINGS, CONFIG, COMMANDS, LINES = "run.sensml", "site.toml", "commands.jsonl", "run.jsonl"
LEAD = 900.0  # s before the run's first stage: how the tank was at rest bears on the estimate
MOST_COMMANDS = 10_000
DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError)
"""What zipfile raises for files that are cut, changed, locked by a password, or no zip at all."""

ABOUT = """A run of drydown's tank {tank} at {site}.

run.sensml      every reading of every probe (SenML, RFC 8428, a record a line)
commands.jsonl  what people told drydown meanwhile
site.toml       the tank as it was configured when this file was made
run.jsonl       what drydown made of it: readings, estimates, stages, alarms, notices, an object a line

`drydown replay FILE.zip` goes through it once more.
"""


@dataclass(frozen=True, slots=True)
class Archive:
    """What is in the file, as far as it is gone through once more. Times are Unix times, s."""

    site: Site
    tank: Tank
    run: list[Batch]
    commands: list[tuple[float, Command]]


def write_archive(
    file: IO[bytes], reader: StoreReader, site: Site, tank: Tank, start: float, end: float
) -> None:
    """The run from `start` to `end`, Unix times, with what led up to it."""
    base_name, first = f"{site.site}/{tank.name}/", start - LEAD
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("README.txt", ABOUT.format(tank=tank.name, site=site.site))
        archive.writestr(CONFIG, tomli_w.dumps(_plain(site, tank)))
        samples = reader.samples(tank.name, first, end, list(MEASURED))
        _write(archive, READINGS, encode_stream(records_of_samples(samples, base_name), base_name))
        told = reader.events(tank.name, first, end, ["command"], limit=MOST_COMMANDS)
        _write(archive, COMMANDS, (_line(event.body) for event in told))
        _write(archive, LINES, map(_line, recorded_lines(reader, tank.name, first, end)))


def read_archive(path: Path) -> Archive:
    """What `write_archive` wrote. Raises RecordedError and ConfigError."""
    try:
        with zipfile.ZipFile(path) as archive:
            texts = {name: _read(archive, name, path) for name in (CONFIG, READINGS, COMMANDS)}
    except FileNotFoundError:
        raise RecordedError(f"{path} is not there, or is not a file") from None
    except OSError as error:
        raise RecordedError(f"{path} cannot be read: {error.strerror}") from None
    except DAMAGED as error:
        raise RecordedError(f"{path} is damaged, or no zip file: {error}") from None
    site = parse(texts[CONFIG].decode("utf-8", "replace"), f"{path} {CONFIG}")
    tank = site.tank[0]
    run = batches_of(texts[READINGS], Path(READINGS).suffix, f"{site.site}/{tank.name}/", str(path))
    return Archive(site, tank, run, list(_commands(texts[COMMANDS], path)))


def _plain(site: Site, tank: Tank) -> dict[str, object]:
    """The tank as a configuration of its own: addresses and secrets of the site are nobody's business."""
    return {
        "site": site.site,
        "tank": [tank.model_dump(mode="json", exclude_none=True, exclude_defaults=True)],
    }


def _line(body: dict[str, object]) -> bytes:
    return json.dumps(body, ensure_ascii=False).encode() + b"\n"


def _write(archive: zipfile.ZipFile, name: str, pieces: Iterable[bytes]) -> None:
    with archive.open(name, "w", force_zip64=True) as file:
        for piece in pieces:
            file.write(piece)


def _read(archive: zipfile.ZipFile, name: str, path: Path) -> bytes:
    try:
        info = archive.getinfo(name)
    except KeyError:
        raise RecordedError(f"{path} holds no {name}: it is no run of drydown's") from None
    if info.file_size > FILE.size:
        raise RecordedError(f"{path}: {name} has {info.file_size} bytes; allowed are {FILE.size}")
    with archive.open(info) as file:
        return file.read(FILE.size + 1)


def _commands(text: bytes, path: Path) -> Iterator[tuple[float, Command]]:
    for number, line in enumerate(text.splitlines(), 1):
        try:
            body = json.loads(line)
            yield float(body["time"]), command_of(body)
        except (ValueError, TypeError, KeyError, OrderError) as error:
            raise RecordedError(f"{path}: {COMMANDS} line {number} is no command: {error}") from None
