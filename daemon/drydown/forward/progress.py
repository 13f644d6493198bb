"""How far sending has come: a small file in the site's folder, which outlives the process."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from drydown.config.services import Forward
from drydown.store.arrived import Row, Span


@dataclass(frozen=True, slots=True)
class Place:
    """All that had come into the store by `row` of its list was sent, but for the spans `ahead`."""

    row: Row
    ahead: tuple[Span, ...] = ()


@dataclass(frozen=True, slots=True)
class Progress:
    """The place, at which server, and what a person should hear of (empty while there is nothing)."""

    server: str
    place: Place | None = None
    trouble: str = ""


def progress_path(folder: Path) -> Path:
    """Where it stands."""
    return folder / "forward.json"


def refused_path(folder: Path) -> Path:
    """Where the points stand that a server refused."""
    return folder / "forward-refused.txt"


def named(forward: Forward) -> str:
    """The server and the bucket, as one word: what was sent to another one has to be sent anew."""
    return f"{forward.url.rstrip('/')} {forward.org}/{forward.bucket}"


def line_of(progress: Progress) -> dict[str, Any]:
    """The progress as it is kept."""
    place = progress.place
    kept = None if place is None else {"row": list(place.row), "ahead": [list(span) for span in place.ahead]}
    return {"server": progress.server, "trouble": progress.trouble, "place": kept}


def progress_of(line: Any) -> Progress:
    """The progress that was kept so. Raises ValueError, KeyError, TypeError or AttributeError."""
    place = None
    if line["place"] is not None:
        number, *span = line["place"]["row"]
        place = Place((int(number), *_span(span)), tuple(map(_span, line["place"]["ahead"])))
    return Progress(str(line["server"]), place, str(line["trouble"]))


def read_progress(folder: Path) -> Progress | None:
    """What the file says; None where there is none, or none that can be understood."""
    try:
        return progress_of(json.loads(progress_path(folder).read_bytes()))
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def forward_trouble(folder: Path, forward: Forward | None) -> str:
    """What a person should hear of the sending on to a server; empty while there is nothing, or no server."""
    progress = read_progress(folder) if forward else None
    return progress.trouble if forward and progress and progress.server == named(forward) else ""


def _span(parts: Any) -> Span:
    tank, first, last = parts
    return str(tank), int(first), int(last)
