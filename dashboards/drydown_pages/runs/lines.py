"""The list of a tank's runs as it reads."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo
from urllib.parse import urlencode

from drydown.store.reviews import Outcome
from drydown.texts import reviews
from drydown.texts.language import counted, say
from drydown.texts.weekdays import weekday_and_time
from drydown_pages.facts import Fact
from drydown_pages.runs.chosen import Choice, Named

MOST = 20  # runs on a page


@dataclass(frozen=True, slots=True)
class RunLine:
    """A run in the list. `start` names it in addresses, `sign` is how it ended."""

    start: str
    name: str
    sign: str
    word: str
    sentence: str
    facts: tuple[Fact, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RunList:
    """The page: `found` runs of `of`, of which the lines from `first` on are shown; where others stand."""

    tank: str
    choice: Choice
    endings: tuple[tuple[str, str], ...]
    lines: tuple[RunLine, ...]
    found: int
    of: int
    first: int
    newer: int | None
    older: int | None

    def address(self, first: int) -> str:
        """Where the same runs stand from number `first` on."""
        asked = {
            "since": self.choice.since or "",
            "until": self.choice.until or "",
            "ended": self.choice.ended or "",
            "alarms": "1" if self.choice.with_alarms else "",
            "words": self.choice.words,
            "first": first or "",
        }
        return f"/tanks/{self.tank}/runs?{urlencode({name: one for name, one in asked.items() if one})}"

    @property
    def said(self) -> str:
        """How many runs stand below."""
        if not self.of:
            return say("No run of this tank has been recorded yet.")
        if not self.found:
            return counted("Its one run is not like that.", "None of its {count} runs is like that.", self.of)
        said = counted("1 run", "{count} runs", self.found)
        if not self.choice.is_all:
            said = say("{runs} of {all}", runs=said, all=self.of)
        if self.found <= MOST:
            return say("{runs}, the newest first.", runs=said)
        first, last = self.first + 1, self.first + len(self.lines)
        return say("{runs}, {first} to {last} here, the newest first.", runs=said, first=first, last=last)


def list_of(tank: str, found: Sequence[Named], of: int, choice: Choice, first: int, zone: tzinfo) -> RunList:
    """Those that were found, the newest first, beginning with number `first` (0 is the newest)."""
    first = min(first, max(len(found) - 1, 0) // MOST * MOST)
    return RunList(
        tank=tank,
        choice=choice,
        endings=tuple((str(one), say(reviews.OUTCOMES[one])) for one in Outcome),
        lines=tuple(_line(one, zone) for one in found[first : first + MOST]),
        found=len(found),
        of=of,
        first=first,
        newer=max(first - MOST, 0) if first else None,
        older=first + MOST if first + MOST < len(found) else None,
    )


def _line(named: Named, zone: tzinfo) -> RunLine:
    review = named.review
    return RunLine(
        start=f"{review.run.start:.3f}",
        name=named.name,
        sign=str(review.outcome),
        word=say(reviews.OUTCOMES[review.outcome]),
        sentence=reviews.sentence(review, zone),
        facts=(
            Fact(say("Began"), weekday_and_time(review.run.start, zone)),
            *(Fact(*one) for one in reviews.figures(review)),
        ),
        notes=review.notes,
    )
