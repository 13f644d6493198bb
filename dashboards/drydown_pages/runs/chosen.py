"""Which runs somebody looks for: by day, by how they ended, by alarms, by words."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from drydown.store.reviews import Outcome, Review


@dataclass(frozen=True, slots=True)
class Named:
    """A run with what it is called."""

    name: str
    review: Review


@dataclass(frozen=True, slots=True)
class Choice:
    """What is asked for; nothing given means all. Days are the tank's own, both of them within."""

    since: date | None = None
    until: date | None = None
    ended: Outcome | None = None
    with_alarms: bool = False
    words: str = ""

    @property
    def is_all(self) -> bool:
        """Whether nothing is left out."""
        return self == Choice()


def chosen(runs: Iterable[Named], choice: Choice, zone: tzinfo) -> Iterator[Named]:
    """Those that are asked for, in their order."""
    words = choice.words.casefold().split()
    for one in runs:
        day = datetime.fromtimestamp(one.review.run.start, zone).date()
        said = " ".join((one.name, *one.review.notes)).casefold()
        if (
            (choice.since is None or day >= choice.since)
            and (choice.until is None or day <= choice.until)
            and choice.ended in (None, one.review.outcome)
            and (not choice.with_alarms or one.review.worst is not None)
            and all(word in said for word in words)
        ):
            yield one
