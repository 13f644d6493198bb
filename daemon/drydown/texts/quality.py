"""Tests of the fuel in words: what was found, against which limit, and what a release can claim."""

from collections.abc import Iterable, Mapping
from datetime import tzinfo

from drydown.physics.limits import Limit
from drydown.quality.kinds import TESTS, is_within
from drydown.quality.release import Estimated, Release
from drydown.quality.results import Result
from drydown.texts.amounts import (
    celsius,
    clock,
    day,
    degree,
    methanol_content,
    parted,
    ranged,
    significant,
    steps,
    water_content,
)
from drydown.texts.language import later, say

WORDS = {
    ("appearance-test", "bright"): later("bright and clear"),
    ("appearance-test", "hazy"): later("hazy"),
    ("appearance-test", "cloudy"): later("cloudy"),
    ("appearance-test", "sediment"): later("something lies at the bottom"),
    ("solubility-test", "clear"): later("all of it dissolves"),
    ("solubility-test", "cloudy"): later("it stays cloudy"),
    ("solubility-test", "drops"): later("drops fall out"),
}
"""Results that are words, by the kind of test."""

NOT_TESTED_HERE = later(
    "drydown has not tested this fuel; it says what people entered and what it worked out."
)


def value(kind: str, found: float | str) -> str:
    """A result: "430 mg/kg", "104 °C", "hazy"."""
    if isinstance(found, str):
        return say(WORDS[kind, found])
    if kind == "methanol":
        return methanol_content(found)
    if kind in ("water", "soap-test"):
        return water_content(found)
    return significant(found, 2) if kind == "ph-test" else celsius(found)


def found(one: Result) -> str:
    """A result with its title and how sure it is: "Water 430 mg/kg, give or take 26 mg/kg"."""
    title, result = say(TESTS[one.kind].title), value(one.kind, one.value)
    if isinstance(one.value, str):
        return say("{title}: {result}", title=title, result=result)
    if one.sigma is None:
        return say("{title} {result}", title=title, result=result)
    error = _error(one.kind, one.sigma)
    return say("{title} {result}, give or take {error}", title=title, result=result, error=error)


def method(one: Result) -> str:
    """How it was found, where that was said."""
    methods = TESTS[one.kind].methods
    return say(methods[one.method].title) if one.method in methods else one.method


def source(one: Result, zone: tzinfo) -> str:
    """Who found it, how, and when the sample was taken."""
    when = say("{day}, {time}", day=day(one.time, zone), time=clock(one.time, zone))
    return ", ".join(part for part in (method(one), one.who, when) if part)


def against(kind: str, limits: Mapping[str, Limit]) -> str:
    """The limit of a kind: "limit: at most 500 mg/kg (EN 14214)"; nothing where there is none."""
    test, by = TESTS[kind], say(TESTS[kind].by)
    if test.good:
        return say("should be: {good} ({by})", good=say(WORDS[kind, test.good[0]]), by=by)
    limit = limits.get(kind)
    if limit is None:
        return ""
    low, high = (None if end is None else value(kind, end) for end in (limit.low, limit.high))
    if low and high:
        return say("limit: at least {low} and at most {high} ({by})", low=low, high=high, by=by)
    if low:
        return say("limit: at least {low} ({by})", low=low, by=by)
    return say("limit: at most {high} ({by})", high=high, by=by)


def estimated(one: Estimated) -> str:
    """A content that was worked out, with its range."""
    write = methanol_content if one.kind == "methanol" else water_content
    title, content = say(TESTS[one.kind].title), ranged(one.content, write)
    if not parted(write(one.content.median))[0]:
        return say("{title} {content}, worked out and not measured", title=title, content=content)
    return say("{title} about {content}, worked out and not measured", title=title, content=content)


def verdict(found: Release) -> str:
    """The one sentence at the top."""
    if found.against:
        return say("Don't use it yet. Not as it should be: {tests}.", tests=titles(found.against))
    if found.missing:
        return say("Not tested enough. Missing: {tests}.", tests=titles(found.missing))
    return say("Nothing that was tested speaks against using it.")


def step(found: Release) -> str:
    """What to do next."""
    if found.against:
        return say("Look for the cause, mend it, and test again. What was found stands below.")
    if found.missing:
        return say("Take a sample from the standpipe and enter what you find.")
    return say(
        "If that is enough for you and your local rules, release it; what nobody looked at stands below."
    )


def released(who: str, unix_time: float, zone: tzinfo) -> str:
    """That somebody released it."""
    return say(
        "Released by {who} on {day}, {time}.", who=who, day=day(unix_time, zone), time=clock(unix_time, zone)
    )


def titles(kinds: Iterable[str]) -> str:
    """The titles of kinds of tests, one after the other."""
    return ", ".join(say(TESTS[kind].title) for kind in kinds)


def is_good(one: Result, limits: Mapping[str, Limit]) -> str:
    """A word for whether a result is allowed; nothing where no limit is known."""
    good = is_within(one.kind, one.value, limits)
    return "" if good is None else "within" if good else "beyond"


def _error(kind: str, sigma: float) -> str:
    warm = kind in ("flash-point-test", "cloud-point-test")
    return f"{steps(sigma):.0f} {degree()}" if warm else value(kind, sigma)
