"""Prints the report of a run on a terminal."""

from collections.abc import Callable
from datetime import datetime, tzinfo

from rich.console import Console
from rich.table import Table
from rich.text import Text

from drydown.effects import Change, LevelEvent
from drydown.estimate.result import Estimate, Spread
from drydown.physics.vapour_limits import EXPOSURE_LIMIT
from drydown.run import room_peaks
from drydown.run.report import Doubt, RunReport, selected
from drydown.run.room_peaks import RoomPeaks
from drydown.texts import advice, alarms, amounts, notices, plan, words
from drydown.texts.amounts import clock, duration

ROWS = 16

Row = tuple[str, str]
"""A time of day or nothing, and a text."""

AIR: tuple[tuple[str, str, Callable[[float], str]], ...] = (
    (room_peaks.ROOM, "most methanol in the room: {}", amounts.parts_per_million),
    (room_peaks.OFF_GAS, "most in the gas from the fuel: {} of what can burn", amounts.share),
    (room_peaks.NEEDED, "{} of fresh air it would have taken to breathe there", amounts.air_flow),
)
"""What of the room's peaks is told, how, and in which unit."""


def print_report(report: RunReport, tank: str, zone: tzinfo, console: Console) -> None:
    """Print it. Times of the report are Unix times; `zone` is where the tank stands."""
    day = datetime.fromtimestamp(report.first, zone).strftime("%-d %B %Y")
    span = f"{clock(report.first, zone)} to {clock(report.last, zone)}"
    console.print(f"\n[bold]Run of {tank}, {day}, {span}[/bold]")
    console.print(_summary(report))
    console.print(_estimates(report, zone))
    for title, rows in (
        ("Before it began", _planned_rows(report, zone)),
        ("What would have helped", _advice_rows(report, zone)),
        ("Air", _room_rows(report.room, zone)),
        ("Stages", [(clock(s.time, zone), f"{s.stage} ({s.by})") for s in report.stages]),
        ("Fuel that came and went", [_level_row(one, zone) for one in report.levels]),
        ("Told", [_milestone(m.kind, tank, m.time, zone) for m in report.milestones]),
        ("Alarms", _alarm_rows(report, zone) or [("", "none")]),
        ("Not watched", [("", alarms.NOT_WATCHED[name]) for name in report.not_watched]),
        ("Readings that were not believed", [_doubt_row(doubt, zone) for doubt in report.doubts]),
        ("Mind", [("", notices.CAUTION), ("", notices.CONFIRM)]),
    ):
        if rows:
            console.print(f"\n[bold]{title}[/bold]")
            console.print(_grid(rows))


def _grid(rows: list[Row]) -> Table:
    grid = Table.grid(padding=(0, 2, 0, 0))
    for time, text in rows:
        grid.add_row(Text(f"  {time}" if time else ""), Text(text))
    return grid


def _summary(report: RunReport) -> str:
    parts = [f"Blower run time {duration(report.run_time)}"]
    if report.volume is not None and report.drawable is not None:
        volume, drawable = report.volume * 1000, report.drawable * 1000
        parts.append(f"{volume:.0f} L of fuel at 15 °C, {drawable:.0f} L above the standpipe")
    return "; ".join(parts) + "."


def _estimates(report: RunReport, zone: tzinfo) -> Table:
    table = Table(
        title="What was believed (90 % range)", title_justify="left", box=None, padding=(0, 1, 0, 0)
    )
    for heading in ("Time", "Bubbled", "Methanol, %", "Water, mg/kg", "Dry at", "Verdict"):
        table.add_column(heading, no_wrap=True)
    for estimate in selected(report.estimates, ROWS):
        table.add_row(*_row(estimate, zone))
    return table


def _row(estimate: Estimate, zone: tzinfo) -> tuple[str, ...]:
    end = estimate.dry_at
    return (
        clock(estimate.time, zone),
        duration(estimate.run_time),
        _content(estimate.methanol, 100, least=0.01),
        _content(estimate.water, 1e6, least=1.0),
        clock(end.median, zone) if end else "–",
        words.VERDICTS[estimate.verdict],
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


def _planned_rows(report: RunReport, zone: tzinfo) -> list[Row]:
    """What was foreseen at the last moment before the blower first ran."""
    before = [estimate for estimate in report.estimates if estimate.run_time == 0.0 and estimate.plan]
    if not before:
        return []
    foreseen = [plan.started_now(before[-1].plan), *plan.changes(before[-1].plan)]
    return [(clock(before[-1].time, zone) if i == 0 else "", said) for i, said in enumerate(foreseen)]


def _advice_rows(report: RunReport, zone: tzinfo) -> list[Row]:
    """Each kind of advice as it was last given."""
    last = {piece.kind: (estimate, piece) for estimate in report.estimates for piece in estimate.advice}
    return [
        (clock(estimate.time, zone), advice.sentence(piece, estimate.time, zone))
        for estimate, piece in last.values()
    ]


def _room_rows(room: RoomPeaks, zone: tzinfo) -> list[Row]:
    rows = [
        (clock(peak.time, zone), said.format(amounts.ranged(peak.spread, words)))
        for name, said, words in AIR
        if (peak := room.peaks.get(name)) and peak.spread.high > 0
    ]
    if rows and room.present:
        present = amounts.ranged(room.present, amounts.air_flow)
        rows.append(("", f"{present} of fresh air came in"))
    if room.above_until is not None:
        limit = amounts.parts_per_million(EXPOSURE_LIMIT)
        rows.append((clock(room.above_until, zone), f"until then the room held more than {limit}"))
    return rows


def _milestone(kind: str, tank: str, time: float, zone: tzinfo) -> Row:
    return clock(time, zone), notices.TITLES[kind].format(tank=tank)


def _level_row(event: LevelEvent, zone: tzinfo) -> Row:
    volume = amounts.ranged(event.volume, amounts.litres)
    told = f"{words.LEVELS[event.kind]}, {volume} at 15 °C, until {clock(event.time, zone)}"
    return clock(event.start, zone), f"{told} ({event.by})" if event.by else told


def _alarm_rows(report: RunReport, zone: tzinfo) -> list[Row]:
    told = [changed for changed in report.alarms if changed.change in (Change.RAISED, Change.RETURNED)]
    return [(clock(changed.time, zone), f"{changed.priority}: {alarms.message(changed)}") for changed in told]


def _doubt_row(doubt: Doubt, zone: tzinfo) -> Row:
    count = "once" if doubt.count == 1 else f"{doubt.count} times"
    span = f"{clock(doubt.first, zone)} to {clock(doubt.last, zone)}"
    return span, f"{words.probe(doubt.probe)}, {count} {doubt.quality}: {doubt.reason}"
