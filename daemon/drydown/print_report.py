"""Prints the report of a run on a terminal."""

from datetime import datetime, tzinfo

from rich.console import Console
from rich.table import Table

from drydown.effects import Change
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.run.report import Doubt, RunReport, selected
from drydown.texts import alarms, amounts, notices, words

ROWS = 16

VERDICTS = {
    Verdict.UNKNOWN: "cannot tell",
    Verdict.DRYING: "drying",
    Verdict.DRY: "dry",
    Verdict.AIR_LIMITED: "no drier in this air",
    Verdict.WETTING: "the air wets it",
}


def print_report(report: RunReport, tank: str, zone: tzinfo, console: Console) -> None:
    """Print it. Times of the report are Unix times; `zone` is where the tank stands."""
    day = datetime.fromtimestamp(report.first, zone).strftime("%-d %B %Y")
    span = f"{amounts.clock(report.first, zone)} to {amounts.clock(report.last, zone)}"
    console.print(f"\n[bold]Run of {tank}, {day}, {span}[/bold]")
    console.print(_summary(report))
    console.print(_estimates(report, zone))
    for title, lines in (
        ("Stages", [f"{amounts.clock(s.time, zone)}  {s.stage} ({s.by})" for s in report.stages]),
        ("Told", [_milestone(m.kind, tank, m.time, zone) for m in report.milestones]),
        ("Alarms", _alarm_lines(report, zone) or ["none"]),
        ("Not watched", [alarms.NOT_WATCHED[name] for name in report.not_watched]),
        ("Readings that were not believed", _doubt_lines(report, zone)),
        ("Mind", [notices.CAUTION, notices.CONFIRM]),
    ):
        if lines:
            console.print(f"\n[bold]{title}[/bold]")
            for line in lines:
                console.print(f"  {line}", markup=False)


def _summary(report: RunReport) -> str:
    parts = [f"Blower run time {amounts.duration(report.run_time)}"]
    if report.volume is not None and report.drawable is not None:
        volume, drawable = report.volume * 1000, report.drawable * 1000
        parts.append(f"{volume:.0f} L of fuel at 15 °C, {drawable:.0f} L above the standpipe")
    return "; ".join(parts) + "."


def _estimates(report: RunReport, zone: tzinfo) -> Table:
    table = Table(
        title="What was believed (90 % range)", title_justify="left", box=None, padding=(0, 2, 0, 0)
    )
    for heading in ("Time", "Bubbled", "Methanol, %", "Water, mg/kg", "Dry at", "Verdict"):
        table.add_column(heading, no_wrap=True)
    for estimate in selected(report.estimates, ROWS):
        table.add_row(*_row(estimate, zone))
    return table


def _row(estimate: Estimate, zone: tzinfo) -> tuple[str, ...]:
    def content(spread: Spread | None, factor: float, digits: int) -> str:
        if spread is None:
            return "–"
        middle, low, high = (f"{x * factor:.{digits}f}" for x in (spread.median, spread.low, spread.high))
        return f"{middle} ({low}–{high})"

    end = estimate.dry_at
    return (
        amounts.clock(estimate.time, zone),
        amounts.duration(estimate.run_time),
        content(estimate.methanol, 100, 2),
        content(estimate.water, 1e6, 0),
        amounts.clock(end.median, zone) if end else "–",
        VERDICTS[estimate.verdict],
    )


def _milestone(kind: str, tank: str, time: float, zone: tzinfo) -> str:
    return f"{amounts.clock(time, zone)}  {notices.TITLES[kind].format(tank=tank)}"


def _alarm_lines(report: RunReport, zone: tzinfo) -> list[str]:
    told = [changed for changed in report.alarms if changed.change in (Change.RAISED, Change.RETURNED)]
    return [
        f"{amounts.clock(changed.time, zone)}  {changed.priority}: {alarms.message(changed)}"
        for changed in told
    ]


def _doubt_lines(report: RunReport, zone: tzinfo) -> list[str]:
    def line(doubt: Doubt) -> str:
        span = f"{amounts.clock(doubt.first, zone)} to {amounts.clock(doubt.last, zone)}"
        return f"{span}  {words.probe(doubt.probe)}, {doubt.count} times {doubt.quality}: {doubt.reason}"

    return [line(doubt) for doubt in report.doubts]
