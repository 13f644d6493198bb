"""What the configuration may already say although nothing heeds it yet: told, so that nobody relies on it."""

from collections.abc import Iterator

from drydown.config.model import Site


def unbuilt(site: Site) -> Iterator[tuple[str, str]]:
    """The keys that are set in vain, each with a sentence."""
    if site.forward is not None:
        yield "[forward]", "Nothing is sent to another store yet: the record is kept on this board alone."
