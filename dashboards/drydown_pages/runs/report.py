"""The report of a run on paper: what was done and found, against which limits, and what nobody measured."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from functools import partial
from itertools import pairwise
from typing import Any

from drydown.config.model import Tank
from drydown.estimate.result import Estimate, Spread
from drydown.run.report import RunReport
from drydown.texts import notices, reviews
from drydown.texts import report as texts
from drydown.texts.amounts import clock, date, methanol_content, moment, ranged, water_content
from drydown.texts.language import later, say
from drydown_pages.facts import Fact
from drydown_pages.runs.chosen import Named

ROWS = 7  # of what was believed
NO_TEST = later("No test of the fuel was entered: what stands here is reckoned, not measured.")
ALL_MEASURED = later("Everything that drydown can take a probe for.")


@dataclass(frozen=True, slots=True)
class Content:
    """A content of the fuel from start to end, against its limit."""

    name: str
    start: str
    end: str
    limit: str


@dataclass(frozen=True, slots=True)
class ReportPage:
    """Everything on it, in words. `start` names the run in addresses."""

    tank: str
    start: str
    name: str
    title: str
    printed: str
    sentence: str
    summary: str
    facts: tuple[Fact, ...]
    contents: tuple[Content, ...]
    headings: tuple[str, ...]
    beliefs: tuple[tuple[str, ...], ...]
    sections: tuple[texts.Section, ...]
    limits: tuple[str, ...]
    not_measured: tuple[str, ...]
    cautions: tuple[str, ...]


def report_page(
    tank: Tank,
    named: Named,
    report: RunReport,
    commands: Sequence[Mapping[str, Any]],
    measured: Collection[str],
    now: float,
    zone: tzinfo,
) -> ReportPage:
    """`measured` are the quantities that a probe told in the run; `now` is when the page is made (Unix s)."""
    review, at = named.review, partial(moment, first=report.first, zone=zone)
    tests = texts.tests(commands, at) or [("", say(NO_TEST))]
    own = [texts.Section(say("Tests"), tests), texts.Section(say("Notes"), texts.notes(commands, at))]
    told = [one for one in texts.sections(report, tank.name, zone) if one.title != say(texts.CAUTIONS)]
    fuel = tank.fuel
    return ReportPage(
        tank=tank.name,
        start=f"{review.run.start:.3f}",
        name=named.name,
        title=texts.title(report, tank.name, zone),
        printed=f"{date(now, zone)}, {clock(now, zone)}",
        sentence=reviews.sentence(review, zone),
        summary=texts.summary(report),
        facts=tuple(Fact(*one) for one in reviews.figures(review)),
        contents=(
            Content(
                say("Methanol"),
                _said(review.methanol_start, methanol_content),
                _said(review.methanol, methanol_content),
                methanol_content(fuel.methanol_limit),
            ),
            Content(say("Water"), "–", _said(review.water, water_content), water_content(fuel.water_limit)),
        ),
        headings=tuple(map(say, texts.HEADINGS)),
        beliefs=tuple(texts.beliefs(_while_it_ran(report.estimates), ROWS, at)),
        sections=tuple(one for one in (*own, *told) if one.rows),
        limits=tuple(texts.limits(tank)),
        not_measured=tuple(texts.not_measured(measured)) or (say(ALL_MEASURED),),
        cautions=(say(notices.CAUTION), say(notices.CONFIRM)),
    )


def _while_it_ran(estimates: Sequence[Estimate]) -> list[Estimate]:
    """Those since which more has bubbled: at rest the same is believed over and over."""
    return [one for last, one in pairwise(estimates) if one.run_time > last.run_time]


def _said(content: Spread | None, write: Callable[[float], str]) -> str:
    return say(reviews.NOT_TOLD) if content is None else ranged(content, write)
