"""What every alarm says: its sheet with the numbers of the moment, and what has changed, in words."""

from drydown.alarms.lifecycle import Refusal
from drydown.effects import AlarmChanged, Change, Priority
from drydown.texts import words
from drydown.texts.sheets import AT_ONCE, SHEETS, Sheet

UNSAID = {
    "headroom": "not many centimetres",
    "watched": "what it measures",
    "blind": "",
    "enter_after": "nobody can tell yet when one may go in.",
}
"""What stands for values that need not be there."""

CHATTER = (
    " It has come and gone {times} times within ten minutes and now counts as over only after ten quiet "
    "minutes: look for a loose contact, or a value close to its limit."
)

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
