"""What was learned of another tank or blower than the one that is configured now."""

from pathlib import Path

from drydown.config.model import Tank
from drydown.store.lessons import kept_lesson
from drydown.store.read import StoreReader
from drydown.store.schema import StoreError
from drydown.texts.learned import outgrown

OURSELVES = "drydown"  # who has it forgotten
FOR_EVER = 1e11  # Unix s


def what_is_outgrown(store: Path, tank: Tank) -> str:
    """Why what was recorded is no longer used, in words; empty where it is, or where there is nothing."""
    try:
        with StoreReader(store) as reader:
            kept = kept_lesson(reader, tank.name, FOR_EVER)
    except StoreError:
        return ""
    if kept is None or kept.forgotten_at is not None or kept.serves(tank):
        return ""
    return outgrown(kept.lesson, tank)
