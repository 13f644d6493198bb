"""What a notice says on a phone: a title and a few lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from drydown.effects import AlarmChanged, Change, NoticeDue, Priority
from drydown.estimate.result import gathered
from drydown.texts import advice, alarms, amounts, words
from drydown.texts.language import later, say

CAUTION = later("drydown estimates; it is not a gas detector and no safety system.")
CONFIRM = later("Confirm it by a test before the fuel is used.")

TITLES = {
    "methanol-gone": later("{tank}: methanol gone"),
    "dry": later("{tank}: the fuel is dry"),
    "air-limited": later("{tank}: this air can dry no further"),
    "wetting": later("{tank}: this air wets the fuel"),
    "stop": later("{tank}: stop the blower, let it settle"),
    "rested": later("{tank}: the fuel has rested"),
    "clock": later("{tank}: the clock was wrong"),
    "supply-cut": later("{tank}: drydown has stopped the blower"),
}

BODIES = {
    "methanol-gone": later(
        "At {at}, after {run_time} of bubbling, the methanol is within its limit: at most {methanol_high}. "
        "Once the blower stops, soap and glycerin can settle. Water may still have to leave: the next "
        "notice tells."
    ),
    "dry": later(
        "At {at}, after {run_time} of bubbling, methanol (at most {methanol_high}) and water (at most "
        "{water_high}) are within their limits. You can stop the blower and let the fuel rest. Confirm it by "
        "a test before the fuel is used."
    ),
    "air-limited": later(
        "At {at} the methanol is gone, but with this air the water stays at about {water_floor}, above its "
        "limit. More bubbling gains nothing now. {advice}"
    ),
    "wetting": later(
        "At {at} the methanol is gone, but this air brings water in, up to about {water_floor}. Stop the "
        "blower for now. {advice}"
    ),
    "stop": later(
        "At {at}, after {run_time} of bubbling, the blower still runs and gains nothing more: the methanol "
        "is gone (at most {methanol_high}), and {end}. Switch it off and let the fuel rest: soap and "
        "glycerin sink only in still fuel, and you are told when it has rested."
    ),
    "rested": later(
        "Until {at} the fuel has rested for {rested}.{settled} Drain from the bottom what has settled, take "
        "a sample, and draw from the standpipe{drawable}. Confirm it by a test before the fuel is used."
    ),
    "clock": later(
        "At {at} the board's clock turned out to have been {wrong_by}. Times told since the board was last "
        "started, or for the last day, were put right with it, and every length of time is as it was. "
        "There is nothing to do, unless the clock now shows another time than yours: then set it."
    ),
    "supply-cut": later(
        "At {at} the blower's supply was cut, because of this: {why}. First do what the alarm says. Then "
        "press “Let the blower run again” on the page; it starts only when somebody switches it on by hand."
    ),
}

ENDS = {
    "dry": later("the fuel is dry (water at most {water_high})"),
    "air-limited": later("with this air the water stays at about {water_floor}"),
    "wetting": later("this air brings water in, up to about {water_floor}"),
}
"""Why bubbling gains nothing more, by verdict."""

SETTLED = later(" Drops of {size} and more have fallen below the standpipe by now.")

OVER = later("{tank}: over: {alarm}")
URGENT = {
    Priority.EMERGENCY: later("{tank}: EMERGENCY: {alarm}"),
    Priority.HIGH: later("{tank}: HIGH: {alarm}"),
    Priority.LOW: later("{tank}: LOW: {alarm}"),
}

ABOUT = ("alarm", "change", "cause")
"""What a notice says of an alarm besides the values that its text is made of."""


@dataclass(frozen=True, slots=True)
class NoticeText:
    """What stands on the phone."""

    title: str
    body: str


def text(notice: NoticeDue, tank: str, unix_time: float, zone: tzinfo) -> NoticeText:
    """A notice about a tank in words. `unix_time` is when it happened, `zone` where the tank stands."""
    at = amounts.clock(unix_time, zone)
    if notice.kind == "alarm":
        day = datetime.fromtimestamp(unix_time, zone).date()
        return _alarm_text(notice, tank, f"{at} on {day}")  # it may be said again another day
    helps = advice.against_damp(gathered(notice.values), unix_time, zone)
    said = words.put(notice.values) | {"at": at, "tank": tank, "advice": helps}
    drawable = said.get("drawable")
    said |= {"drawable": say(": about {volume} stand above it", volume=drawable) if drawable else ""}
    said |= {"settled": say(SETTLED, size=said["settled"]) if "settled" in said else ""}
    if notice.kind == "supply-cut":
        said["why"] = alarms.text(_changed(notice, Change.RAISED)).title
    said |= {"end": say(ENDS.get(said.get("verdict", ""), ""), **said)}
    return NoticeText(say(TITLES[notice.kind], **said), say(BODIES[notice.kind], **said))


def all_clear(notice: NoticeText, tank: str, over: Sequence[str]) -> NoticeText:
    """The end of the last alarm that somebody was told of; `over` is what ended before it, in words."""
    before, _, after = say(OVER, tank=tank, alarm="\0").partition("\0")
    alarm = notice.title.removeprefix(before).removesuffix(after)
    lines = [say("{alarm}: over.", alarm=alarm), notice.body]
    if over:
        lines.append(say("Over before: {alarms}.", alarms="; ".join(over)))
    lines.append(say("No other alarm that you were told of stands."))
    return NoticeText(say("{tank}: all clear", tank=tank), " ".join(lines))


def with_link(notice: NoticeText, link: str) -> NoticeText:
    """A notice of an alarm with the address at which somebody says that they have seen it."""
    return NoticeText(notice.title, f"{notice.body}\n{say('Say that you have seen it: {link}', link=link)}")


def _alarm_text(notice: NoticeDue, tank: str, at: str) -> NoticeText:
    changed = _changed(notice, Change(str(notice.values["change"])))
    told = alarms.text(changed)
    if changed.change is Change.RETURNED:
        return NoticeText(
            say(OVER, tank=tank, alarm=told.title),
            say("Since {at} this alarm no longer holds. Look before you rely on it.", at=at),
        )
    noticed = say("Noticed at {at}.", at=at)
    body = f"{told.happened} {told.leads_to}\n{told.within} {told.do}\n{noticed} {say(CAUTION)}"
    title = say(URGENT[notice.priority], tank=tank, alarm=told.title)
    return NoticeText(title, body)


def _changed(notice: NoticeDue, change: Change) -> AlarmChanged:
    values = {name: value for name, value in notice.values.items() if name not in ABOUT}
    alarm, cause = str(notice.values["alarm"]), str(notice.values["cause"])
    return AlarmChanged(notice.time, alarm, notice.priority, change, cause, values)
