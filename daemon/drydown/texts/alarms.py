"""What every alarm says: what happened, what it can lead to, what to do, how fast."""

from dataclasses import dataclass

from drydown.alarms.lifecycle import Refusal
from drydown.effects import AlarmChanged, Change, Priority
from drydown.texts import words


@dataclass(frozen=True, slots=True)
class Sheet:
    """The four parts of an alarm, with its title; {names} stand for values (`words`)."""

    title: str
    happened: str
    leads_to: str
    do: str
    within: str


UNSAID = {
    "watched": "what it measures",
    "blind": "",
    "enter_after": "nobody can tell yet when one may go in.",
}
"""What stands for values that need not be there."""

CHATTER = (
    " It has come and gone {times} times within ten minutes and now counts as over only after ten quiet "
    "minutes: look for a loose contact, or a value close to its limit."
)

AT_ONCE = "At once."
SOON = "Within ten minutes."
TODAY = "Today."

VAPOUR = "Methanol vapour can burn or explode, and it is poisonous to breathe."
AIR_OUT = (
    "Open the doors, allow no flame or spark, and stay out of the room. If it does not get better, cut the "
    "blower's supply from outside the room."
)

SHEETS: dict[tuple[str, str], Sheet] = {
    ("vent-closed", "value"): Sheet(
        "The blower runs and the vent is closed",
        "The blower is running while the vent is closed, so that the vapour stays in the room.",
        VAPOUR,
        "Cut the blower's supply, from outside the room if you can. Open the vent and the doors, allow no "
        "flame or spark, and let the room air out before you go in.",
        AT_ONCE,
    ),
    ("vent-closed", "lost"): Sheet(
        "Is the vent open? Nothing can tell",
        "The blower may be running with the vent closed: {probe} says nothing ({reason}).",
        VAPOUR,
        "Look whether the vent is open. If you cannot see it, cut the blower's supply. Then mend the "
        "contact.",
        AT_ONCE,
    ),
    ("vapour-high", "value"): Sheet(
        "Methanol vapour in the room",
        "The sensor finds methanol vapour in the room at {share} of the least that can burn.",
        VAPOUR + " It harms people long before it can burn.",
        AIR_OUT,
        AT_ONCE,
    ),
    ("vapour-high", "estimate"): Sheet(
        "Methanol vapour in the room, by reckoning",
        "From what leaves the fuel and the fresh air there is, the room's air holds methanol vapour at "
        "{share} of the least that can burn. This is worked out, not measured.",
        VAPOUR + " It harms people long before it can burn.",
        AIR_OUT,
        AT_ONCE,
    ),
    ("vapour-high", "lost"): Sheet(
        "Vapour in the room? Nothing can tell",
        "How much methanol vapour is in the room is not known: {probe} says nothing ({reason}).",
        VAPOUR,
        "Keep doors and vent open and stay out of the room while the blower runs. Mend the probe.",
        SOON,
    ),
    **{
        ("keep-out", cause): Sheet(
            "Stay out: vapour in the room",
            "The room's air holds {vapour} of methanol vapour" + how + "; {breathable} is the most that one "
            "may breathe for a quarter of an hour. As things are, {enter_after}",
            "Methanol vapour is poisonous: it harms eyes and nerves before you feel anything, and many "
            "people cannot smell it.",
            "Stay out of the room, and keep the vent open. If you must go in, stop the blower first and let "
            "the room air out.",
            "As long as this alarm stands.",
        )
        for cause, how in (("value", ""), ("estimate", ", worked out and not measured"))
    },
    ("fuel-hot", "value"): Sheet(
        "The fuel is too hot",
        "The fuel is at {temperature}; its limit is {limit}.",
        "Hot fuel gives off far more vapour, which can burn or explode, and can harm tank and hoses.",
        "Switch off every heater of the tank and the blower, from outside the room if you can. Open the "
        "doors and stay out until it has cooled.",
        AT_ONCE,
    ),
    ("fuel-hot", "rate"): Sheet(
        "The fuel warms too fast",
        "The fuel is at {temperature} and rises by {rate}; the blower alone can give {possible} at most.",
        "Something else heats it: a heater left on, or fire. Hot fuel gives off vapour that can burn or "
        "explode.",
        "Look for it from outside the room. Switch off every heater of the tank. If you see fire, leave and "
        "call the fire brigade.",
        SOON,
    ),
    ("fuel-hot", "lost"): Sheet(
        "Fuel temperature not known",
        "How hot the fuel is cannot be told: {probe} says nothing that can be believed ({reason}).",
        "Overheating would not be noticed, and drydown cannot tell how dry the fuel is.",
        "Switch off any heater of the tank. Mend the probe.",
        SOON,
    ),
    ("blower-hot", "value"): Sheet(
        "The blower is too hot",
        "The {part} is at {temperature}; the limit is {limit}.",
        "A hot blower can seize, burn out, or light the vapour around it.",
        "Cut the blower's supply. Let it cool, then look for a blocked inlet, a dirty filter or a worn "
        "bearing before it runs again. Then reset this alarm.",
        AT_ONCE,
    ),
    ("blower-hot", "rate"): Sheet(
        "The blower warms too fast",
        "The {part} is at {temperature} and rises by {rate}; in a sound blower it rises by {possible} at "
        "most.",
        "A bearing may be failing, or the inlet is blocked. A hot blower can burn out or light the vapour "
        "around it.",
        "Cut the blower's supply and look at its inlet, its filter and its bearings. Then reset this alarm.",
        SOON,
    ),
    ("blower-hot", "lost"): Sheet(
        "Blower temperature not known",
        "How hot the blower is cannot be told: {probe} says nothing that can be believed ({reason}).",
        "A bearing that runs hot would not be noticed.",
        "Hold a hand near the blower without touching it; if it is hotter than usual, cut its supply. Then "
        "mend the probe.",
        SOON,
    ),
    ("blower-overrun", "value"): Sheet(
        "The blower has run too long",
        "The blower has run for {stretch} without a stop; {longest} is what you allow.",
        "It wears the blower, and the fuel takes up water again when the air is damp.",
        "See whether the fuel is dry and stop the blower.",
        SOON,
    ),
    ("blower-overrun", "lost"): Sheet(
        "Does the blower run? Nothing can tell",
        "Whether the blower runs is not known: {probe} says nothing that can be believed ({reason}).",
        "It may run too long, or have stopped, and nobody would be told.",
        "Look whether the blower runs. Mend the contact.",
        SOON,
    ),
    ("probe-fault", "lost"): Sheet(
        "A probe has failed",
        "Nothing that can be believed comes from {probes} ({reason}), so that nobody knows {watched}.{blind}",
        "Until it is mended nothing warns you of a fault there.",
        "Look for yourself while the blower runs. Check its plug, its cable and its place; replace it if "
        "need be.",
        SOON,
    ),
    ("probe-fault", "board"): Sheet(
        "Nothing is watched: every probe has failed",
        "Nothing that can be believed comes from any probe ({reason}), so that nobody knows {watched}."
        "{blind}",
        "The vent may be closed, the blower or the fuel too hot, and nothing would warn you.",
        "Cut the blower's supply, from outside the room if you can. Then check the board's supply, its "
        "cables and its connectors.",
        AT_ONCE,
    ),
    ("air-damp", "estimate"): Sheet(
        "The air wets the fuel",
        "The blower brings more water in than it takes out: with this air the fuel would come to "
        "{water_floor} of water.",
        "The fuel gets wetter the longer the blower runs.",
        "Stop the blower and wait for drier air, or warm the fuel. The tank's page tells what would do.",
        "Within the hour.",
    ),
    **{
        ("watch-degraded", part): Sheet(
            f"drydown: trouble with {name}",
            "Not everything works: {parts} ({reason}).",
            leads_to,
            do,
            TODAY,
        )
        for part, name, leads_to, do in (
            (
                "broker",
                words.PARTS["broker"],
                "Alarms still come, but nothing reaches the record or other programs until it is back.",
                "Start the broker again. What was not recorded meanwhile follows by itself.",
            ),
            (
                "store",
                words.PARTS["store"],
                "The alarms still come, but what happens now may be missing from the record.",
                "Run `drydown check`; it says what to mend.",
            ),
            (
                "disk",
                words.PARTS["disk"],
                "Soon nothing more can be recorded. The alarms still come.",
                "Make room on it, or replace the memory card if it fails.",
            ),
            (
                "notices",
                words.PARTS["notices"],
                "Alarms show on the pages, but may not reach your phone.",
                "Look at the pages until it is mended. Run `drydown check --notify` to try each way.",
            ),
            (
                "clock",
                words.PARTS["clock"],
                "Times on the pages may be wrong. Alarms and lengths of time are right.",
                "See that the board has a network, or set its clock.",
            ),
            (
                "board",
                words.PARTS["board"],
                "It may stop, and then nothing is watched.",
                "Check its power supply, its cable and its cooling.",
            ),
            (
                "estimate",
                words.PARTS["estimate"],
                "How dry the fuel is, and the vapour in the room that is worked out from that, can't be "
                "told. All other alarms still come.",
                "Go by your own tests. If it lasts for some minutes, restart `drydown watch`, and report it.",
            ),
            (
                "watch",
                words.PARTS["watch"],
                "For some seconds nothing was watched. The alarms that stood still stand, and new ones come "
                "again.",
                "Look at the tank and its alarms. Report it with the log of `drydown watch`.",
            ),
            (
                "probes",
                words.PARTS["probes"],
                "Its readings are left out, so that what it measures may be unwatched.",
                "Look at the board that sends them.",
            ),
        )
    },
}

NOT_WATCHED = {
    "vent-closed": "The vent is not watched: no contact shows whether it is open.",
    "blower-hot": "The blower's heat is not watched: no temperature probe is on it.",
}


REFUSALS = {
    Refusal.UNKNOWN: "There is no alarm of that name.",
    Refusal.EMERGENCY: "An emergency cannot be kept quiet. Acknowledge it, and mend what it tells of.",
    Refusal.NOTHING: "The alarm is not in a state in which that does anything.",
    Refusal.STANDING: "The alarm that stopped the blower still stands. Mend what it tells of first.",
    Refusal.NOT_CUT: "drydown does not hold the blower off. If it does not start, look at its own switch.",
}


def sheet(alarm: str, cause: str) -> Sheet:
    """The sheet of an alarm with its {names} unfilled. Raises KeyError for one that does not exist."""
    return SHEETS[alarm, cause]


def text(changed: AlarmChanged) -> Sheet:
    """The four parts in words, for an alarm that has been raised (or that was, once)."""
    found = SHEETS[changed.alarm, changed.cause]
    said = UNSAID | words.put(changed.values)
    within = AT_ONCE if changed.priority is Priority.EMERGENCY else found.within
    happened = found.happened.format(**said)
    if "times" in changed.values:
        happened += CHATTER.format(times=said["times"])
    return Sheet(found.title, happened, found.leads_to, found.do, within)


def message(changed: AlarmChanged) -> str:
    """What has changed, in one or two sentences."""
    if changed.change is Change.REMOVED:
        return NOT_WATCHED[changed.alarm]
    if changed.change is Change.SUPPRESSED:
        cause = changed.values.get("explained_by", "another alarm")
        return f"{text(changed).title}: held back, because {cause} tells of the same cause."
    if changed.change is Change.RESTORED:
        return f"Now watched: {changed.alarm}."
    if not changed.cause:
        return f"{changed.alarm}: {_done(changed)}."
    told = text(changed)
    if changed.change is Change.RAISED:
        return f"{told.title}. {told.happened}"
    return f"{told.title}: {_done(changed)}."


def _done(changed: AlarmChanged) -> str:
    by = f" by {changed.who}" if changed.who else ""
    return {
        Change.RAISED: "raised",
        Change.RETURNED: "over",
        Change.ACKNOWLEDGED: f"seen{by}",
        Change.SHELVED: f"kept quiet for a while{by}",
        Change.UNSHELVED: f"no longer kept quiet{by}",
        Change.UNSUPPRESSED: "no longer held back",
        Change.RESET: f"reset{by}",
        Change.REMOVED: "not watched",
        Change.RESTORED: "watched again",
    }[changed.change]
