"""The pages for people lead only to what is there: pages, pictures, and figures that can be measured."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = (ROOT / "README.md", *sorted((ROOT / "deploy" / "guide").glob("*.md")))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_leads_to_what_is_there(page: Path) -> None:
    links = [link for link in re.findall(r"\]\(([^)#\s]+)", page.read_text()) if ":" not in link]
    assert [link for link in links if not (page.parent / link).exists()] == []


def test_the_figures_that_are_named_can_be_measured() -> None:
    named = {
        name for page in PAGES for name in re.findall(r"`?deploy/bench (?:--json )?(\w+)`?", page.read_text())
    }
    known = "".join(path.read_text() for path in (ROOT / "tests" / "bench").glob("*.py"))
    assert named
    assert sorted(name for name in named if f'Figure("{name}"' not in known.replace("\n    ", "")) == []
