"""A real board for the tests that want one, where this computer can start it."""

from collections.abc import Iterator

import pytest

from support.booted import why_not
from support.installed_board import Installed, installed_board


@pytest.fixture(scope="module")
def installed() -> Iterator[Installed]:
    """Installed and started; what a test does to it is what the next one finds."""
    if why_not():
        pytest.skip(why_not())
    with installed_board() as made:
        yield made
