"""How notices go out: alone as they are, or together when they are no news any more."""

from collections.abc import Sequence
from datetime import datetime, tzinfo
from typing import Protocol

from drydown.texts.language import counted, later, say
from drydown.texts.notices import NoticeText

UNSURE = later("This may have reached you already: no answer came when it was sent before.")
AGAIN = later("Said again, because nobody has told drydown yet that they have seen it.")
LATE = later(
    "This comes late: it happened at {when}, and nobody could be reached. Nothing says yet that it is over."
)
OLD = later(
    "This is no news: it could not reach you before, it came in your quiet hours, or the board was off."
)


class Said(Protocol):
    """A notice in words. `time` is in Unix s."""

    @property
    def title(self) -> str: ...
    @property
    def body(self) -> str: ...
    @property
    def time(self) -> float: ...


class Told(Protocol):
    """A notice, how often it was taken, and whether it may have arrived besides."""

    @property
    def notice(self) -> Said: ...
    @property
    def times(self) -> int: ...
    @property
    def unsure(self) -> bool: ...


def news(told: Told, late: bool, zone: tzinfo) -> NoticeText:
    """One notice, alone; `late` where it stands although it happened a while ago."""
    notes = [say(LATE, when=_when(told.notice.time, zone))] * late
    notes += [say(AGAIN)] * bool(told.times) + [say(UNSURE)] * told.unsure
    return NoticeText(told.notice.title, "\n".join([*notes, told.notice.body]))


def old(items: Sequence[Told], zone: tzinfo) -> NoticeText:
    """Several notices that are no news: each with its time, and what it said where there is but one."""
    notes = [say(OLD)] + [say(UNSURE)] * any(one.unsure for one in items)
    lines = [f"{_when(one.notice.time, zone)} {one.notice.title}" for one in items]
    if len(items) > 1:
        title = counted("Missed: {count} message", "Missed: {count} messages", len(items))
        return NoticeText(title, "\n".join([*notes, *lines]))
    title = say("Missed: {message}", message=items[0].notice.title)
    return NoticeText(title, "\n".join([*notes, *lines, items[0].notice.body]))


def _when(unix_time: float, zone: tzinfo) -> str:
    return datetime.fromtimestamp(unix_time, zone).strftime("%Y-%m-%d %H:%M")
