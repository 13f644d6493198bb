"""How notices go out: alone, said again, perhaps twice, late; or together when they are no news."""

from dataclasses import dataclass, field
from datetime import timedelta, timezone

from drydown.texts import messages

ZONE = timezone(timedelta(hours=2))
WHEN = 1_789_222_020.0  # 2026-09-12 14:07 UTC


@dataclass
class Said:
    title: str = "heron: the fuel is dry"
    body: str = "At 16:07 it was."
    time: float = WHEN


@dataclass
class Told:
    notice: Said = field(default_factory=Said)
    times: int = 0
    unsure: bool = False


def test_a_notice_goes_out_as_it_is() -> None:
    words = messages.news(Told(), False, ZONE)
    assert (words.title, words.body) == ("heron: the fuel is dry", "At 16:07 it was.")


def test_what_has_to_be_said_about_it_stands_before_it() -> None:
    body = messages.news(Told(times=2, unsure=True), True, ZONE).body
    late, again, unsure, last = body.split("\n")
    assert late.startswith("This comes late: it happened at 2026-09-12 16:07")
    assert (again, unsure, last) == (messages.AGAIN, messages.UNSURE, "At 16:07 it was.")


def test_one_that_is_no_news_keeps_its_words_under_another_title() -> None:
    words = messages.old([Told()], ZONE)
    assert words.title == "Missed: heron: the fuel is dry"
    assert words.body.split("\n") == [
        messages.OLD,
        "2026-09-12 16:07 heron: the fuel is dry",
        "At 16:07 it was.",
    ]


def test_several_have_a_line_each_and_one_doubt_for_all() -> None:
    words = messages.old([Told(), Told(Said("heron: methanol gone"), unsure=True)], ZONE)
    assert words.title == "Missed: 2 messages"
    assert words.body.split("\n") == [
        messages.OLD,
        messages.UNSURE,
        "2026-09-12 16:07 heron: the fuel is dry",
        "2026-09-12 16:07 heron: methanol gone",
    ]
