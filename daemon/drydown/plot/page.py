"""The whole picture of a run: title, rows of what held when, and fields on one time axis."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, tzinfo

from drydown.config.model import Tank
from drydown.effects import Effect
from drydown.plot import fields, look, scales, strips, svg
from drydown.plot.panel import Setting
from drydown.plot.scales import Scale
from drydown.plot.trace import UNKNOWN, Trace, trace
from drydown.texts import alarms, amounts, notices, words

ROWS_TOP = 112.0
ROW = strips.HEIGHT + strips.GAP
FOOT = 90.0  # below the last field: the time of day and the cautions
LINE = 18.0  # of text
MARGIN = 24.0

TOLD = {kind: title.removeprefix("{tank}: ") for kind, title in notices.TITLES.items()}
BANDS = "Bands: the truth lies within them with 90 % probability. Shaded: the blower ran."
PRINTED = "@media print { .paper { fill: #fff } }"


def draw(effects: Iterable[Effect], tank: Tank, zone: tzinfo) -> str:
    """The text of an SVG file. Times of effects are Unix times; `zone` is where the tank stands."""
    run = trace(effects)
    report = run.report
    time = scales.time(report.first, report.last, zone, look.LEFT, look.RIGHT)
    marks = strips.marks_of(run.alarms, [(one.time, TOLD[one.kind]) for one in report.milestones])
    lanes = strips.lanes_of(marks, time)
    rows_bottom = ROWS_TOP + 3 * ROW + strips.LANE * (max(lanes, default=-1) + 1)
    setting = Setting(
        time,
        shaded=[(time.at(s.start), time.at(s.end)) for s in run.running if s.what != UNKNOWN],
        happened=[(time.at(mark.start), mark.colour) for mark in marks],
    )
    drawn, bottom = fields.all_fields(run, tank, setting, rows_bottom + 14)
    height = bottom + FOOT + LINE * len(report.not_watched)
    body = [
        svg.element("defs", [strips.patterns()]),
        svg.rect((0, 0), look.WIDTH, height, fill=look.PAPER, class_="paper"),
        svg.group(_header(run, tank.name, zone)),
        svg.group(_rows(run, time), id="rows"),
        svg.group(strips.draw_marks(marks, lanes, time, ROWS_TOP + 3 * ROW + 2, rows_bottom + 6), id="marks"),
        *drawn,
        "" if run.is_empty else svg.group(_time_axis(time, bottom), id="time"),
        svg.group(_footer(run, bottom)),
    ]
    return _page(body, height, _title(run, tank.name, zone), f"{_ended(run)} {notices.CAUTION}")


def _page(body: Sequence[str], height: float, title: str, described: str) -> str:
    content = [
        "\n",
        svg.words("title", title),
        svg.words("desc", described),
        svg.words("style", PRINTED),
        "\n",
        *(f"{part}\n" for part in body),
    ]
    whole = svg.element(
        "svg",
        content,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {svg.number(look.WIDTH)} {svg.number(height)}",
        role="img",
        font_family=look.FONT,
        font_size=look.SMALL,
        fill=look.INK,
    )
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{whole}\n'


def _header(run: Trace, tank: str, zone: tzinfo) -> Iterator[str]:
    title = _title(run, tank, zone)
    yield svg.text((MARGIN, 44), title, font_size=look.TITLE, font_weight="bold")
    yield svg.text((MARGIN, 70), _span(run, zone), font_size=look.HEAD, fill=look.SOFT)
    yield svg.text((MARGIN, 94), _ended(run), font_size=look.HEAD)


def _title(run: Trace, tank: str, zone: tzinfo) -> str:
    if run.is_empty:
        return tank
    return f"{tank}, {datetime.fromtimestamp(run.report.first, zone).strftime('%-d %B %Y')}"


def _span(run: Trace, zone: tzinfo) -> str:
    report = run.report
    if run.is_empty:
        return "Nothing was recorded."
    parts = [
        f"{amounts.clock(report.first, zone)} to {amounts.clock(report.last, zone)}",
        f"bubbled {amounts.duration(report.run_time)}",
    ]
    if report.volume is not None:
        parts.append(f"{report.volume * 1000:.0f} L of fuel at 15 °C")
    return "; ".join(parts)


def _ended(run: Trace) -> str:
    """What was believed at the end, in a sentence."""
    last = run.report.estimates[-1] if run.report.estimates else None
    if last is None or last.methanol is None or last.water is None:
        return "What is left in the fuel at the end cannot be told."
    methanol = amounts.ranged(last.methanol, amounts.methanol_content)
    water = amounts.ranged(last.water, amounts.water_content)
    return f"At the end: methanol {methanol}, water {water}; {words.VERDICTS[last.verdict]}."


def _rows(run: Trace, time: Scale) -> Iterator[str]:
    tops = [ROWS_TOP + i * ROW for i in range(3)]
    for name, top in zip(("Stage", "Blower", "Verdict"), tops, strict=True):
        yield from strips.row(name, top)
    yield from strips.stretches(run.stages, {}, time, tops[0])
    yield from strips.blower(run.running, time, tops[1])
    verdicts = {str(verdict): said for verdict, said in words.VERDICTS.items()}
    yield from strips.stretches(run.verdicts, verdicts, time, tops[2])


def _time_axis(time: Scale, bottom: float) -> Iterator[str]:
    for value, label in time.ticks:
        x = time.at(value)
        yield svg.line((x, bottom), (x, bottom + 6), stroke=look.SOFT)
        yield svg.text((x, bottom + 21), label, text_anchor="middle", fill=look.SOFT)
    yield svg.text((look.NAMES + 16, bottom + 21), "time of day", fill=look.SOFT)


def _footer(run: Trace, bottom: float) -> Iterator[str]:
    cautions = f"{notices.CAUTION} {notices.CONFIRM}"
    yield svg.text((MARGIN, bottom + 52), cautions, font_weight="bold")
    said = [BANDS, *(alarms.NOT_WATCHED[name] for name in run.report.not_watched)]
    for i, sentence in enumerate(said):
        yield svg.text((MARGIN, bottom + 52 + LINE * (i + 1)), sentence, fill=look.SOFT)
