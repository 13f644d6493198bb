"""Tests of the fuel in words: what was found, against which limit, and what a release can claim."""

from collections.abc import Iterable, Mapping
from datetime import datetime, tzinfo

from drydown.physics.limits import Limit
from drydown.quality.kinds import TESTS, is_within
from drydown.quality.release import Estimated, Release
from drydown.quality.results import Result
from drydown.texts.amounts import (
    celsius,
    clock,
    degree,
    methanol_content,
    ranged,
    significant,
    steps,
    water_content,
)

WORDS = {
    ("appearance-test", "bright"): "bright and clear",
    ("appearance-test", "hazy"): "hazy",
    ("appearance-test", "cloudy"): "cloudy",
    ("appearance-test", "sediment"): "something lies at the bottom",
    ("solubility-test", "clear"): "all of it dissolves",
    ("solubility-test", "cloudy"): "it stays cloudy",
    ("solubility-test", "drops"): "drops fall out",
}
"""Results that are words, by the kind of test."""

NOT_TESTED_HERE = "drydown has not tested this fuel; it says what people entered and what it worked out."


def value(kind: str, found: float | str) -> str:
    """A result: "430 mg/kg", "104 °C", "hazy"."""
    if isinstance(found, str):
        return WORDS[kind, found]
    if kind == "methanol":
        return methanol_content(found)
    if kind in ("water", "soap-test"):
        return water_content(found)
    return significant(found, 2) if kind == "ph-test" else celsius(found)


def found(one: Result) -> str:
    """A result with its title and how sure it is: "Water 430 mg/kg, give or take 26 mg/kg"."""
    title = TESTS[one.kind].title
    if isinstance(one.value, str):
        return f"{title}: {value(one.kind, one.value)}"
    return f"{title} {value(one.kind, one.value)}{_give_or_take(one)}"


def told(one: Result) -> str:
    """The same within a sentence."""
    return _small(found(one))


def method(one: Result) -> str:
    """How it was found, where that was said."""
    methods = TESTS[one.kind].methods
    return methods[one.method].title if one.method in methods else one.method


def source(one: Result, zone: tzinfo) -> str:
    """Who found it, how, and when the sample was taken."""
    then = datetime.fromtimestamp(one.time, zone)
    when = f"{then:%-d %B}, {clock(one.time, zone)}"
    return ", ".join(part for part in (method(one), one.who, when) if part)


def against(kind: str, limits: Mapping[str, Limit]) -> str:
    """The limit of a kind: "at most 500 mg/kg, EN 14214"; nothing where there is none."""
    test = TESTS[kind]
    if test.good:
        return f"should be: {' or '.join(WORDS[kind, word] for word in test.good)} ({test.by})"
    limit = limits.get(kind)
    if limit is None:
        return ""
    ends = [("at least", limit.low), ("at most", limit.high)]
    said = " and ".join(f"{word} {value(kind, end)}" for word, end in ends if end is not None)
    return f"limit: {said} ({test.by})"


def estimated(one: Estimated) -> str:
    """A content that was worked out, with its range."""
    write = methanol_content if one.kind == "methanol" else water_content
    return f"{TESTS[one.kind].title} about {ranged(one.content, write)}, worked out and not measured"


def verdict(found: Release) -> str:
    """The one sentence at the top."""
    if found.against:
        return f"Don't use it yet: {_listed(found.against)} {_is(found.against)} not as it should be."
    if found.missing:
        return f"Not tested enough: {_listed(found.missing)} {_is(found.missing)} missing."
    return "Nothing that was tested speaks against using it."


def step(found: Release) -> str:
    """What to do next."""
    if found.against:
        return "Look for the cause, mend it, and test again. What was found stands below."
    if found.missing:
        return "Take a sample from the standpipe and enter what you find."
    return "If that is enough for you and your local rules, release it; what nobody looked at stands below."


def released(who: str, unix_time: float, zone: tzinfo) -> str:
    """That somebody released it."""
    then = datetime.fromtimestamp(unix_time, zone)
    return f"Released by {who} on {then:%-d %B}, {clock(unix_time, zone)}."


def titles(kinds: Iterable[str]) -> str:
    """The titles of kinds of tests as a list in words."""
    return _listed(tuple(kinds))


def is_good(one: Result, limits: Mapping[str, Limit]) -> str:
    """A word for whether a result is allowed; nothing where no limit is known."""
    good = is_within(one.kind, one.value, limits)
    return "" if good is None else "within" if good else "beyond"


def _give_or_take(one: Result) -> str:
    if one.sigma is None:
        return ""
    if one.kind in ("flash-point-test", "cloud-point-test"):
        return f", give or take {steps(one.sigma):.0f} {degree()}"
    return f", give or take {value(one.kind, one.sigma)}"


def _listed(kinds: tuple[str, ...]) -> str:
    names = [TESTS[kind].title for kind in kinds]
    names = [names[0], *(_small(name) for name in names[1:])]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _small(title: str) -> str:
    return title if title.startswith("pH") else f"{title[0].lower()}{title[1:]}"


def _is(kinds: tuple[str, ...]) -> str:
    return "is" if len(kinds) == 1 else "are"
