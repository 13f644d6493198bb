"""What can be wrong with a reading: how each fault is noticed, within what time, and what the user is told.

Conditioning and probes take their verdicts from here, and the guide's table of faults is written from it.
"""

from dataclasses import dataclass

from drydown.condition import table
from drydown.reading import Quality

Verdict = tuple[Quality, str]


@dataclass(frozen=True, slots=True)
class Fault:
    """One kind of fault. `told` has its values in braces, as `str.format` wants them."""

    title: str
    quality: Quality  # what a reading with it becomes
    noticed: str
    within: str
    told: str

    def found(self, **values: object) -> Verdict:
        """The judgement of a reading that has it."""
        return self.quality, self.told.format(**values)


AT_ONCE = "the same reading"

ABSENT = Fault(
    "falls silent",
    Quality.BAD,
    "nothing comes although readings used to come",
    f"{table.SILENCE:g} s, 3.5 times the usual interval, or a board's `max_age`, whichever is longest",
    "nothing has come from the probe for {seconds:.0f} s: check its plug and cable",
)
NOTHING = Fault(
    "gives no value",
    Quality.BAD,
    "the probe answers, but with nothing; where it says why, its own words are told",
    AT_ONCE,
    "the probe gave no value",
)
FUTURE = Fault(
    "stamped in the future",
    Quality.BAD,
    f"its time is more than {table.EARLY:g} s ahead of the board's clock",
    AT_ONCE,
    "stamped {seconds:.0f} s in the future: check the clock of whoever sent it",
)
TWICE = Fault(
    "the same moment twice",
    Quality.BAD,
    "its time is that of the reading before",
    AT_ONCE,
    "a second reading of the same moment: is the probe read, or sent, twice?",
)
LATE = Fault(
    "out of order",
    Quality.BAD,
    "its time is before that of the reading ahead of it",
    AT_ONCE,
    "stamped {seconds:.0f} s before the reading that came ahead of it",
)
NOT_A_SWITCH = Fault(
    "a number for a switch",
    Quality.BAD,
    "the kind of the value",
    AT_ONCE,
    "a number where yes or no is wanted",
)
NOT_A_NUMBER = Fault(
    "yes or no for a number",
    Quality.BAD,
    "the kind of the value",
    AT_ONCE,
    "yes or no where a number is wanted",
)
NOT_FINITE = Fault(
    "no finite number",
    Quality.BAD,
    "the value is infinite, or no number",
    AT_ONCE,
    "not a finite number",
)
POWER_ON = Fault(
    "just powered",
    Quality.BAD,
    "exactly the value that the sensor holds before its first conversion, unless the last one believed was "
    f"within {table.NEAR_POWER_ON:g} K of it",
    AT_ONCE,
    "exactly {now}, the value that a {sensor} holds when it has just been powered: "
    "check its supply and its plug",
)
FAR_OUT = Fault(
    "out of range",
    Quality.BAD,
    "beyond what the sensor can read by its data sheet, and beyond its own inaccuracy there",
    AT_ONCE,
    "{now} is outside what a {sensor} can read ({low} to {high}): check its wiring and calibration",
)
JUST_OUT = Fault(
    "just out of range",
    Quality.DOUBTFUL,
    "beyond what the sensor can read, but by no more than it may err",
    AT_ONCE,
    "{now} is a little outside what a {sensor} can read ({low} to {high}): it is at its stop, "
    "or its calibration is off",
)
LEAP = Fault(
    "impossible jump",
    Quality.BAD,
    "a change since the last reading believed that no tank can have; "
    f"{table.CONFIRMED_BY} readings in a row that agree are believed, with a doubt",
    AT_ONCE,
    "from {before} to {now} within {seconds:.0f} s, faster than it can change: "
    "check the probe's plug and place",
)
MOVED = Fault(
    "jump that stays",
    Quality.DOUBTFUL,
    f"an impossible jump that {table.CONFIRMED_BY} readings in a row agree on",
    f"{table.CONFIRMED_BY} readings",
    "from {before} to {now} within {seconds:.0f} s, and it stays there",
)
FAST = Fault(
    "unusual jump",
    Quality.DOUBTFUL,
    "a change since the last reading that is possible but not usual; alarms heed it",
    AT_ONCE,
    "from {before} to {now} within {seconds:.0f} s, which is faster than usual",
)
RUNAWAY = Fault(
    "a rate no tank can have",
    Quality.BAD,
    f"more change within {table.MINUTE:g} s than any tank can have, however small the steps",
    f"{table.MINUTE:g} s",
    "from {before} to {now} within {seconds:.0f} s, a rate that no tank can have: check the probe's wiring",
)
CREEPING = Fault(
    "an unusual rate",
    Quality.DOUBTFUL,
    f"more change within {table.MINUTE:g} s than is usual, in steps of which each is; alarms heed it",
    f"{table.MINUTE:g} s",
    "from {before} to {now} in steps within {seconds:.0f} s, which is faster than usual",
)
EMPTY = Fault(
    "no level",
    Quality.DOUBTFUL,
    f"a level below {table.EMPTY * 1000:g} mm",
    AT_ONCE,
    "{now} means that the tank is empty, or the level probe wrong",
)
STUCK = Fault(
    "stuck",
    Quality.BAD,
    f"the same digits while others changed theirs {table.OTHERS_MOVED} times or more; temperatures of fuel "
    "and blower, and the level, are held to it only while the blower runs",
    f"{table.STUCK_AFTER / 60:g} min where its digits usually flicker (or {table.STUCK_FACTOR:g} times as "
    "long as it usually takes one to change); else the time that stands below",
    "stuck at {now} for {minutes:.0f} min while others move: check that probe",
)
APART = Fault(
    "two disagree at rest",
    Quality.DOUBTFUL,
    "after long rest two temperatures differ, on average over hours, by more than both sensors may err and "
    "more than the slower one can trail behind; both are doubted, unless a third tells which is wrong",
    "the time that stands below",
    "over {hours:.0f} h at rest it was {apart} {way} {other} on average, where they should agree: "
    "hold both in the same water, and correct or replace the one that is wrong",
)
COLD_AIR = Fault(
    "blower gives cold air",
    Quality.DOUBTFUL,
    "the air that the blower gives reads colder than the air it draws, by more than both sensors may err",
    f"{table.COLD_AFTER / 60:g} min, once the blower has run for {table.WARM_AFTER / 60:g} min",
    "{seconds:.0f} s long the blower's air read colder than the air of the room, which it warms: "
    "check that the two probes sit where they should, and hold both in the same water",
)

FAULTS: tuple[Fault, ...] = tuple(fault for fault in list(globals().values()) if isinstance(fault, Fault))
"""Every kind that conditioning finds, in the order in which they stand here."""
