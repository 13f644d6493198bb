"""Days of the week, by which people remember when something was."""

from datetime import datetime, tzinfo

from drydown.texts.amounts import clock
from drydown.texts.language import later, say

WEEKDAYS = (
    later("Monday"),
    later("Tuesday"),
    later("Wednesday"),
    later("Thursday"),
    later("Friday"),
    later("Saturday"),
    later("Sunday"),
)


def weekday_and_time(unix_time: float, zone: tzinfo) -> str:
    """Where the tank stands: "Tuesday, 16:40"."""
    then = datetime.fromtimestamp(unix_time, zone)
    return say("{weekday}, {time}", weekday=say(WEEKDAYS[then.weekday()]), time=clock(unix_time, zone))
