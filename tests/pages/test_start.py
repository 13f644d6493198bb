"""The list before a start: what is read of a tank, by the real core, and how the page sums it up."""

from datetime import UTC
from typing import Any

import pytest

from drydown.logbook.start_list import Look
from drydown_pages.start import Sign, checks_of, start_page
from support.boathouse import AIRY, CELSIUS, at_rest, heron
from support.tank_state import NOON, state_after

AIR: dict[str, Any] = {"air__temperature": 12.0 + CELSIUS, "air__humidity": 0.5, "vent__open": True}


def checks(tank: dict[str, Any] | None = None, **changes: Any) -> dict[str, tuple[Sign, str]]:
    state = state_after(heron(room=AIRY, **(tank or {})), (180, at_rest(**AIR | changes)))
    return {one.name: (one.sign, one.said) for one in checks_of(state)}


def test_all_well() -> None:
    found = checks()
    assert list(found) == ["vent-open", "level", "air-probe", "probes", "alarms"]
    assert {sign for sign, _ in found.values()} == {Sign.WELL}
    assert found["level"][1] == "126 L stand above the standpipe, with 30 cm left to the brim."
    assert found["probes"][1] == "All 6 probes read well."


@pytest.mark.parametrize(
    ("changes", "name", "sign", "said"),
    [
        ({"vent__open": False}, "vent-open", Sign.NOT_WELL, "The vent is shut"),
        ({"fuel__level": 0.10}, "level", Sign.NOT_WELL, "Nothing stands above the standpipe"),
        ({"fuel__level": 0.86}, "level", Sign.NOT_WELL, "Only 4 cm are left to the brim"),
        ({"fuel__level": None}, "level", Sign.UNKNOWN, "How much fuel there is can’t be told"),
        ({"air__humidity": None}, "air-probe", Sign.UNKNOWN, "The air that dries the fuel can’t be read"),
        (
            {"air__humidity": None},
            "probes",
            Sign.NOT_WELL,
            "Not to be relied on now: the room's humidity probe",
        ),
        ({"air__humidity": None}, "alarms", Sign.NOT_WELL, "1 alarm stands"),
    ],
)
def test_what_is_not_well(changes: dict[str, Any], name: str, sign: Sign, said: str) -> None:
    found = checks(**changes)
    assert found[name][0] is sign
    assert found[name][1].startswith(said)


def test_where_no_probe_reads_the_vent_a_person_is_asked() -> None:
    assert "vent-open" not in checks(vent__open=None)


def test_the_headline_says_what_is_left() -> None:
    state = state_after(heron(room=AIRY), (180, at_rest(**AIR)))
    seen, unseen = Look("hoses", NOON, "Wren"), Look("drain-closed")
    page = start_page("heron", state, [seen, unseen], UTC)
    assert (page.headline, page.is_looked_at) == ("1 thing is left to look at.", False)
    assert [one.seen for one in page.questions] == ["Wren at 12:00", ""]
    assert "no safety system" in page.advice
    assert start_page("heron", state, [seen], UTC).headline == "Everything on the list was looked at."
    shut = state_after(heron(room=AIRY), (180, at_rest(**AIR | {"vent__open": False})))
    assert start_page("heron", shut, [unseen], UTC).headline == "1 thing is not as it should be."
