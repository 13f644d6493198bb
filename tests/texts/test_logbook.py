"""Every entry of the logbook has a sentence."""

from typing import Any

import pytest

from drydown.logbook.entry import entry_of
from drydown.logbook.kinds import KINDS, Choice, Number
from drydown.orders import order_of
from drydown.texts import logbook

NOW = 1_790_000_000.0


def line(kind: str, **values: Any) -> dict[str, Any]:
    return {"kind": "command", "time": NOW} | (order_of(entry_of(kind, values, "Ash")) or {})


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_each_kind_and_word_is_told(kind: str) -> None:
    fields = KINDS[kind]
    words = max((len(one.allowed) for one in fields.values() if isinstance(one, Choice)), default=1)
    for i in range(words):
        values = {
            name: field.allowed[i % len(field.allowed)]
            if isinstance(field, Choice)
            else (field.least + field.most) / 2
            if isinstance(field, Number)
            else "the launch"
            for name, field in fields.items()
            if field.needed
        }
        said = logbook.said(line(kind, **values))
        assert said.startswith("Ash ")
        assert said.endswith(".")
        assert "does not know" not in said


def test_as_people_would_say_it() -> None:
    assert logbook.said(line("drained", seen="milky", volume=0.004)) == "Ash drained something milky, 4.0 L."
    assert logbook.said(line("sent", volume=0.02, to="the launch")) == "Ash put 20 L into the launch."
    assert logbook.said(line("soap-test", value=40e-6, method="titration")) == (
        "Ash tested the fuel: Soap 40 mg/kg, give or take 5.0 mg/kg."
    )
    assert logbook.said(line("appearance-test", result="hazy")) == "Ash tested the fuel: Appearance: hazy."
