"""Who looks at a page, as far as the page minds."""

from typing import Protocol


class Visitor(Protocol):
    """Somebody with a name, who may give commands or only look."""

    @property
    def name(self) -> str:
        """What their token is called; nothing on the board itself."""

    @property
    def may_operate(self) -> bool:
        """Whether commands are taken from them."""
