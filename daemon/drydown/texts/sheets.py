"""The sheet of every alarm: what happened, what it can lead to, what to do, how fast."""

from dataclasses import dataclass

from drydown.texts import words


@dataclass(frozen=True, slots=True)
class Sheet:
    """The four parts of an alarm, with its title; {names} stand for values (`words`)."""

    title: str
    happened: str
    leads_to: str
    do: str
    within: str


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
        ("level-falling", cause): Sheet(
            "The tank loses fuel",
            "The level falls by {leaving}" + how + ", and nobody has said that fuel is drawn or drained. So "
            "far {gone} are gone.",
            "A leak, or a drain left open: fuel and its vapour spread over the floor, where they can burn; "
            "it is slippery and poisonous.",
            do
            + "Allow no flame or spark. Look for an open drain or a leak, close it, and catch the fuel. If "
            "you are drawing it yourself, say so on the tank's page.",
            AT_ONCE,
        )
        for cause, how, do in (
            ("rate", " while the blower rests", ""),
            ("bubbling", " while the blower runs", "Stop the blower. "),
        )
    },
    ("level-falling", "lost"): Sheet(
        "A leak? Nothing can tell",
        "Whether the tank loses fuel is not known: {probe} says nothing that can be believed ({reason}).",
        "Fuel could run out, and burn, and nobody would be told.",
        "Look whether the drain is closed and the floor is dry. Mend the gauge.",
        SOON,
    ),
    ("level-high", "value"): Sheet(
        "The tank is full to the brim",
        "The fuel stands {headroom} below the brim.",
        "It can run over, and fuel on the floor or on a hot blower can burn.",
        "Stop filling and stop the blower. Drain until there is room for the bubbles.",
        AT_ONCE,
    ),
    ("level-high", "foam"): Sheet(
        "The fuel foams",
        "Foam rises in the tank, far above where bubbling lifts the fuel; {headroom} are left to the brim.",
        "Foam can run over or into the vent, and what runs over can burn. Soap or water makes it.",
        "Stop the blower and let the foam fall. Start it again with less air, once what settled is drained.",
        AT_ONCE,
    ),
    ("level-high", "lost"): Sheet(
        "Foam? Nothing can tell",
        "Whether the tank runs over is not known: {probe} says nothing that can be believed ({reason}).",
        "Foam or too much fuel could run over, and burn, and nobody would be told.",
        "Look into the tank, or stop the blower. Mend the gauge.",
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
    ("blower-weak", "estimate"): Sheet(
        "The blower gives too little air",
        "By how far the bubbles lift the fuel, and what is measured at the blower, it gives about {flow} of "
        "its usual air, and {flow_most} at most.",
        "The fuel dries far more slowly than it is thought to, and a blower that is choked gets hot.",
        "Look for something before its inlet, a dirty filter, a squeezed or loose hose, or a blower that has "
        "stopped.",
        SOON,
    ),
    ("blower-weak", "lost"): Sheet(
        "The blower's air? Nothing can tell",
        "How much air the blower gives is not known: {probe} says nothing that can be believed ({reason}).",
        "A choked blower would not be noticed until it is hot.",
        "Look whether the fuel bubbles. Mend the gauge.",
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
            (
                "doubt",
                words.PARTS["doubt"],
                "What they read is left out of the estimate, which may tell nothing meanwhile. Alarms heed "
                "it.",
                "Hold the probes in the same water, and correct or replace the one that is wrong.",
            ),
        )
    },
}
