"""Files that people hand over: recorded runs, and the configuration. Each may be refused in a sentence."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

from drydown.bus.recorded import RecordedError, batches_of, read_run
from drydown.config.load import ConfigError, load
from drydown.errors import UserError
from fuzz.messages import SEEDS, TOPICS, senml
from fuzz.target import Target

EXAMPLE = Path(__file__).parents[2] / "deploy" / "boathouse.toml"
SENTENCE = 4000  # characters, at most


class Pack:
    """A file of one array."""

    suffix = ".senml"

    def __init__(self, folder: Path) -> None:
        self._path = folder / f"run{self.suffix}"

    def feed(self, payload: bytes) -> None:
        try:
            batches = batches_of(payload, self.suffix, TOPICS.base_name, "run")
        except RecordedError as error:
            _check_sentence(error)
            return
        assert batches
        assert all(one.time <= two.time for one, two in pairwise(batches))

    def check(self) -> None:
        self._path.write_bytes(senml()[0])
        assert len(read_run(self._path, TOPICS.base_name)) == 2


class Stream(Pack):
    """A file of one record a line."""

    suffix = ".sensml"

    def check(self) -> None:
        self._path.write_bytes(_streams()[0])
        assert len(read_run(self._path, TOPICS.base_name)) == 2


class Configuration:
    """The site's configuration, as every command loads it."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / "site.toml"

    def feed(self, payload: bytes) -> None:
        self._path.write_bytes(payload)
        try:
            load(self._path)
        except ConfigError as error:
            _check_sentence(error)

    def check(self) -> None:
        self._path.write_bytes(EXAMPLE.read_bytes())
        assert len(load(self._path).tank) == 2


def _check_sentence(error: UserError) -> None:
    told = str(error)
    assert told.replace("\n", "").isprintable(), ascii(told)
    assert len(told) <= SENTENCE, told[:SENTENCE]


def _streams() -> list[bytes]:
    lines = senml()[0][1:-1].replace(b"},{", b"}\n{")
    return [lines, b"[" + lines.replace(b"}\n", b"},\n") + b"\n]\n"]


def _configurations() -> Sequence[bytes]:
    return [EXAMPLE.read_bytes(), (SEEDS / "small.toml").read_bytes()]


@contextmanager
def _pack(folder: Path) -> Iterator[Pack]:
    yield Pack(folder)


@contextmanager
def _stream(folder: Path) -> Iterator[Stream]:
    yield Stream(folder)


@contextmanager
def _configuration(folder: Path) -> Iterator[Configuration]:
    yield Configuration(folder)


PACK = Target("senml", senml, _pack, share=130, few=200)
STREAM = Target("sensml", _streams, _stream, share=130, few=200)
CONFIGURATION = Target("configuration", _configurations, _configuration, share=30, few=20)
