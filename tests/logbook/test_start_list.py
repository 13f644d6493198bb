"""What is to be looked at before a start, and which looks count."""

from typing import Any

import pytest

from drydown.logbook.entry import entry_of
from drydown.logbook.start_list import FRESH, Look, items_of, looks
from support.boathouse import heron

NOW = 1_767_268_800.0  # Unix s


def checked(ago: float, item: str, answer: str = "yes") -> dict[str, Any]:
    return {
        "entry": "checked",
        "time": NOW - ago,
        "values": {"item": item, "answer": answer},
        "who": "Wren",
    }


def test_a_person_is_asked_what_no_probe_tells() -> None:
    assert "vent-open" in items_of(heron(), reads_vent=False)
    assert "vent-open" not in items_of(heron(), reads_vent=True)
    assert "earthed" in items_of(heron(), reads_vent=True)
    assert "earthed" not in items_of(heron(material="polyethylene"), reads_vent=True)


def test_every_item_can_be_entered() -> None:
    for item in items_of(heron(), reads_vent=False):
        entry_of("checked", {"item": item, "answer": "yes"}, "Wren")


@pytest.mark.parametrize(
    ("lines", "seen"),
    [
        ([], None),
        ([checked(600.0, "hoses")], NOW - 600.0),
        ([checked(FRESH + 1.0, "hoses")], None),
        ([checked(600.0, "hoses"), checked(60.0, "hoses", "no")], None),
        ([checked(600.0, "hoses", "no"), checked(60.0, "hoses")], NOW - 60.0),
        ([checked(60.0, "cover-on")], None),
        ([{"entry": "released", "time": NOW, "values": {}, "who": "Wren"}], None),
    ],
)
def test_the_last_word_counts_for_an_evening(lines: list[dict[str, Any]], seen: float | None) -> None:
    assert looks(["hoses"], lines, NOW) == (Look("hoses", seen, "Wren") if seen else Look("hoses"),)
