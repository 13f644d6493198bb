"""What a record lacks for good: a stretch that its recorder never got, and that the watcher no longer keeps.

It is an event of the kind `store` with the ends of the stretch (Unix s) and the batches that are missing.
"""

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from drydown.bus.intake import Happening
from drydown.store.care import ASIDE
from drydown.store.lines import OF_THE_STORE
from drydown.store.read import EVER, Event, StoreReader

TOLD_FOR = 86_400.0  # s that it is told of: nothing mends it by itself, and then it stands in the record
LATEST = 1e11  # Unix s


@dataclass(frozen=True, slots=True)
class Lack:
    """Batches `first` to `last` are missing: what was said between two Unix times (s).

    `start` is None where nothing was recorded before; `found` is when it was noticed.
    """

    tank: str
    first: int
    last: int
    start: float | None
    end: float
    found: float

    def event(self) -> Happening:
        """As it is recorded: the same batches are one event, however often they are missed."""
        ends = {"start": self.start, "end": self.end, "first": self.first, "last": self.last}
        body = {"kind": OF_THE_STORE, "time": self.found, "message": self.told(), "lacks": ends}
        key = f"{self.tank}/{OF_THE_STORE}/lacks/{self.first}-{self.last}"
        return Happening(0, 0, OF_THE_STORE, round(self.found * 1000), key, json.dumps(body))

    def told(self) -> str:
        """What happened and what it means."""
        since = f"between {_moment(self.start)} and" if self.start is not None else "before"
        return (
            f"The record of {self.tank} lacks what came {since} {_moment(self.end)}: it was not recorded here"
            " and the watcher no longer keeps it. Mostly an older copy of the record was brought back"
        )

    def advice(self, store: Path) -> str:
        """The same, and what to do."""
        return (
            f"{self.told()}. Look for it in the record that was set aside ({store.name}.{ASIDE}-DATE in"
            f" {store.parent}) or in another recorder's, and keep that file. This is told for a day"
        )


def last_before(reader: StoreReader, tank: str, end: float) -> float | None:
    """When the last reading of a tank before a time was; both Unix s."""
    return max((one.time for one in reader.latest(tank).values() if one.time < end), default=None)


def lacks(reader: StoreReader, tank: str, since: float = EVER) -> list[Lack]:
    """What was found missing since a time, the oldest first."""
    events = reader.events(tank, since, LATEST, [OF_THE_STORE])
    return list(filter(None, map(_lack, events)))


def _lack(event: Event) -> Lack | None:
    ends: dict[str, Any] | None = event.body.get("lacks")
    return Lack(event.tank, found=event.time, **ends) if ends else None


def _moment(time: float) -> str:
    return f"{datetime.fromtimestamp(time).astimezone():%Y-%m-%d %H:%M:%S}"
