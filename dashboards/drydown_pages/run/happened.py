"""What happened in a run, in order: stages, alarms, news, what moved the level, what people did and wrote."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from drydown.effects import Change, Priority
from drydown.estimate.result import Spread
from drydown.quality.results import results_of
from drydown.run.movement import LevelKind
from drydown.texts import logbook, quality, words
from drydown.texts.amounts import clock, duration, litres, ranged
from drydown.texts.notices import TITLES
from drydown.texts.sheets import SHEETS
from drydown_pages.cards import PRIORITIES
from drydown_pages.run.record import Line, RunRecord

SIGNS = {Priority.EMERGENCY: "▲", Priority.HIGH: "△", Priority.LOW: "○"}
NEWS, MOVED, TESTED, NOTED, DONE, STAGED = "◆", "▽", "●", "✎", "·", "–"

STAGES = {
    "idle": "The tank is at rest",
    "settling": "The fuel settles",
    "bubbling": "The blower bubbles air through it",
    "paused": "The blower pauses",
    "resting": "The fuel rests",
    "ready": "The fuel has rested",
    "drawn": "The fuel was drawn",
}
ENDS_ALARM = (Change.RETURNED, Change.RAISED)


@dataclass(frozen=True, slots=True)
class Happening:
    """One thing that happened, or stood until `end` (Unix s): `kind` in a word, and a sentence."""

    time: float
    end: float
    sign: str
    kind: str
    said: str
    at: str  # the time of day


def happened(run: RunRecord, zone: tzinfo) -> tuple[Happening, ...]:
    """All of it; an alarm is one happening from when it was raised until it returned."""
    found = []
    for i, line in enumerate(run.events):
        for sign, kind, said, end in _told(run, line, run.events[i + 1 :]):
            found.append(Happening(line["time"], end, sign, kind, said, clock(line["time"], zone)))
    return tuple(found)


def _told(run: RunRecord, line: Line, later: Sequence[Line]) -> Iterator[tuple[str, str, str, float]]:
    now = float(line["time"])
    match line["kind"]:
        case "stage":
            by = "" if line["by"] == "drydown" else f", as {line['by']} said"
            yield STAGED, "stage", f"{STAGES[line['stage']]}{by}.", now
        case "alarm" if line["change"] == Change.RAISED:
            yield _alarm(run, line, later)
        case "notice" if line["notice"] in TITLES:
            title = TITLES[line["notice"]].removeprefix("{tank}: ")
            yield NEWS, "told", f"{title[0].upper()}{title[1:]}.", now
        case "level":
            volume = ranged(Spread(**line["volume"]), litres)
            what = words.LEVELS[LevelKind(line["level"])]
            yield MOVED, "level", f"{what[0].upper()}{what[1:]}: {volume}.", now
        case "supply":
            did = "drydown stopped the blower" if line["cut"] else f"{line['by']} gave the blower back"
            yield DONE, "done", f"{did[0].upper()}{did[1:]}.", now
        case "command":
            yield from ((sign, kind, said, now) for sign, kind, said in _commanded(line))


def _alarm(run: RunRecord, line: Line, later: Sequence[Line]) -> tuple[str, str, str, float]:
    changes = (one for one in later if one["kind"] == "alarm" and one["alarm"] == line["alarm"])
    end = next((one["time"] for one in changes if one["change"] in ENDS_ALARM), None)
    priority = Priority(line["priority"])
    title = SHEETS[line["alarm"], line["cause"]].title
    stood = "it still stands" if end is None else f"for {duration(end - line['time'])}"
    mark = "" if title.endswith("?") else ";"
    said = f"{title}{mark} {stood}."
    return SIGNS[priority], PRIORITIES[priority].lower(), said, float(run.until if end is None else end)


def _commanded(line: Line) -> Iterator[tuple[str, str, str]]:
    who = line["who"]
    match line["command"]:
        case "bench-test":
            (test,) = results_of([line])
            yield TESTED, "test", f"{who} tested the fuel: {quality.found(test)}."
        case "entry":
            is_test = line["entry"].endswith("-test")
            yield TESTED if is_test else NOTED, "test" if is_test else "entry", logbook.said(line)
        case "note":
            yield NOTED, "note", f"{who}: “{line['text']}”"
        case "acknowledge":
            yield DONE, "done", f"{who} has seen “{_title(line['alarm'])}”."
        case "shelve":
            while_ = duration(line["duration"])
            yield DONE, "done", f"{who} kept “{_title(line['alarm'])}” quiet for {while_}."
        case "draw":
            yield DONE, "done", f"{who} said that fuel is drawn."
        case "drain":
            yield DONE, "done", f"{who} said that something is drained from the bottom."


def _title(alarm: str) -> str:
    return next((sheet.title for (name, _), sheet in SHEETS.items() if name == alarm), alarm)
