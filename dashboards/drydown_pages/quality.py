"""The page of a batch's tests: what was found, against limits; what a release can claim; the forms."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from drydown.config.model import Fuel
from drydown.logbook.kinds import KINDS, Choice
from drydown.quality.kinds import TESTS, limits_of
from drydown.quality.release import Estimated, release
from drydown.quality.results import Result
from drydown.quality.soap import NORMALITY
from drydown.texts import quality as texts
from drydown.texts.amounts import degree
from drydown.texts.language import say

SIGNS = {True: "within", False: "beyond", None: ""}


@dataclass(frozen=True, slots=True)
class Field:
    """A number to type: what the form calls it, its label, what was typed and what is wrong with that."""

    name: str
    label: str
    typed: str = ""
    trouble: str = ""
    hint: str = ""
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Form:
    """One test to enter: numbers to type, or words of which one is chosen, and the way it was found."""

    kind: str
    title: str
    about: str
    limit: str
    due: bool
    fields: tuple[Field, ...]
    words: tuple[tuple[str, str], ...]
    methods: tuple[tuple[str, str], ...]
    is_open: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A result or an estimate: `sign` is "within", "beyond" or nothing."""

    said: str
    limit: str
    source: str
    sign: str


@dataclass(frozen=True, slots=True)
class QualityPage:
    """All of it. `taken` says what was just entered."""

    tank: str
    headline: str
    step: str
    is_clear: bool
    measured: tuple[Line, ...]
    estimated: tuple[Line, ...]
    unlooked: str
    released: str
    forms: tuple[Form, ...]
    taken: str
    note: str


def quality_page(
    tank: str,
    fuel: Fuel,
    results: Sequence[Result],
    estimates: Sequence[Estimated],
    zone: tzinfo,
    *,
    released: str = "",
    typed: Mapping[str, str] | None = None,
    troubles: Mapping[str, str] | None = None,
    taken: str = "",
) -> QualityPage:
    """The page of a batch. `typed` and `troubles` are of a form that was not taken; `released`: who, when."""
    limits = limits_of(fuel)
    found = release(results, estimates, limits)
    return QualityPage(
        tank=tank,
        headline=texts.verdict(found),
        step=texts.step(found),
        is_clear=found.is_clear,
        measured=tuple(
            Line(
                texts.found(one),
                texts.against(one.kind, limits),
                texts.source(one, zone),
                texts.is_good(one, limits),
            )
            for one in found.measured
        ),
        estimated=tuple(
            Line(texts.estimated(one), texts.against(one.kind, limits), "", SIGNS[one.is_within(limits)])
            for one in found.estimated
        ),
        unlooked=texts.titles(found.unlooked),
        released=released,
        forms=tuple(_form(kind, typed or {}, troubles or {}, texts.against(kind, limits)) for kind in TESTS),
        taken=taken,
        note=say(texts.NOT_TESTED_HERE),
    )


def _form(kind: str, typed: Mapping[str, str], troubles: Mapping[str, str], limit: str) -> Form:
    test = TESTS[kind]
    ours = typed.get("kind") == kind
    fields = [
        Field(
            name,
            label,
            typed.get(name, "") if ours else "",
            troubles.get(name, "") if ours else "",
            hint,
            needed,
        )
        for name, label, hint, needed in _fields(kind)
    ]
    methods = tuple((name, say(method.title)) for name, method in test.methods.items())
    return Form(
        kind, say(test.title), say(test.about), limit, test.due, tuple(fields), words_of(kind), methods, ours
    )


def words_of(kind: str) -> tuple[tuple[str, str], ...]:
    field = KINDS.get(kind, {}).get("result")
    return (
        tuple((word, say(texts.WORDS[kind, word])) for word in field.allowed)
        if isinstance(field, Choice)
        else ()
    )


def _fields(kind: str) -> list[tuple[str, str, str, bool]]:
    ago = ("ago", say("Sample taken, minutes ago"), say("nothing: just now"), False)
    if words_of(kind):
        return [ago]
    if kind == "soap-test":
        acid = say("Acid that the sample took, in mL ({normality} N)", normality=f"{NORMALITY:g}")
        blank = ("blank", say("Acid that the solvent alone takes, in mL"), say("nothing: none"), False)
        return [("acid", acid, "", True), blank, ("fuel", say("Fuel in the sample, in g"), "", True), ago]
    units = {"methanol": "%", "water": "mg/kg", "ph-test": "pH"}
    return [("value", say("Found, in {unit}", unit=units.get(kind, degree())), "", True), ago]
