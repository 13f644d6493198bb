"""Forms of the pages: what is no form of ours is refused in a sentence, whatever it is."""

from collections.abc import Iterator

import httpx
import pytest

from support.served import served
from support.site_file import write_site

PLACES = ("/settings", "/tanks/heron/tests", "/tanks/heron/notes", "/tanks/heron/start", "/enter")


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    with served(write_site(tmp_path_factory.mktemp("forms"), "boathouse", ["heron"], 1)) as client:
        yield client


@pytest.mark.parametrize("place", PLACES)
def test_a_form_of_too_many_fields_is_refused(pages: httpx.Client, place: str) -> None:
    answer = pages.post(place, data={f"field{i}": "x" for i in range(60)})
    assert answer.status_code == 400, answer.text
    assert "at most 50 fields" in answer.text
