"""Views and templates put together: whole pages, and the parts of them that change."""

import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from drydown.texts.amounts import degree
from drydown.texts.language import counted, say, spoken
from drydown.texts.liking import LIKING, Liking
from drydown_pages.batches import BatchesPage
from drydown_pages.blend import BlendPage
from drydown_pages.front import TankLine
from drydown_pages.learned import LearnedPage
from drydown_pages.planned import PlanPage
from drydown_pages.quality import QualityPage
from drydown_pages.run.view import RunHead, RunView
from drydown_pages.runs.compare import Comparison
from drydown_pages.runs.lines import RunList
from drydown_pages.runs.report import ReportPage
from drydown_pages.runs.trends import Trend
from drydown_pages.script_texts import script_texts
from drydown_pages.settings import choices
from drydown_pages.start import StartPage
from drydown_pages.tell import CHOICES
from drydown_pages.upkeep import UpkeepPage
from drydown_pages.view import TankView
from drydown_pages.visitor import Visitor
from drydown_pages.when import WhenPage

FOLDER = Path(__file__).parent
STATIC = FOLDER / "static"

TANK_PARTS = ("age", "alarms", "answer", "contents", "above-fuel", "bubbles", "facts", "quiet", "unwatched")

SEND = "\f"
"""Where a template says that what stands above it is sent before the rest is known."""

SLASH = "/\N{WORD JOINER}"  # one that no line ends at
_UNIT = re.compile(r"(\d) (%|mg/kg|°C|°F|ppm|µm|m³/s|min|h|s|L|gal|am|pm)(?!\w)")


def tied(text: str) -> str:
    """The same with numbers that a line break can't part from what they count, nor a unit within."""
    return _UNIT.sub(lambda found: f"{found[1]}\N{NO-BREAK SPACE}{found[2].replace('/', SLASH)}", text)


_templates = Environment(
    loader=FileSystemLoader(FOLDER / "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_templates.filters["tied"] = tied
_templates.globals |= {
    "liking": LIKING.get,
    "say": say,
    "counted": counted,
    "spoken": spoken,
    "script_texts": script_texts,
    "SEND": SEND,
}


def tank_page(view: TankView, visitor: Visitor, settled: Sequence[str] = (), taken: str = "") -> str:
    """A tank's page; `settled` says what has sunk in it, `taken` tells of what was just taken from a form."""
    template = _templates.get_template("tank.html")
    return template.render(view=view, visitor=visitor, settled=settled, choices=CHOICES, taken=taken)


def tank_parts(view: TankView) -> dict[str, str]:
    """What can change of a tank's page, by the name of its place."""
    return {name: _templates.get_template(f"parts/{name}.html").render(view=view) for name in TANK_PARTS}


def front_page(site: str, tanks: Sequence[TankLine]) -> str:
    """The list of tanks."""
    return _templates.get_template("tanks.html").render(site=site, tanks=tanks)


def front_parts(tanks: Sequence[TankLine]) -> dict[str, str]:
    """What can change of the list."""
    return {"tanks": _templates.get_template("parts/tanks.html").render(tanks=tanks)}


def run_page(
    site: str, head: RunHead, read: Callable[[], RunView], course: Callable[[], bytes], visitor: Visitor
) -> Iterator[str]:
    """The page of one run in pieces: `read` is called after its head, `course`, for the charts, last."""
    template = _templates.get_template("run.html")
    so_far: list[str] = []
    for text in template.generate(site=site, head=head, read=read, course=_as_data(course), visitor=visitor):
        if text == SEND:
            yield "".join(so_far)
            so_far.clear()
        else:
            so_far.append(text)
    yield "".join(so_far)


def broken_off(title: str, detail: str) -> str:
    """How a page ends in which an error came after it had begun."""
    return _templates.get_template("broken_off.html").render(title=title, detail=detail)


def _as_data(course: Callable[[], bytes]) -> Callable[[], Markup]:
    """The same within a script element, which no text in it can end."""
    return lambda: Markup(course().decode().replace("<", r"\u003c"))


def runs_page(site: str, page: RunList, visitor: Visitor) -> str:
    """A tank's runs."""
    return _templates.get_template("runs.html").render(site=site, page=page, visitor=visitor)


def trends_page(site: str, tank: str, trends: Sequence[Trend], visitor: Visitor) -> str:
    """What changes of a tank over the months."""
    return _templates.get_template("trends.html").render(site=site, tank=tank, trends=trends, visitor=visitor)


def compare_page(site: str, page: Comparison, visitor: Visitor) -> str:
    """Runs laid over each other."""
    return _templates.get_template("compare.html").render(site=site, page=page, visitor=visitor)


def report_page(site: str, page: ReportPage, visitor: Visitor) -> str:
    """The report of a run, to print."""
    return _templates.get_template("report.html").render(site=site, page=page, visitor=visitor)


def blend_page(site: str, page: BlendPage, visitor: Visitor) -> str:
    """What a vehicle's tank takes in the cold."""
    return _templates.get_template("blend.html").render(site=site, page=page, visitor=visitor)


def batches_page(site: str, page: BatchesPage, visitor: Visitor, taken: str = "") -> str:
    """A tank's batches; `taken` tells of what was just entered."""
    return _templates.get_template("batches.html").render(site=site, page=page, visitor=visitor, taken=taken)


def upkeep_page(site: str, page: UpkeepPage, visitor: Visitor, taken: str) -> str:
    """How long a draw takes, and what is to be looked after; `taken` tells of what was just entered."""
    return _templates.get_template("upkeep.html").render(site=site, page=page, visitor=visitor, taken=taken)


def learned_page(site: str, page: LearnedPage, visitor: Visitor) -> str:
    """What was learned of a tank, and what another probe would bring."""
    return _templates.get_template("learned.html").render(site=site, page=page, visitor=visitor)


def quality_page(site: str, page: QualityPage, visitor: Visitor) -> str:
    """The tests of a batch, and what a release can claim."""
    return _templates.get_template("quality.html").render(site=site, page=page, visitor=visitor)


def start_page(site: str, page: StartPage, visitor: Visitor) -> str:
    """The list before a start."""
    return _templates.get_template("start.html").render(site=site, page=page, visitor=visitor)


def plan_page(site: str, page: PlanPage, visitor: Visitor) -> str:
    """What a start of the blower would bring."""
    template = _templates.get_template("plan.html")
    return template.render(site=site, page=page, visitor=visitor, degree=degree())


def when_page(site: str, page: WhenPage, visitor: Visitor) -> str:
    """When to bubble in the day ahead."""
    return _templates.get_template("when.html").render(site=site, page=page, visitor=visitor)


def enter_page(to: str, refused: str = "") -> str:
    """The page that asks for a token; `to` is where it leads, `refused` why the last one was no good."""
    return _templates.get_template("enter.html").render(to=to, refused=refused)


def settings_page(liking: Liking, to: str, visitor: Visitor) -> str:
    """The page on which somebody chooses how they like to read; `to` is where it leads."""
    template = _templates.get_template("settings.html")
    return template.render(choices=choices(liking), to=to, visitor=visitor)


def problem_page(title: str, detail: str, wait_for: str = "") -> str:
    """An error as a page. `wait_for` is an address: the page shows itself anew once that answers well."""
    return _templates.get_template("problem.html").render(title=title, detail=detail, wait_for=wait_for)
