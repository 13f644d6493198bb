"""alarms.md: a response sheet for every alarm (IEC 62682, ISA-18.2), and the life of an alarm."""

import re
from collections.abc import Iterator

from drydown.alarms import alarm, lifecycle
from drydown.alarms.catalogue import KINDS, Kind
from drydown.alarms.conditions import PARTS
from drydown.commands import Part
from drydown.guide import markdown
from drydown.texts import words
from drydown.texts.alarms import NOT_WATCHED
from drydown.texts.amounts import duration
from drydown.texts.sheets import SHEETS

CAUSES = {
    "value": "measured",
    "estimate": "worked out",
    "rate": "by how fast it changes",
    "bubbling": "by how fast it changes while the blower runs",
    "foam": "foam",
    "lost": "cannot tell",
    "board": "every probe at once",
}
"""What the causes are called."""

LIKELY = {
    "vent-closed": "The vent was forgotten, or has fallen shut; its contact or cable is broken.",
    "vapour-high": "The vent or a door is closed, a fan has stopped, the fuel is warm and full of methanol.",
    "level-falling": "A drain or valve left open, a leaking hose or seal, a siphon; somebody who draws "
    "without saying so before the fuel has rested.",
    "level-high": "Soap or water in the fuel, too much air for it, or too much fuel filled in.",
    "keep-out": "Bubbling: in most rooms this stands during every run, until the methanol is gone.",
    "fuel-hot": "A heater left on or without a thermostat, hot fuel poured in, fire.",
    "blower-hot": "A worn bearing, a blocked inlet, a dirty filter, too much back pressure.",
    "blower-overrun": "Nobody switched it off.",
    "blower-weak": "A rag or leaf before the inlet, a dirty filter, a squeezed or loose hose, a weak motor.",
    "probe-fault": "A loose plug, a broken or wet cable, a dead sensor, no supply.",
    "air-damp": "Damp weather, or air drawn from a damp place, over fuel that is already nearly dry.",
    "watch-degraded": "A full or failing disk, a program that is not running, a network that is away, a weak "
    "power supply.",
}
"""What is usually behind each alarm; common practice, no source."""

UNITS = {
    "vapour-high": (100 / 0.06, "% of the lower flammable limit"),
    "keep-out": (1e6, "parts in a million"),
    "fuel-hot": (1.0, "°C"),
    "blower-hot": (1.0, "°C"),
    "level-high": (100.0, "cm"),
}
"""Deadbands: by what to multiply them, and the unit."""

DEGRADED = "watch-degraded"  # whose causes are drydown's own parts
WORDS = re.compile(r"\{(\w+)\}")


def page() -> str:
    """The whole page."""
    return markdown.page(
        "Alarms",
        "drydown is no safety system and no gas detector. It tells what it notices; a person has to act.",
        "## All alarms",
        markdown.table(
            ("alarm", "least priority", "raised", "at the latest after", "after it has held for"),
            (row for kind in KINDS for row in _rows(kind)),
        ),
        "The third column runs from the reading that shows it. A rate needs most of a minute of readings, so "
        "that its own delay is none. What is in [brackets] below is told with the figures of the moment.",
        *(block for kind in KINDS for block in _sheet(kind)),
        "## The life of an alarm",
        LIFE,
        f"```mermaid\n{lifecycle.diagram()}\n```",
        "## One cause, one alarm",
        ONE_CAUSE,
    )


def _rows(kind: Kind) -> Iterator[tuple[str, ...]]:
    for cause, deadline in kind.deadlines.items():
        within, delay = duration(deadline), duration(kind.on_delays[cause])
        priority = PARTS[Part(cause)] if kind.name == DEGRADED else kind.least
        yield f"[{kind.name}](#{kind.name})", priority, _said(kind, cause), within, delay


def _sheet(kind: Kind) -> Iterator[str]:
    yield f"## {kind.name}"
    yield f"Usually behind it: {LIKELY[kind.name]}"
    yield markdown.table(
        ("raised", "what it means", "what it can lead to", "what to do", "how fast"),
        (_row(kind, cause) for cause in kind.deadlines),
    )
    yield _ending(kind)
    if kind.name in NOT_WATCHED:
        yield f"Without such a probe: {NOT_WATCHED[kind.name]}"


def _row(kind: Kind, cause: str) -> tuple[str, ...]:
    sheet = SHEETS[kind.name, cause]
    told = WORDS.sub(lambda name: f"[{name[1].replace('_', ' ')}]", f"**{sheet.title}.** {sheet.happened}")
    return _said(kind, cause), told, sheet.leads_to, sheet.do, sheet.within


def _said(kind: Kind, cause: str) -> str:
    return words.PARTS.get(cause, cause) if kind.name == DEGRADED else CAUSES[cause]


def _ending(kind: Kind) -> str:
    told = f"It is over once nothing has called for it for {duration(kind.off_delay)}"
    if kind.deadband:
        factor, unit = UNITS[kind.name]
        told += f" and the value is {kind.deadband * factor:g} {unit} on the safe side of its limit"
    return told + (
        ", and then waits to be reset by somebody who has looked into it." if kind.latching else "."
    )


LIFE = f"""\
After IEC 62682 and ISA-18.2, from memory. An emergency can't be kept quiet ("shelved"). An alarm that was
one counts as one until somebody has acknowledged it, though it be less urgent by now. Whatever is shelved
comes back: after the time that was chosen, at the latest after {duration(alarm.LONGEST_SHELF)}.
Acknowledging says who has seen it and when; an alarm that stands goes on standing.
An alarm that gets worse has to be acknowledged again.

A low alarm that is over is over: nobody has to say that it was seen.

An alarm that comes and goes {alarm.CHATTERING} times within {duration(alarm.CHATTER_WINDOW)} says so, and
from then on counts as over only once it has been quiet for as long.

The watcher keeps all this on its disk, in `alarms-TANK.json`: a restart, a crash or a power cut changes
nothing of it. After a restart the alarms are live at once, while the run is still gone through."""

ONE_CAUSE = """\
Where one alarm explains another, the other is suppressed by design: the page shows it as held back, and no
notice is sent for it.

- Several probes lost at once: `probe-fault` names them all and every alarm that cannot tell; these are held
  back.
- The vent's contact lost while the blower runs: `vent-closed` comes within seconds, and `probe-fault` is held
  back as long as nothing else is lost.
- The level gauge lost: `level-falling`, `level-high` and `blower-weak` are held back behind `probe-fault`.
- Vapour near what can burn: `vapour-high` tells of it, and `keep-out` is held back.
- The blower switched off by hand: nothing is said of weak air, for none is wanted.
- Another part of drydown that fails while `watch-degraded` stands is added to it; a second notice comes only
  if it is more urgent.
- Of several that stand together the one that came first is kept as the first until all are over
  (first-out), and those that are raised after it name it: they may follow from it."""
