"""Prints the report of a run on a terminal."""

from datetime import tzinfo
from functools import partial

from rich.console import Console
from rich.table import Table
from rich.text import Text

from drydown.run.report import RunReport
from drydown.texts import report as texts
from drydown.texts.amounts import moment
from drydown.texts.language import say

ROWS = 16


def print_report(report: RunReport, tank: str, zone: tzinfo, console: Console) -> None:
    """Print it. Times of the report are Unix times; `zone` is where the tank stands."""
    console.print(f"\n[bold]{texts.title(report, tank, zone)}[/bold]")
    console.print(texts.summary(report))
    console.print(_estimates(report, zone))
    for section in texts.sections(report, tank, zone):
        console.print(f"\n[bold]{section.title}[/bold]")
        console.print(_grid(section.rows))


def _grid(rows: list[texts.Row]) -> Table:
    grid = Table.grid(padding=(0, 2, 0, 0))
    for time, text in rows:
        grid.add_row(Text(f"  {time}" if time else ""), Text(text))
    return grid


def _estimates(report: RunReport, zone: tzinfo) -> Table:
    table = Table(title=say(texts.BELIEVED), title_justify="left", box=None, padding=(0, 1, 0, 0))
    for heading in texts.HEADINGS:
        table.add_column(say(heading), no_wrap=heading not in texts.TIMES)
    at = partial(moment, first=report.first, zone=zone)
    for cells in texts.beliefs(report.estimates, ROWS, at):
        table.add_row(*cells)
    return table
