"""The guide's generated pages say what the code says."""

import subprocess
import sys
from pathlib import Path

import pytest

from drydown.guide.__main__ import PAGES
from drydown.guide.markdown import table

GUIDE = Path(__file__).parents[2] / "deploy/guide"


@pytest.mark.parametrize("name", PAGES)
def test_a_committed_page_is_what_the_code_says(name: str) -> None:
    committed = (GUIDE / name).read_text("utf-8")
    assert committed == PAGES[name](), "it is stale: run `python -m drydown.guide deploy/guide` and commit"


def test_the_command_writes_every_page(tmp_path: Path) -> None:
    subprocess.run([sys.executable, "-m", "drydown.guide", tmp_path / "guide"], check=True, timeout=60)
    written = {path.name: path.read_text("utf-8") for path in (tmp_path / "guide").iterdir()}
    assert written == {name: page() for name, page in PAGES.items()}


def test_a_cell_cannot_break_its_table() -> None:
    assert table(("a", "b"), [("1|2", "3\n4")]) == "| a | b |\n|---|---|\n| 1\\|2 | 3 4 |"
