"""The security document names only what is there: every test, every file, every provision once."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "deploy" / "guide" / "security.md").read_text()

PROVISIONS = {"5.1": 5, "5.2": 3, "5.3": 16, "5.4": 4, "5.5": 8, "5.6": 9, "5.7": 2, "5.8": 3, "5.9": 3}
PROVISIONS |= {"5.10": 1, "5.11": 4, "5.12": 3, "5.13": 1, "6": 5}
"""How many each clause of ETSI EN 303 645 V2.1.1 has; from memory."""
STATES = {"met", "partly", "not met", "not applicable"}


def test_every_file_that_it_names_is_there() -> None:
    named = set(re.findall(r"`((?:tests|daemon|api|deploy)/[\w./]+)`", TEXT))
    assert len(named) > 20
    assert sorted(name for name in named if not (ROOT / name).exists()) == []


def test_every_provision_is_answered_once_with_a_state() -> None:
    rows = re.findall(r"^\| (\d[\d.]*-\d+) .*? \| (.*?) \| (.+) \|$", TEXT, re.MULTILINE)
    wanted = [f"{clause}-{i}" for clause, count in PROVISIONS.items() for i in range(1, count + 1)]
    assert [number for number, _, _ in rows] == wanted
    assert {state for _, state, _ in rows} <= STATES


def test_the_limits_that_it_names_are_those_of_the_code() -> None:
    for limit, place in re.findall(r"^\| .*? \| ([\d ]{4,}\d)[ ,].*? \| `(.+?)` \|$", TEXT, re.MULTILINE):
        number = limit.replace(" ", "")
        assert number in (ROOT / place).read_text().replace("_", ""), (number, place)
