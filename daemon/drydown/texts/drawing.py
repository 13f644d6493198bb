"""Drawing and upkeep in words: how long a draw takes, how the filter does, what is due."""

from datetime import tzinfo

from drydown.drawing.draws import LEAST
from drydown.drawing.filter import MOST, Element, Reason
from drydown.drawing.outlook import Outlook
from drydown.drawing.upkeep import Done, Interval, Upkeep
from drydown.estimate.result import Spread
from drydown.texts.amounts import (
    date,
    duration,
    litres,
    long_duration,
    ranged,
    roughly,
    share,
)
from drydown.texts.batches import moment
from drydown.texts.language import later, say

EMPTY = 0.001  # m³; so little is nothing

PARTS = {
    "filter": later("Filter’s element"),
    "cover-cloth": later("Cover’s cloth"),
    "air-filter": later("Blower’s air filter"),
    "bubbler": later("Drilled pipe"),
    "hoses": later("Hoses and clamps"),
    "blower": later("Blower"),
}
TO_DO = {
    "filter": later("Change it."),
    "cover-cloth": later("Wash or change it: a clogged cloth keeps vapour in."),
    "air-filter": later("Clean it: the blower gives less air through dust."),
    "bubbler": later("Clean its holes: soap and dirt close them one by one."),
    "hoses": later("Look for cracks, soft places and loose clamps; change what is not sound."),
    "blower": later("Unplug it, then look at its cable and listen for its bearings."),
}
CAUTION = later(
    "Stay beside it while fuel runs: drydown closes no tap. Stand the can on the ground and let the hose end"
    " at its bottom, since fuel that falls freely can charge up."
)


def headline(found: Outlook) -> str:
    """What can be drawn, and in what time."""
    if found.stood is None:
        return say("Nobody knows yet how much can be drawn.")
    if found.stood.drawable < EMPTY:
        return say("Nothing stands above the standpipe.")
    much = litres(found.stood.drawable)
    if found.whole is None:
        return say("About {much} can be drawn.", much=much)
    return say("About {much} can be drawn, in {time}.", much=much, time=ranged(found.whole, roughly))


def answer(found: Outlook) -> str:
    """How long what was asked takes, or what has to come first."""
    if found.stood is None:
        return say("The level has not been recorded. Look whether the recorder runs.")
    if found.stood.drawable < EMPTY:
        return say("Fill the tank first; what stands lower is drained, not drawn.")
    if found.flow is None:
        return say(
            "How long that takes shows after the next draw of {least} or more, while the level is recorded.",
            least=litres(LEAST),
        )
    if found.asked is None or found.takes is None:
        much = ranged(found.flow, lambda flow: litres(flow * 60.0))
        return say("{much} a minute would run now.", much=much)
    time = ranged(found.takes, roughly)
    if not found.is_enough:
        much, asked = litres(found.stood.drawable), litres(found.asked)
        return say("There are not {asked}: all {much} take {time}.", asked=asked, much=much, time=time)
    return say("{much} take {time}.", much=litres(found.asked), time=time)


def ground(found: Outlook, zone: tzinfo) -> str:
    """What that rests on."""
    if found.stood is None:
        return ""
    at = moment(found.stood.time, zone)
    if found.flow is None:
        return say("By the level of {moment}; litres at 15 °C.", moment=at)
    return say(
        "By the level of {moment} and the newest draws, with the tap as far open as then and no break; litres"
        " at 15 °C. Nine times in ten it takes no less and no more than the range says.",
        moment=at,
    )


def changed(done: Done | None, zone: tzinfo) -> str:
    """When the filter's element was changed."""
    if done is None:
        return say("not noted: counted from the first draw on record")
    return say("{date} ({who})", date=date(done.time, zone), who=done.who)


def left(found: Spread | None) -> str:
    """What is left of the flow since the element was new."""
    if found is None:
        return say("shows after two draws of {least} or more", least=litres(LEAST))
    return ranged(found, share)


def advice(found: Element) -> str:
    """Whether the filter's element should be changed."""
    if Reason.FADED in found.reasons:
        return say("Change the element: fuel runs much more slowly than when it was new.")
    if Reason.LITRES in found.reasons:
        return say("Change the element: it has let {much} through.", much=litres(found.drawn))
    if found.may_have_faded:
        return say("Watch it: the flow may have fallen so far that the element should be changed.")
    if not found.draws:
        return say("Nothing has been drawn through it yet.")
    if found.left is None:
        return say("Whether its flow fades can't be told yet.")
    return say("Its flow is no reason to change it yet.")


def bound() -> str:
    """When a change is advised, and how sure that is."""
    return say(
        "A change is advised once fuel runs at less than three fifths of what it did, at the same level and"
        " with the tap as far open, or after {most}: common practice, no more. Compared are draws of which"
        " every level is still kept.",
        most=litres(MOST),
    )


def part_state(found: Upkeep, zone: tzinfo) -> str:
    """When a part was last looked after, and what it has gone through since."""
    gone = {"time": long_duration(found.lasted), "blown": duration(found.blown)}
    if found.last is None:
        return say("Nobody noted when. Since the first run on record: {time}, blower {blown}.", **gone)
    last = {"date": date(found.last.time, zone), "who": found.last.who}
    return say("Last on {date} ({who}). Since then: {time}, blower {blown}.", **last, **gone)


def usual(found: Interval) -> str:
    """How often it is done."""
    blown = "" if found.blown is None else duration(found.blown)
    lasted = "" if found.lasted is None else long_duration(found.lasted)
    if blown and lasted:
        return say("Usual: after {blown} of the blower or {time}.", blown=blown, time=lasted)
    if blown:
        return say("Usual: after {blown} of the blower.", blown=blown)
    return say("Usual: after {time}.", time=lasted)
