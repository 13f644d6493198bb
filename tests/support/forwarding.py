"""A site with a store that a test fills as a recorder would, and `drydown forward` on it."""

from collections.abc import Iterable
from contextlib import AbstractContextManager
from pathlib import Path

from drydown.bus.intake import Happening, Judgement, Row
from drydown.config.load import load
from drydown.config.model import Site
from drydown.forward.service import ForwardService
from drydown.store.write import StoreWriter
from support.on_thread import on_thread
from support.site_file import write_site

START = 1_789_200_000_000  # Unix ms
DAY = 86_400_000
TOKEN = "word-of-the-harbour"
UNITS = {"fuel/temperature": "Cel", "estimate/methanol": "/", "estimate/methanol/low": "/"}
NAMES = tuple(UNITS)

FORWARD = """
[forward]
url = "{url}"
org = "co-op"
bucket = "{bucket}"
token_file = "{token}"
"""


class Shed:
    """The site boathouse with the tank heron; `writer` is its recorder."""

    def __init__(self, folder: Path, url: str, more: str = "", bucket: str = "fuel") -> None:
        self.token = folder / "token"
        self.token.write_text(TOKEN + "\n")
        self.config = write_site(folder, "boathouse", ["heron"], 1883)
        forward = FORWARD.format(url=url, bucket=bucket, token=self.token)
        # the tables of the site stand before those of the tank
        self.config.write_text(self.config.read_text() + forward + more)
        self.site: Site = load(self.config)
        self.writer = StoreWriter(self.site.store_path)

    def record(self, rows: Iterable[Row], events: Iterable[Happening] = ()) -> None:
        """One commit."""
        self.writer.add_rows("heron", rows)
        for event in events:
            self.writer.add_event("heron", event)
        self.writer.commit({})

    def judge(self, name: str, time: int, reason: str) -> None:
        """One commit: a reading turns out to be bad."""
        self.writer.add_judgements("heron", [Judgement(name, time, "bad", reason)])
        self.writer.commit({})

    def record_days(self, days: float, step: int = 60_000) -> list[tuple[int, float]]:
        """So many days, a commit an hour; returns time and value, which are the same for each name."""
        told: list[tuple[int, float]] = []
        for hour in range(round(days * 24)):
            begin = START + hour * 3_600_000
            moments = [(time, value_at(time)) for time in range(begin, begin + 3_600_000, step)]
            self.record(
                (row(name, time, value) for time, value in moments for name in NAMES),
                [stage(begin, "bubbling")],
            )
            told += moments
        return told


def row(name: str, time: int, value: float) -> Row:
    """A number."""
    return name, UNITS[name], "number", time, value, None


def value_at(time: int) -> float:
    """Another one for each minute of three days."""
    return (time - START) / 60_000 * 0.25 + 0.125


def stage(time: int, name: str) -> Happening:
    """An event."""
    body = f'{{"kind": "stage", "time": {time / 1000}, "stage": "{name}", "by": "drydown"}}'
    return Happening(0, 0, "stage", time, f"heron/stage/{time}/{name}", body)


def forwarding(site: Site) -> AbstractContextManager[ForwardService]:
    """The sender in a thread of the test."""
    return on_thread(ForwardService(site))
