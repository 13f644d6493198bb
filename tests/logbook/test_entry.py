"""Entries are held against the table of kinds: what is wrong is told by field, with what is allowed."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.logbook.entry import Entry, EntryError, entry_of
from drydown.logbook.kinds import KINDS, Choice, Field, Name, Number
from drydown.orders import command_of, order_of


def valid(field: Field) -> st.SearchStrategy[float | str]:
    match field:
        case Number(least=least, most=most):
            return st.floats(least, most)
        case Choice(allowed=words):
            return st.sampled_from(words)
        case Name():
            return st.text(st.characters(categories=["L", "N"]), min_size=1, max_size=64)


def entries() -> st.SearchStrategy[Entry]:
    return st.sampled_from(sorted(KINDS)).flatmap(
        lambda kind: st.fixed_dictionaries(
            {name: valid(field) for name, field in KINDS[kind].items() if field.needed},
            optional={name: valid(field) for name, field in KINDS[kind].items() if not field.needed},
        ).map(lambda values: Entry(kind, values, "Wren"))
    )


@given(entries())
def test_every_valid_entry_is_the_same_after_its_way_as_json(entry: Entry) -> None:
    assert command_of(json.loads(json.dumps(order_of(entry)))) == entry


@pytest.mark.parametrize(
    ("kind", "values", "told"),
    [
        ("soup-test", {}, "entry: allowed is drained"),
        ("drained", {"seen": "green"}, "seen: allowed is dark, milky, clear"),
        ("drained", {"seen": "dark", "volume": -1}, "volume: allowed is a number from 0 to 2, in m3"),
        ("drained", {"seen": "dark", "volume": True}, "volume: allowed is a number"),
        ("soap-test", {"value": float("nan")}, "value: allowed is a number from 0 to 0.1, in kg/kg"),
        ("sent", {"volume": 0.02}, "to: is missing; allowed is a text of 1 to 64 characters"),
        ("sent", {"volume": 0.02, "to": "a\nb"}, "to: allowed is a text"),
        ("released", {"by": "me"}, "by: an entry “released” holds nothing else"),
    ],
)
def test_what_is_wrong_is_told_by_field(kind: str, values: dict[str, Any], told: str) -> None:
    with pytest.raises(EntryError, match=told):
        entry_of(kind, values, "Wren")
