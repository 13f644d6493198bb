"""The report of a run in words, for a terminal and for paper: lines, and what was believed when."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from functools import partial
from typing import Any

from drydown.config.model import Tank
from drydown.effects import Change, LevelEvent
from drydown.estimate.result import Estimate, Spread
from drydown.physics.vapour_limits import (
    EXPOSURE_LIMIT,
    LOWER_FLAMMABLE_LIMIT,
    SAFE_SHARE_OF_LOWER_LIMIT,
    SHORT_EXPOSURE_LIMIT,
)
from drydown.quality.results import results_of
from drydown.reading import Quality
from drydown.run import room_peaks
from drydown.run.report import Doubt, RunReport, selected
from drydown.run.room_peaks import RoomPeaks
from drydown.texts import advice, alarms, amounts, notices, plan, quality, words
from drydown.texts.amounts import clock, date, duration, moment, span
from drydown.texts.language import counted, later, say

Row = tuple[str, str]
"""A time of day or nothing, and a text."""

At = Callable[[float], str]
"""Says when something was (Unix s): with its day where it is another than the report's first."""

BELIEVED = later("What was believed (90 % range)")
CAUTIONS = later("Mind")
HEADINGS = (
    later("Time"),
    later("Bubbled"),
    later("Methanol, %"),
    later("Water, mg/kg"),
    later("Dry at"),
    later("Verdict"),
)
TIMES = (HEADINGS[0], HEADINGS[4])
"""What stands below them has its day with it after midnight, and is longer then."""

QUALITIES = {Quality.GOOD: later("good"), Quality.DOUBTFUL: later("doubtful"), Quality.BAD: later("bad")}

AIR: tuple[tuple[str, str, Callable[[float], str]], ...] = (
    (room_peaks.ROOM, later("most methanol in the room: {amount}"), amounts.parts_per_million),
    (room_peaks.OFF_GAS, later("most in the gas from the fuel: {amount} of what can burn"), amounts.share),
    (
        room_peaks.NEEDED,
        later("{amount} of fresh air it would have taken to breathe there"),
        amounts.air_flow,
    ),
)
"""What of the room's peaks is told, how, and in which unit."""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the report; it is left out where it has no rows."""

    title: str
    rows: list[Row]


def title(report: RunReport, tank: str, zone: tzinfo) -> str:
    """Which run it is. Times of the report are Unix times; `zone` is where the tank stands."""
    return say(
        "Run of {tank}, {day}, {start} to {end}",
        tank=tank,
        day=date(report.first, zone),
        start=clock(report.first, zone),
        end=moment(report.last, report.first, zone),
    )


def sections(report: RunReport, tank: str, zone: tzinfo) -> list[Section]:
    """All that happened, in the order in which it is asked for; those without rows left out."""
    at = partial(moment, first=report.first, zone=zone)
    found = [
        Section(say("Before it began"), _planned_rows(report, at)),
        Section(say("What would have helped"), _advice_rows(report, at, zone)),
        Section(say("Air"), _room_rows(report.room, at)),
        Section(say("Stages"), [(at(s.time), f"{say(s.stage)} ({s.by})") for s in report.stages]),
        Section(say("Fuel that came and went"), [_level_row(one, at) for one in report.levels]),
        Section(say("Told"), [_milestone(m.kind, tank, m.time, at) for m in report.milestones]),
        Section(say("Alarms"), _alarm_rows(report, at) or [("", say("none"))]),
        Section(say("Not watched"), [("", say(alarms.NOT_WATCHED[name])) for name in report.not_watched]),
        Section(say("Readings that were not believed"), [_doubt_row(doubt, at) for doubt in report.doubts]),
        Section(say(CAUTIONS), [("", say(notices.CAUTION)), ("", say(notices.CONFIRM))]),
    ]
    return [section for section in found if section.rows]


def limits(tank: Tank) -> list[str]:
    """What was held against what."""
    at_most, fuel = tank.limits, tank.fuel
    share = amounts.share(SAFE_SHARE_OF_LOWER_LIMIT)
    burns, breathed = amounts.share(LOWER_FLAMMABLE_LIMIT), amounts.parts_per_million(EXPOSURE_LIMIT)
    short = amounts.parts_per_million(SHORT_EXPOSURE_LIMIT)
    return [
        say(
            "Fuel: methanol {methanol}, water {water}.",
            methanol=amounts.methanol_content(fuel.methanol_limit),
            water=amounts.water_content(fuel.water_limit),
        ),
        say(
            "Heat: fuel {fuel}, air from the blower {air}, its motor {motor}.",
            fuel=amounts.celsius(at_most.fuel_temperature),
            air=amounts.celsius(at_most.discharge_temperature),
            motor=amounts.celsius(at_most.motor_temperature),
        ),
        say(
            "Room: {share} of the {burns} of methanol in air that can burn; {breathed} to breathe for a "
            "working day, {short} for 15 minutes.",
            share=share,
            burns=burns,
            breathed=breathed,
            short=short,
        ),
        say("Blower: at most {time} in one stretch.", time=duration(tank.blower.longest_run)),
    ]


def not_measured(measured: Collection[str]) -> list[str]:
    """What no probe told in the run, by what it would have been good for."""
    return [f"{words.capital(say(words.WATCHED[name]))}." for name in words.WATCHED if name not in measured]


def tests(lines: Iterable[Mapping[str, Any]], at: At) -> list[Row]:
    """Tests of the fuel that people entered, when their samples were taken."""
    return [
        (at(one.time), say("{found}, entered by {who}", found=quality.found(one), who=one.who))
        for one in results_of(lines)
    ]


def notes(lines: Iterable[Mapping[str, Any]], at: At) -> list[Row]:
    """What people wrote down."""
    told = [line for line in lines if line["command"] == "note"]
    return [(at(line["time"]), f"{line['text']} ({line['who']})") for line in told]


def beliefs(estimates: Iterable[Estimate], rows: int, at: At) -> list[tuple[str, ...]]:
    """About so many of them, a cell for each heading."""
    return [_row(estimate, at) for estimate in selected(list(estimates), rows)]


def summary(report: RunReport) -> str:
    """How long it bubbled, and what is in the tank now."""
    parts = [say("Blower run time {time}", time=duration(report.run_time))]
    if report.volume is not None and report.drawable is not None:
        volume, drawable = (f"{one * 1000:.0f} L" for one in (report.volume, report.drawable))
        parts.append(
            say("{volume} of fuel at 15 °C, {drawable} above the standpipe", volume=volume, drawable=drawable)
        )
    return "; ".join(parts) + "."


def _row(estimate: Estimate, at: At) -> tuple[str, ...]:
    end = estimate.dry_at
    return (
        at(estimate.time),
        duration(estimate.run_time),
        _content(estimate.methanol, 100, least=0.01),
        _content(estimate.water, 1e6, least=1.0),
        at(end.median) if end else "–",
        say(words.VERDICTS[estimate.verdict]),
    )


def _content(spread: Spread | None, factor: float, least: float) -> str:
    """With its range, in the unit of the column; nothing below the least that is worth telling."""
    if spread is None:
        return "–"
    middle, low, high = (
        amounts.significant(value * factor, 2) if value * factor >= least else f"<{least:g}"
        for value in (spread.median, spread.low, spread.high)
    )
    return middle if low == middle == high else f"{middle} ({low}–{high})"


def _planned_rows(report: RunReport, at: At) -> list[Row]:
    """What was foreseen at the last moment before the blower first ran."""
    before = [estimate for estimate in report.estimates if estimate.run_time == 0.0 and estimate.plan]
    if not before:
        return []
    foreseen = [plan.started_now(before[-1].plan), *plan.changes(before[-1].plan)]
    return [(at(before[-1].time) if i == 0 else "", said) for i, said in enumerate(foreseen)]


def _advice_rows(report: RunReport, at: At, zone: tzinfo) -> list[Row]:
    """Each kind of advice as it was last given."""
    last = {piece.kind: (estimate, piece) for estimate in report.estimates for piece in estimate.advice}
    return [
        (at(estimate.time), advice.sentence(piece, estimate.time, zone)) for estimate, piece in last.values()
    ]


def _room_rows(room: RoomPeaks, at: At) -> list[Row]:
    rows = [
        (at(peak.time), say(said, amount=amounts.ranged(peak.spread, words)))
        for name, said, words in AIR
        if (peak := room.peaks.get(name)) and peak.spread.high > 0
    ]
    if rows and room.present:
        present = amounts.ranged(room.present, amounts.air_flow)
        rows.append(("", say("{air} of fresh air came in", air=present)))
    if room.above_until is not None:
        limit = amounts.parts_per_million(EXPOSURE_LIMIT)
        rows.append((at(room.above_until), say("until then the room held more than {limit}", limit=limit)))
    return rows


def _milestone(kind: str, tank: str, time: float, at: At) -> Row:
    return at(time), say(notices.TITLES[kind], tank=tank)


def _level_row(event: LevelEvent, at: At) -> Row:
    volume = amounts.ranged(event.volume, amounts.litres)
    told = say(
        "{what}, {volume} at 15 °C, until {time}",
        what=say(words.LEVELS[event.kind]),
        volume=volume,
        time=at(event.time),
    )
    return at(event.start), f"{told} ({event.by})" if event.by else told


def _alarm_rows(report: RunReport, at: At) -> list[Row]:
    told = [changed for changed in report.alarms if changed.change in (Change.RAISED, Change.RETURNED)]
    return [
        (at(changed.time), f"{say(words.PRIORITIES[changed.priority])}: {alarms.message(changed)}")
        for changed in told
    ]


def _doubt_row(doubt: Doubt, at: At) -> Row:
    told = say(
        "{probe}, {times} {quality}: {reason}",
        probe=words.probe(doubt.probe),
        times=counted("once", "{count} times", doubt.count),
        quality=say(QUALITIES[doubt.quality]),
        reason=doubt.reason,
    )
    return span(at(doubt.first), at(doubt.last)), told
