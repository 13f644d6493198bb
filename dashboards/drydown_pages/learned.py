"""The page of what was learned of a tank, and of what another probe would bring."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LearnedPage:
    """Sentences on both; `is_awaited` where the latter are still being worked out."""

    tank: str
    said: tuple[str, ...]
    is_used: bool  # by the next run
    worth: tuple[str, ...]
    is_awaited: bool
