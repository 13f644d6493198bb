"""What was found of one part."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Finding:
    """A part, whether it works, and in words what was seen or what to mend."""

    part: str
    works: bool
    message: str
