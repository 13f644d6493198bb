"""What a notice says on a phone: a title and a few lines."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from drydown.effects import AlarmChanged, Change, NoticeDue
from drydown.estimate.result import gathered
from drydown.texts import advice, alarms, amounts, words

CAUTION = "drydown estimates; it is not a gas detector and no safety system."
CONFIRM = "Confirm it by a test before the fuel is used."

TITLES = {
    "methanol-gone": "{tank}: methanol gone",
    "dry": "{tank}: the fuel is dry",
    "air-limited": "{tank}: this air can dry no further",
    "wetting": "{tank}: this air wets the fuel",
    "stop": "{tank}: stop the blower, let it settle",
    "rested": "{tank}: the fuel has rested",
    "clock": "{tank}: the clock was wrong",
    "supply-cut": "{tank}: drydown has stopped the blower",
}

BODIES = {
    "methanol-gone": (
        "At {at}, after {run_time} of bubbling, the methanol is within its limit: at most {methanol_high}. "
        "Once the blower stops, soap and glycerin can settle. Water may still have to leave: the next "
        "notice tells."
    ),
    "dry": (
        "At {at}, after {run_time} of bubbling, methanol (at most {methanol_high}) and water (at most "
        "{water_high}) "
        f"are within their limits. You can stop the blower and let the fuel rest. {CONFIRM}"
    ),
    "air-limited": (
        "At {at} the methanol is gone, but with this air the water stays at about {water_floor}, above its "
        "limit. More bubbling gains nothing now. {advice}"
    ),
    "wetting": (
        "At {at} the methanol is gone, but this air brings water in, up to about {water_floor}. Stop the "
        "blower for now. {advice}"
    ),
    "stop": (
        "At {at}, after {run_time} of bubbling, the blower still runs and gains nothing more: the methanol "
        "is gone (at most {methanol_high}), and {end}. Switch it off and let the fuel rest for a day: soap "
        "and glycerin sink only in still fuel."
    ),
    "rested": (
        "Until {at} the fuel has rested for {rested}. Drain from the bottom what has settled, take a sample, "
        f"and draw from the standpipe{{drawable}}. {CONFIRM}"
    ),
    "clock": (
        "At {at} the board's clock turned out to have been {wrong_by}. Times told since the board was last "
        "started, or for the last day, were put right with it, and every length of time is as it was. "
        "There is nothing to do, unless the clock now shows another time than yours: then set it."
    ),
    "supply-cut": (
        "At {at} the blower's supply was cut, because of this: {why}. First do what the alarm says. Then "
        "press “Let the blower run again” on the page; it starts only when somebody switches it on by hand."
    ),
}

ENDS = {
    "dry": "the fuel is dry (water at most {water_high})",
    "air-limited": "with this air the water stays at about {water_floor}",
    "wetting": "this air brings water in, up to about {water_floor}",
}
"""Why bubbling gains nothing more, by verdict."""

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
    said |= {"drawable": f": about {drawable} stand above it" if drawable else ""}
    if notice.kind == "supply-cut":
        said["why"] = alarms.text(_changed(notice, Change.RAISED)).title
    said |= {"end": ENDS.get(said.get("verdict", ""), "").format_map(said)}
    return NoticeText(TITLES[notice.kind].format(**said), BODIES[notice.kind].format(**said))


def all_clear(notice: NoticeText, tank: str, over: Sequence[str]) -> NoticeText:
    """The end of the last alarm that somebody was told of; `over` is what ended before it, in words."""
    also = f" Over before: {'; '.join(over)}." if over else ""
    return NoticeText(
        f"{tank}: all clear",
        f"{notice.title.removeprefix(f'{tank}: over: ')}: over. {notice.body}{also} No other alarm that you"
        " were told of stands.",
    )


def with_link(notice: NoticeText, link: str) -> NoticeText:
    """A notice of an alarm with the address at which somebody says that they have seen it."""
    return NoticeText(notice.title, f"{notice.body}\nSay that you have seen it: {link}")


def _alarm_text(notice: NoticeDue, tank: str, at: str) -> NoticeText:
    changed = _changed(notice, Change(str(notice.values["change"])))
    told = alarms.text(changed)
    if changed.change is Change.RETURNED:
        return NoticeText(
            f"{tank}: over: {told.title}",
            f"Since {at} this alarm no longer holds. Look before you rely on it.",
        )
    body = f"{told.happened} {told.leads_to}\n{told.within} {told.do}\nNoticed at {at}. {CAUTION}"
    return NoticeText(f"{tank}: {notice.priority.upper()}: {told.title}", body)


def _changed(notice: NoticeDue, change: Change) -> AlarmChanged:
    values = {name: value for name, value in notice.values.items() if name not in ABOUT}
    alarm, cause = str(notice.values["alarm"]), str(notice.values["cause"])
    return AlarmChanged(notice.time, alarm, notice.priority, change, cause, values)
