"""The sheet of every alarm: what happened, what it can lead to, what to do, how fast."""

from dataclasses import dataclass

from drydown.texts.language import later


@dataclass(frozen=True, slots=True)
class Sheet:
    """The four parts of an alarm, with its title; {names} stand for values (`words`)."""

    title: str
    happened: str
    leads_to: str
    do: str
    within: str


AT_ONCE = later("At once.")
SOON = later("Within ten minutes.")
TODAY = later("Today.")
WHILE_IT_STANDS = later("As long as this alarm stands.")

VAPOUR = later("Methanol vapour can burn or explode, and it is poisonous to breathe.")
HARMFUL = later(
    "Methanol vapour can burn or explode, and it is poisonous to breathe. It harms people long before it can "
    "burn."
)
POISON = later(
    "Methanol vapour is poisonous: it harms eyes and nerves before you feel anything, and many people cannot "
    "smell it."
)
SPILT = later(
    "A leak, or a drain left open: fuel and its vapour spread over the floor, where they can burn; it is "
    "slippery and poisonous."
)
STAY_OUT = later(
    "Stay out of the room, and keep the vent open. If you must go in, stop the blower first and let the room "
    "air out."
)
AIR_OUT = later(
    "Open the doors, allow no flame or spark, and stay out of the room. If it does not get better, cut the "
    "blower's supply from outside the room."
)

SHEETS: dict[tuple[str, str], Sheet] = {
    ("vent-closed", "value"): Sheet(
        later("The blower runs and the vent is closed"),
        later("The blower is running while the vent is closed, so that the vapour stays in the room."),
        VAPOUR,
        later(
            "Cut the blower's supply, from outside the room if you can. Open the vent and the doors, allow "
            "no flame or spark, and let the room air out before you go in."
        ),
        AT_ONCE,
    ),
    ("vent-closed", "lost"): Sheet(
        later("Is the vent open? Nothing can tell"),
        later("The blower may be running with the vent closed: {probe} says nothing ({reason})."),
        VAPOUR,
        later(
            "Look whether the vent is open. If you cannot see it, cut the blower's supply. Then mend the "
            "contact."
        ),
        AT_ONCE,
    ),
    ("vapour-high", "value"): Sheet(
        later("Methanol vapour in the room"),
        later("The sensor finds methanol vapour in the room at {share} of the least that can burn."),
        HARMFUL,
        AIR_OUT,
        AT_ONCE,
    ),
    ("vapour-high", "estimate"): Sheet(
        later("Methanol vapour in the room, by reckoning"),
        later(
            "From what leaves the fuel and the fresh air there is, the room's air holds methanol vapour at "
            "{share} of the least that can burn. This is worked out, not measured."
        ),
        HARMFUL,
        AIR_OUT,
        AT_ONCE,
    ),
    ("vapour-high", "lost"): Sheet(
        later("Vapour in the room? Nothing can tell"),
        later("How much methanol vapour is in the room is not known: {probe} says nothing ({reason})."),
        VAPOUR,
        later("Keep doors and vent open and stay out of the room while the blower runs. Mend the probe."),
        SOON,
    ),
    ("level-falling", "rate"): Sheet(
        later("The tank loses fuel"),
        later(
            "The level falls by {leaving} while the blower rests, and nobody has said that fuel is drawn or "
            "drained. So far {gone} are gone."
        ),
        SPILT,
        later(
            "Allow no flame or spark. Look for an open drain or a leak, close it, and catch the fuel. If you "
            "are drawing it yourself, say so on the tank's page."
        ),
        AT_ONCE,
    ),
    ("level-falling", "bubbling"): Sheet(
        later("The tank loses fuel"),
        later(
            "The level falls by {leaving} while the blower runs, and nobody has said that fuel is drawn or "
            "drained. So far {gone} are gone."
        ),
        SPILT,
        later(
            "Stop the blower. Allow no flame or spark. Look for an open drain or a leak, close it, and catch "
            "the fuel. If you are drawing it yourself, say so on the tank's page."
        ),
        AT_ONCE,
    ),
    ("level-falling", "lost"): Sheet(
        later("A leak? Nothing can tell"),
        later(
            "Whether the tank loses fuel is not known: {probe} says nothing that can be believed ({reason})."
        ),
        later("Fuel could run out, and burn, and nobody would be told."),
        later("Look whether the drain is closed and the floor is dry. Mend the gauge."),
        SOON,
    ),
    ("level-high", "value"): Sheet(
        later("The tank is full to the brim"),
        later("The fuel stands {headroom} below the brim."),
        later("It can run over, and fuel on the floor or on a hot blower can burn."),
        later("Stop filling and stop the blower. Drain until there is room for the bubbles."),
        AT_ONCE,
    ),
    ("level-high", "foam"): Sheet(
        later("The fuel foams"),
        later(
            "Foam rises in the tank, far above where bubbling lifts the fuel; {headroom} are left to the "
            "brim."
        ),
        later("Foam can run over or into the vent, and what runs over can burn. Soap or water makes it."),
        later(
            "Stop the blower and let the foam fall. Start it again with less air, once what settled is "
            "drained."
        ),
        AT_ONCE,
    ),
    ("level-high", "lost"): Sheet(
        later("Foam? Nothing can tell"),
        later(
            "Whether the tank runs over is not known: {probe} says nothing that can be believed ({reason})."
        ),
        later("Foam or too much fuel could run over, and burn, and nobody would be told."),
        later("Look into the tank, or stop the blower. Mend the gauge."),
        SOON,
    ),
    ("keep-out", "value"): Sheet(
        later("Stay out: vapour in the room"),
        later(
            "The room's air holds {vapour} of methanol vapour; {breathable} is the most that one may breathe "
            "for a quarter of an hour. As things are, {enter_after}"
        ),
        POISON,
        STAY_OUT,
        WHILE_IT_STANDS,
    ),
    ("keep-out", "estimate"): Sheet(
        later("Stay out: vapour in the room"),
        later(
            "The room's air holds {vapour} of methanol vapour, worked out and not measured; {breathable} is "
            "the most that one may breathe for a quarter of an hour. As things are, {enter_after}"
        ),
        POISON,
        STAY_OUT,
        WHILE_IT_STANDS,
    ),
    ("fuel-hot", "value"): Sheet(
        later("The fuel is too hot"),
        later("The fuel is at {temperature}; its limit is {limit}."),
        later("Hot fuel gives off far more vapour, which can burn or explode, and can harm tank and hoses."),
        later(
            "Switch off every heater of the tank and the blower, from outside the room if you can. Open the "
            "doors and stay out until it has cooled."
        ),
        AT_ONCE,
    ),
    ("fuel-hot", "rate"): Sheet(
        later("The fuel warms too fast"),
        later(
            "The fuel is at {temperature} and rises by {rate}; the blower alone can give {possible} at most."
        ),
        later(
            "Something else heats it: a heater left on, or fire. Hot fuel gives off vapour that can burn or "
            "explode."
        ),
        later(
            "Look for it from outside the room. Switch off every heater of the tank. If you see fire, leave "
            "and call the fire brigade."
        ),
        SOON,
    ),
    ("fuel-hot", "lost"): Sheet(
        later("Fuel temperature not known"),
        later("How hot the fuel is cannot be told: {probe} says nothing that can be believed ({reason})."),
        later("Overheating would not be noticed, and drydown cannot tell how dry the fuel is."),
        later("Switch off any heater of the tank. Mend the probe."),
        SOON,
    ),
    ("blower-hot", "value"): Sheet(
        later("The blower is too hot"),
        later("The {part} is at {temperature}; the limit is {limit}."),
        later("A hot blower can seize, burn out, or light the vapour around it."),
        later(
            "Cut the blower's supply. Let it cool, then look for a blocked inlet, a dirty filter or a worn "
            "bearing before it runs again. Then reset this alarm."
        ),
        AT_ONCE,
    ),
    ("blower-hot", "rate"): Sheet(
        later("The blower warms too fast"),
        later(
            "The {part} is at {temperature} and rises by {rate}; in a sound blower it rises by {possible} at "
            "most."
        ),
        later(
            "A bearing may be failing, or the inlet is blocked. A hot blower can burn out or light the "
            "vapour around it."
        ),
        later(
            "Cut the blower's supply and look at its inlet, its filter and its bearings. Then reset this "
            "alarm."
        ),
        SOON,
    ),
    ("blower-hot", "lost"): Sheet(
        later("Blower temperature not known"),
        later("How hot the blower is cannot be told: {probe} says nothing that can be believed ({reason})."),
        later("A bearing that runs hot would not be noticed."),
        later(
            "Hold a hand near the blower without touching it; if it is hotter than usual, cut its supply. "
            "Then mend the probe."
        ),
        SOON,
    ),
    ("blower-overrun", "value"): Sheet(
        later("The blower has run too long"),
        later("The blower has run for {stretch} without a stop; {longest} is what you allow."),
        later("It wears the blower, and the fuel takes up water again when the air is damp."),
        later("See whether the fuel is dry and stop the blower."),
        SOON,
    ),
    ("blower-overrun", "lost"): Sheet(
        later("Does the blower run? Nothing can tell"),
        later("Whether the blower runs is not known: {probe} says nothing that can be believed ({reason})."),
        later("It may run too long, or have stopped, and nobody would be told."),
        later("Look whether the blower runs. Mend the contact."),
        SOON,
    ),
    ("blower-weak", "estimate"): Sheet(
        later("The blower gives too little air"),
        later(
            "By how far the bubbles lift the fuel, and what is measured at the blower, it gives about {flow} "
            "of its usual air, and {flow_most} at most."
        ),
        later("The fuel dries far more slowly than it is thought to, and a blower that is choked gets hot."),
        later(
            "Look for something before its inlet, a dirty filter, a squeezed or loose hose, or a blower that "
            "has stopped."
        ),
        SOON,
    ),
    ("blower-weak", "lost"): Sheet(
        later("The blower's air? Nothing can tell"),
        later(
            "How much air the blower gives is not known: {probe} says nothing that can be believed "
            "({reason})."
        ),
        later("A choked blower would not be noticed until it is hot."),
        later("Look whether the fuel bubbles. Mend the gauge."),
        SOON,
    ),
    ("probe-fault", "lost"): Sheet(
        later("A probe has failed"),
        later(
            "Nothing that can be believed comes from {probes} ({reason}), so that nobody knows "
            "{watched}.{blind}"
        ),
        later("Until it is mended nothing warns you of a fault there."),
        later(
            "Look for yourself while the blower runs. Check its plug, its cable and its place; replace it if "
            "need be."
        ),
        SOON,
    ),
    ("probe-fault", "board"): Sheet(
        later("Nothing is watched: every probe has failed"),
        later(
            "Nothing that can be believed comes from any probe ({reason}): drydown sees nothing of this tank."
        ),
        later("The vent may be closed, the blower or the fuel too hot, and nothing would warn you."),
        later(
            "Cut the blower's supply, from outside the room if you can. Then check the board's supply, its "
            "cables and its connectors."
        ),
        AT_ONCE,
    ),
    ("air-damp", "estimate"): Sheet(
        later("The air wets the fuel"),
        later(
            "The blower brings more water in than it takes out: with this air the fuel would come to "
            "{water_floor} of water."
        ),
        later("The fuel gets wetter the longer the blower runs."),
        later(
            "Stop the blower and wait for drier air, or warm the fuel. The tank's page tells what would do."
        ),
        later("Within the hour."),
    ),
    **{
        ("watch-degraded", part): Sheet(
            title,
            later("What is wrong: {reason}.{parts}"),
            leads_to,
            do,
            TODAY,
        )
        for part, title, leads_to, do in (
            (
                "broker",
                later("drydown: trouble with the message broker"),
                later(
                    "Alarms still come, but nothing reaches the record or other programs until it is back."
                ),
                later("Start the broker again. What was not recorded meanwhile follows by itself."),
            ),
            (
                "store",
                later("drydown: trouble with the record"),
                later("The alarms still come, but what happens now may be missing from the record."),
                later("Run `drydown check`; it says what to mend."),
            ),
            (
                "disk",
                later("drydown: trouble with the disk"),
                later("Soon nothing more can be recorded. The alarms still come."),
                later("Make room on it, or replace the memory card if it fails."),
            ),
            (
                "notices",
                later("drydown: trouble with the way to your phone"),
                later("Alarms show on the pages, but may not reach your phone."),
                later("Look at the pages until it is mended. Run `drydown check --notify` to try each way."),
            ),
            (
                "clock",
                later("drydown: trouble with the clock"),
                later("Times on the pages may be wrong. Alarms and lengths of time are right."),
                later("See that the board has a network, or set its clock."),
            ),
            (
                "board",
                later("drydown: trouble with the board"),
                later("It may stop, and then nothing is watched."),
                later("Check its power supply, its cable and its cooling."),
            ),
            (
                "estimate",
                later("drydown: trouble with the estimate"),
                later(
                    "How dry the fuel is, and the vapour in the room that is worked out from that, can't be "
                    "told. All other alarms still come."
                ),
                later(
                    "Go by your own tests. If it lasts for some minutes, restart `drydown watch`, and report "
                    "it."
                ),
            ),
            (
                "watch",
                later("drydown: trouble with the watching itself"),
                later(
                    "For some seconds nothing was watched. The alarms that stood still stand, and new ones "
                    "come again."
                ),
                later("Look at the tank and its alarms. Report it with the log of `drydown watch`."),
            ),
            (
                "probes",
                later("drydown: trouble with another board's readings"),
                later("Its readings are left out, so that what it measures may be unwatched."),
                later("Look at the board that sends them."),
            ),
            (
                "doubt",
                later("drydown: trouble with probes that disagree"),
                later(
                    "What they read is left out of the estimate, which may tell nothing meanwhile. Alarms "
                    "heed it."
                ),
                later("Hold the probes in the same water, and correct or replace the one that is wrong."),
            ),
            (
                "forward",
                later("drydown: trouble with sending the record on"),
                later("The other server does not have all of the record. On this board nothing is missing."),
                later("Mend what is said here. What waits then follows by itself."),
            ),
        )
    },
}
