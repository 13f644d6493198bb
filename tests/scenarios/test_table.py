"""The table of stories names tests that exist, and leaves out none that goes the real ways."""

import re
from pathlib import Path

HERE = Path(__file__).parent
ROWS = [line for line in (HERE / "README.md").read_text().splitlines() if line.startswith("| ")][1:]
NAMED = set(re.findall(r"([\w/]+): (\w+) ", "\n".join(ROWS)))
REAL = ("real_stories", "real_mishaps", "told_evenings")


def stories_of(module: str) -> set[str]:
    folder, _, name = module.rpartition("/")
    source = (HERE.parent / (folder or HERE.name) / f"test_{name}.py").read_text()
    return set(re.findall(r"^def test_(\w+)", source, re.MULTILINE))


def test_each_story_of_the_table_is_a_test() -> None:
    assert {(module, name) for module, name in NAMED if name not in stories_of(module)} == set()


def test_each_real_story_is_in_the_table() -> None:
    assert {(module, name) for module in REAL for name in stories_of(module)} <= NAMED


def test_each_happening_has_a_story() -> None:
    assert ROWS
    assert [row for row in ROWS if not any(cell.strip() for cell in row.split("|")[2:])] == []
