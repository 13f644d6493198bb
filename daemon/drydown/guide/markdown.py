"""The few pieces of Markdown that generated pages are made of."""

from collections.abc import Iterable, Sequence


def page(title: str, *blocks: str) -> str:
    """A whole page: its title, who wrote it, and its blocks, each a paragraph, heading or table."""
    note = "<!-- Written by `python -m drydown.guide deploy/guide` from the code. Change the code. -->"
    return "\n\n".join((f"# {title}", note, *(block.strip() for block in blocks))) + "\n"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table; a bar or a new line within a cell does not break it."""
    lines = [_row(heads), "|" + "---|" * len(heads), *map(_row, rows)]
    return "\n".join(lines)


def _row(cells: Sequence[str]) -> str:
    return "| " + " | ".join(" ".join(cell.split()).replace("|", "\\|") for cell in cells) + " |"
