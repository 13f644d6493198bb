"""The page of a tank's batches: what came of each and where it went, found by any word of that."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from drydown.batches.batch import Batch
from drydown.config.model import Site, Tank
from drydown.texts import batches as texts
from drydown.texts import reviews
from drydown.texts.language import counted, say
from drydown_pages.facts import Fact
from drydown_pages.runs.chosen import Named

MOST = 20  # batches on a page


@dataclass(frozen=True, slots=True)
class BatchCard:
    """One batch. `start` names it in addresses."""

    start: str
    name: str
    sentence: str
    facts: tuple[Fact, ...]
    happened: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    unsaid: str


@dataclass(frozen=True, slots=True)
class BatchesPage:
    """Those that were looked for, `found` of `of`; at most MOST are shown."""

    tank: str
    words: str
    cards: tuple[BatchCard, ...]
    found: int
    of: int

    @property
    def said(self) -> str:
        """How many stand below."""
        if not self.of:
            return say("No batch of this tank has been recorded yet.")
        if not self.found:
            return say(
                "Nothing is called that among {of} recorded. Try a name, a month, a vehicle.", of=self.of
            )
        if self.found > MOST:
            return say(
                "{found} found; the newest {most} stand here. Look for more by a word.",
                found=self.found,
                most=MOST,
            )
        return counted("1 batch, the newest first.", "{count} batches, the newest first.", self.found)


def batches_page(
    site: Site, tank: Tank, batches: Sequence[tuple[Named, Batch]], words: str, zone: tzinfo
) -> BatchesPage:
    """All batches, the newest first, of which those are shown that every word is told of."""
    cards = [_card(site, named, batch, zone) for named, batch in batches]
    found = list(_chosen(cards, words))
    return BatchesPage(tank.name, words, tuple(found[:MOST]), len(found), len(cards))


def _chosen(cards: Iterable[BatchCard], words: str) -> Iterable[BatchCard]:
    wanted = words.casefold().split()
    for card in cards:
        happened = (part for pair in card.happened for part in pair)
        told = " ".join((card.name, *card.notes, *happened)).casefold()
        if all(word in told for word in wanted):
            yield card


def _card(site: Site, named: Named, batch: Batch, zone: tzinfo) -> BatchCard:
    return BatchCard(
        start=f"{batch.start:.3f}",
        name=named.name,
        sentence=reviews.sentence(named.review, zone),
        facts=tuple(Fact(*one) for one in texts.amounts(batch, site)),
        happened=tuple(texts.happened(batch, zone)),
        notes=named.review.notes,
        unsaid=texts.unsaid(batch),
    )
