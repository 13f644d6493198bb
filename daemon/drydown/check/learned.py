"""Whether what runs taught of each tank will be used."""

from collections.abc import Iterator

from drydown.check.finding import Finding
from drydown.clock import zone
from drydown.config.model import Site, Tank
from drydown.errors import UserError
from drydown.store.lessons import kept_lesson
from drydown.store.read import StoreReader
from drydown.texts import learned

FOR_EVER = 1e11  # Unix s


def learned_findings(site: Site) -> Iterator[Finding]:
    """A row for each tank; none where there is no store that could tell."""
    if not site.store_path.exists():
        return
    try:
        with StoreReader(site.store_path) as reader:
            found = [(tank, _said(reader, tank)) for tank in site.tank]
    except UserError:
        return  # the store has a row of its own
    for tank, said in found:
        yield Finding(f"{tank.name} learned", True, said)


def _said(reader: StoreReader, tank: Tank) -> str:
    kept = kept_lesson(reader, tank.name, FOR_EVER)
    if kept is None:
        return learned.NOTHING
    if kept.forgotten_at is not None:
        return learned.forgotten(kept.lesson.runs, kept.forgotten_at, kept.forgotten_by, zone())
    if not kept.serves(tank):
        return learned.outgrown(kept.lesson, tank)
    return learned.source(kept.lesson, zone())
