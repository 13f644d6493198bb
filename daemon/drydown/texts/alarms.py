"""What every alarm says: its sheet with the numbers of the moment, and what has changed, in words."""

from drydown.alarms.lifecycle import Refusal
from drydown.effects import AlarmChanged, Change, Priority
from drydown.texts import words
from drydown.texts.language import later, say
from drydown.texts.sheets import AT_ONCE, SHEETS, Sheet

UNSAID = {
    "headroom": later("not many centimetres"),
    "watched": later("what it measures"),
    "blind": "",
    "enter_after": later("nobody can tell yet when one may go in."),
}
"""What stands for values that need not be there."""

CHATTER = later(
    "It has come and gone {times} times within ten minutes and now counts as over only after ten quiet "
    "minutes: look for a loose contact, or a value close to its limit."
)

AFTER = later("Another alarm came first, and this one may follow from it: {alarm}.")

NOT_WATCHED = {
    "vent-closed": later("The vent is not watched: no contact shows whether it is open."),
    "blower-hot": later("The blower's heat is not watched: no temperature probe is on it."),
}

REFUSALS = {
    Refusal.UNKNOWN: later("There is no alarm of that name."),
    Refusal.EMERGENCY: later("An emergency cannot be kept quiet. Acknowledge it, and mend what it tells of."),
    Refusal.NOTHING: later("The alarm is not in a state in which that does anything."),
    Refusal.STANDING: later("The alarm that stopped the blower still stands. Mend what it tells of first."),
    Refusal.NOT_CUT: later(
        "drydown does not hold the blower off. If it does not start, look at its own switch."
    ),
}


def text(changed: AlarmChanged) -> Sheet:
    """The four parts in words, for an alarm that has been raised (or that was, once)."""
    found = SHEETS[changed.alarm, changed.cause]
    said = {name: say(word) for name, word in UNSAID.items()} | words.put(changed.values)
    within = AT_ONCE if changed.priority is Priority.EMERGENCY else found.within
    happened = say(found.happened, **said)
    if "times" in changed.values:
        happened += f" {say(CHATTER, times=said['times'])}"
    if "after" in changed.values:
        first = title(str(changed.values["after"]), str(changed.values["after_cause"]))
        happened += f" {say(AFTER, alarm=first)}"
    return Sheet(
        title(changed.alarm, changed.cause), happened, say(found.leads_to), say(found.do), say(within)
    )


def title(alarm: str, cause: str) -> str:
    """What stands above an alarm."""
    return say(SHEETS[alarm, cause].title)


def message(changed: AlarmChanged) -> str:
    """What has changed, in one or two sentences."""
    if changed.change is Change.REMOVED:
        return say(NOT_WATCHED[changed.alarm])
    if changed.change is Change.SUPPRESSED:
        held, cause = text(changed).title, str(changed.values.get("explained_by", ""))
        if not cause:
            return say("{alarm}: held back, because another alarm tells of the same cause.", alarm=held)
        return say(
            "{alarm}: held back, because the alarm about {subject} tells of the same cause.",
            alarm=held,
            subject=words.listed(cause, words.ALARMS),
        )
    about = words.listed(changed.alarm, words.ALARMS)
    if changed.change is Change.RESTORED:
        return say("Watched from now on: {subject}.", subject=about)
    if not changed.cause:
        return f"{words.capital(about)}: {_done(changed)}."
    told = text(changed)
    if changed.change is Change.RAISED:
        return f"{told.title}. {told.happened}"
    return f"{told.title}: {_done(changed)}."


DONE = {
    Change.RAISED: later("raised"),
    Change.RETURNED: later("over"),
    Change.ACKNOWLEDGED: later("seen"),
    Change.SHELVED: later("kept quiet for a while"),
    Change.UNSHELVED: later("no longer kept quiet"),
    Change.UNSUPPRESSED: later("no longer held back"),
    Change.RESET: later("reset"),
    Change.REMOVED: later("not watched"),
    Change.RESTORED: later("watched again"),
}
DONE_BY = {
    Change.ACKNOWLEDGED: later("seen by {who}"),
    Change.SHELVED: later("kept quiet for a while by {who}"),
    Change.UNSHELVED: later("no longer kept quiet by {who}"),
    Change.RESET: later("reset by {who}"),
}


def _done(changed: AlarmChanged) -> str:
    if changed.who and changed.change in DONE_BY:
        return say(DONE_BY[changed.change], who=changed.who)
    return say(DONE[changed.change])
