"""The list before a start: what can be read of the tank, and what somebody has to look at."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import tzinfo
from enum import StrEnum

from drydown.logbook.start_list import Look
from drydown.quantities import MEASURED
from drydown.texts import amounts
from drydown.texts.language import counted, later, say
from drydown.texts.words import PROBES
from drydown_pages.state import State, number, value

ROOM = 0.10  # m below the brim: bubbling lifts the fuel, and foam more; common practice, no source
LEAST = 0.001  # m³ above the standpipe; less is nothing to dry
STANDS = ("unacknowledged", "acknowledged")

QUESTIONS = {
    "vent-open": later("The vent or door is open, and the way out is free."),
    "drain-closed": later("The drain is shut."),
    "cover-on": later("The cover is on, with its cloth in place."),
    "hoses": later("Hoses and clamps are tight."),
    "blower-outside": later("The blower draws clean air, from where no vapour gathers."),
    "no-flame": later("No flame, spark or heater is near, and nobody smokes."),
    "somebody-near": later("Somebody stays near while it bubbles."),
    "earthed": later("Tank, pipe and blower are bonded together and earthed."),
}


class Sign(StrEnum):
    """How a thing that was read stands."""

    WELL = "well"
    NOT_WELL = "not-well"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Check:
    """A thing that was read, with what it means and what to do."""

    name: str
    sign: Sign
    said: str


@dataclass(frozen=True, slots=True)
class Question:
    """A thing to look at; `seen` says who did, and is empty while nobody has."""

    item: str
    said: str
    seen: str


@dataclass(frozen=True, slots=True)
class StartPage:
    """The whole list; `taken` tells of what was just ticked."""

    tank: str
    headline: str
    advice: str
    checks: tuple[Check, ...]
    questions: tuple[Question, ...]
    taken: str = ""

    @property
    def is_looked_at(self) -> bool:
        """Whether nothing is left to look at."""
        return all(question.seen for question in self.questions)


def start_page(tank: str, state: State, looked: Iterable[Look], zone: tzinfo, taken: str = "") -> StartPage:
    """The page of a tank's state and of what people looked at."""
    checks, questions = tuple(checks_of(state)), tuple(_question(one, zone) for one in looked)
    return StartPage(tank, headline(checks, questions), _advice(), checks, questions, taken)


def headline(checks: Iterable[Check], questions: Iterable[Question]) -> str:
    """What is left, the worst first."""
    wrong = sum(one.sign is not Sign.WELL for one in checks)
    if wrong:
        return counted("1 thing is not as it should be.", "{count} things are not as they should be.", wrong)
    left = sum(not one.seen for one in questions)
    if left:
        return counted("1 thing is left to look at.", "{count} things are left to look at.", left)
    return say("Everything on the list was looked at.")


def reads_vent(state: State) -> bool:
    """Whether a probe tells if the vent is open."""
    return value(state, "vent/open") is not None


def checks_of(state: State) -> Iterator[Check]:
    """What can be read, in the order in which it is asked for."""
    if reads_vent(state):
        open_now = bool(value(state, "vent/open"))
        said = say("The vent is open.") if open_now else say("The vent is shut: open it.")
        yield Check("vent-open", Sign.WELL if open_now else Sign.NOT_WELL, said)
    yield Check("level", *_level(state))
    yield Check("air-probe", *_air(state))
    yield Check("probes", *_probes(state))
    yield Check("alarms", *_alarms(state))


def _level(state: State) -> tuple[Sign, str]:
    drawable, headroom = number(state, "fuel/drawable"), state["movement"]["headroom"]
    if number(state, "fuel/level") is None or drawable is None or headroom is None:
        return Sign.UNKNOWN, say("How much fuel there is can’t be told: look into the tank.")
    if drawable < LEAST:
        return Sign.NOT_WELL, say("Nothing stands above the standpipe: fill the tank first.")
    values = {"much": amounts.litres(drawable), "room": amounts.centimetres(max(0.0, headroom))}
    if headroom < ROOM:
        return Sign.NOT_WELL, say(
            "Only {room} are left to the brim, and bubbling lifts the fuel: take some out first.", **values
        )
    return Sign.WELL, say("{much} stand above the standpipe, with {room} left to the brim.", **values)


def _air(state: State) -> tuple[Sign, str]:
    if number(state, "air/temperature") is None or number(state, "air/humidity") is None:
        return Sign.UNKNOWN, say(
            "The air that dries the fuel can’t be read, so how dry it gets stays unsure: see to the probe."
        )
    return Sign.WELL, say("The air that dries the fuel is read.")


def _probes(state: State) -> tuple[Sign, str]:
    readings = {name: reading for name, reading in state["readings"].items() if name in MEASURED}
    wrong = [name for name, reading in readings.items() if reading.get("quality", "good") != "good"]
    if wrong:
        names = ", ".join(say(PROBES[name]) for name in wrong)
        return Sign.NOT_WELL, say("Not to be relied on now: {names}. Mend that first.", names=names)
    return Sign.WELL, counted("The only probe reads well.", "All {count} probes read well.", len(readings))


def _alarms(state: State) -> tuple[Sign, str]:
    standing = sum(alarm["state"] in STANDS for alarm in state["alarms"])
    if standing:
        return Sign.NOT_WELL, counted(
            "1 alarm stands: do what it says on the tank’s page.",
            "{count} alarms stand: do what they say on the tank’s page.",
            standing,
        )
    return Sign.WELL, say("No alarm stands.")


def _question(look: Look, zone: tzinfo) -> Question:
    seen = ""
    if look.time is not None:
        seen = say("{who} at {time}", who=look.who, time=amounts.clock(look.time, zone))
    return Question(look.item, say(QUESTIONS[look.item]), seen)


def _advice() -> str:
    return say(
        "The list holds nothing back and is no safety system: it helps to forget nothing. The blower starts"
        " only when you switch it on."
    )
