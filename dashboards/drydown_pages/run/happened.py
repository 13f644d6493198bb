"""What happened in a run, in order: stages, alarms, news, what moved the level, what people did and wrote."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from drydown.effects import Change, Priority
from drydown.estimate.result import Spread
from drydown.quality.results import results_of
from drydown.run.movement import LevelKind
from drydown.texts import alarms, logbook, quality, words
from drydown.texts.amounts import duration, litres, moment, ranged
from drydown.texts.language import later, say
from drydown.texts.notices import TITLES
from drydown.texts.sheets import SHEETS
from drydown_pages.run.record import Line, RunRecord

SIGNS = {Priority.EMERGENCY: "▲", Priority.HIGH: "△", Priority.LOW: "○"}
NEWS, MOVED, TESTED, NOTED, DONE, STAGED = "◆", "▽", "●", "✎", "·", "–"

STAGE, TOLD, LEVEL, DID = later("stage"), later("told"), later("level"), later("done")
TEST, ENTRY, NOTE = later("test"), later("entry"), later("note")
"""Kinds of what happened, in a word."""

STAGES = {
    "idle": later("The tank is at rest"),
    "settling": later("The fuel settles"),
    "bubbling": later("The blower bubbles air through it"),
    "paused": later("The blower pauses"),
    "resting": later("The fuel rests"),
    "ready": later("The fuel has rested"),
    "drawn": later("The fuel was drawn"),
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
    at: str  # the time of day, with the day where it is not the run's first


def happened(run: RunRecord, zone: tzinfo) -> tuple[Happening, ...]:
    """All of it; an alarm is one happening from when it was raised until it returned."""
    found = []
    for i, line in enumerate(run.events):
        for sign, kind, said, end in _told(run, line, run.events[i + 1 :]):
            found.append(
                Happening(line["time"], end, sign, kind, said, moment(line["time"], run.start, zone))
            )
    return tuple(found)


def _told(run: RunRecord, line: Line, after: Sequence[Line]) -> Iterator[tuple[str, str, str, float]]:
    now = float(line["time"])
    match line["kind"]:
        case "stage":
            stage = say(STAGES[line["stage"]])
            if line["by"] == "drydown":
                yield STAGED, STAGE, f"{stage}.", now
            else:
                yield STAGED, STAGE, say("{stage}, as {who} said.", stage=stage, who=line["by"]), now
        case "alarm" if line["change"] == Change.RAISED:
            yield _alarm(run, line, after)
        case "notice" if line["notice"] in TITLES:
            title = say(TITLES[line["notice"]], tank=run.tank.name).removeprefix(f"{run.tank.name}: ")
            yield NEWS, TOLD, f"{words.capital(title)}.", now
        case "level":
            volume = ranged(Spread(**line["volume"]), litres)
            what = words.capital(say(words.LEVELS[LevelKind(line["level"])]))
            yield MOVED, LEVEL, f"{what}: {volume}.", now
        case "supply":
            back = later("{who} gave the blower back.")
            did = say("drydown stopped the blower.") if line["cut"] else say(back, who=line["by"])
            yield DONE, DID, did, now
        case "command":
            yield from ((sign, kind, said, now) for sign, kind, said in _commanded(line))


def _alarm(run: RunRecord, line: Line, after: Sequence[Line]) -> tuple[str, str, str, float]:
    changes = (one for one in after if one["kind"] == "alarm" and one["alarm"] == line["alarm"])
    end = next((one["time"] for one in changes if one["change"] in ENDS_ALARM), None)
    priority = Priority(line["priority"])
    title = alarms.title(line["alarm"], line["cause"])
    if end is None:
        said = say("{alarm} – it still stands.", alarm=title)
    else:
        said = say("{alarm} – for {time}.", alarm=title, time=duration(end - line["time"]))
    return SIGNS[priority], words.PRIORITIES[priority], said, float(run.until if end is None else end)


def _commanded(line: Line) -> Iterator[tuple[str, str, str]]:
    who = line["who"]
    match line["command"]:
        case "bench-test":
            (test,) = results_of([line])
            yield TESTED, TEST, say("{who} tested the fuel: {found}.", who=who, found=quality.found(test))
        case "entry":
            is_test = line["entry"].endswith("-test")
            yield TESTED if is_test else NOTED, TEST if is_test else ENTRY, logbook.said(line)
        case "note":
            yield NOTED, NOTE, f"{who}: “{line['text']}”"
        case "acknowledge":
            yield DONE, DID, say("{who} has seen “{alarm}”.", who=who, alarm=_title(line["alarm"]))
        case "shelve":
            alarm, time = _title(line["alarm"]), duration(line["duration"])
            yield DONE, DID, say("{who} kept “{alarm}” quiet for {time}.", who=who, alarm=alarm, time=time)
        case "draw":
            yield DONE, DID, say("{who} said that fuel is drawn.", who=who)
        case "drain":
            yield DONE, DID, say("{who} said that something is drained from the bottom.", who=who)


def _title(alarm: str) -> str:
    return next((say(sheet.title) for (name, _), sheet in SHEETS.items() if name == alarm), alarm)
