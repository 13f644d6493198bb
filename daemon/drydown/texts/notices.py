"""What a notice says on a phone: a title and a few lines."""

from dataclasses import dataclass
from datetime import tzinfo

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
}


@dataclass(frozen=True, slots=True)
class NoticeText:
    """What stands on the phone."""

    title: str
    body: str


def text(notice: NoticeDue, tank: str, unix_time: float, zone: tzinfo) -> NoticeText:
    """A notice about a tank in words. `unix_time` is when it happened, `zone` where the tank stands."""
    at = amounts.clock(unix_time, zone)
    if notice.kind == "alarm":
        return _alarm_text(notice, tank, at)
    helps = advice.against_damp(gathered(notice.values), unix_time, zone)
    said = words.put(notice.values) | {"at": at, "tank": tank, "advice": helps}
    return NoticeText(TITLES[notice.kind].format(**said), BODIES[notice.kind].format(**said))


def _alarm_text(notice: NoticeDue, tank: str, at: str) -> NoticeText:
    values = dict(notice.values)
    alarm, change, cause = (str(values.pop(name)) for name in ("alarm", "change", "cause"))
    changed = AlarmChanged(notice.time, alarm, notice.priority, Change(change), cause, values)
    told = alarms.text(changed)
    if changed.change is Change.RETURNED:
        return NoticeText(
            f"{tank}: over: {told.title}",
            f"Since {at} this alarm no longer holds. Look before you rely on it.",
        )
    body = f"{told.happened} {told.leads_to}\n{told.within} {told.do}\nNoticed at {at}. {CAUTION}"
    return NoticeText(f"{tank}: {notice.priority.upper()}: {told.title}", body)
