"""The whole page of a tank, made by the real core from readings, and read from top to bottom."""

import re
from datetime import UTC
from html import unescape
from typing import Any

import pytest

from drydown.commands import Acknowledge
from drydown.config.model import Tank
from drydown.estimate.result import Verdict
from drydown.physics.vapour_limits import SHORT_EXPOSURE_LIMIT
from drydown.run.stages import Stage
from drydown_api.access import BOARD
from drydown_pages import render
from drydown_pages.front import line_of
from drydown_pages.view import TankView, view_of
from support.boathouse import CELSIUS, at_rest, heron
from support.tank_state import estimate, spread, state_after

PPM = 1e-6
EVERYTHING: dict[str, Any] = {
    "air__temperature": 12.4 + CELSIUS,
    "air__humidity": 0.536,
    "vent__open": True,
    "blower__motor_temperature": 41.0 + CELSIUS,
    "blower__discharge_temperature": 23.0 + CELSIUS,
    "vapour__methanol": 120 * PPM,
}
TANK = heron()


def view(*happenings: tuple[float, dict[str, Any]], tank: Tank = TANK, **changes: Any) -> TankView:
    return view_of("boathouse", tank, state_after(tank, *happenings) | changes, UTC)


def facts(view: TankView) -> dict[str, str]:
    return {fact.label: fact.value for fact in view.facts}


def text(page: str) -> str:
    """What a person reads of a page, without the drawings."""
    body = page[page.index("<body") :]
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", body)))


def test_a_tank_with_every_probe() -> None:
    shown = view((120, at_rest(blower__running=True, **EVERYTHING)))
    expected = {
        "Blower": "running, 2 min this run",
        "Vent": "open",
        "Methanol in the room": "120 ppm, limit 250",
        "Above the standpipe": "126 L",
        "Room air": "12 °C, 54 % humid",
        "Blower’s motor": "41 °C",
        "Air from the blower": "23 °C",
    }
    assert expected.items() <= facts(shown).items()
    assert (shown.temperature, shown.volume, shown.fuel) == ("25 °C", "168 L", "168 L, at 25 °C")
    assert shown.bubbling
    assert shown.age == "as of 12:02"
    assert shown.title == "heron"


def test_a_tank_with_the_fewest_probes() -> None:
    shown = view((10, at_rest()))
    told = facts(shown)
    assert told["Blower"] == "off"
    assert told["Methanol in the room, by reckoning"] == "0 ppm, limit 250"
    assert not told.keys() & {"Vent", "Room air", "Blower’s motor", "Air from the blower"}
    assert shown.unwatched == (
        "The vent is not watched: no contact shows whether it is open.",
        "The blower's heat is not watched: no temperature probe is on it.",
    )


def test_a_probe_that_is_lost_is_no_old_number() -> None:
    silent = dict.fromkeys(EVERYTHING, None)
    shown = view((30, at_rest(**EVERYTHING)), (60, at_rest(**silent) | {"fuel/temperature": None}))
    told = facts(shown)
    for label in ("Vent", "Room air", "Blower’s motor", "Air from the blower"):
        assert told[label] == "cannot tell", label
    assert shown.temperature == "? °C"
    assert shown.fuel.endswith("how warm it is cannot be told")


def test_a_blower_that_nothing_tells_of_is_neither_on_nor_off() -> None:
    shown = view((30, at_rest()), (60, at_rest(blower__running=None)))
    assert facts(shown)["Blower"] == "cannot tell"
    assert not shown.bubbling


def test_a_level_that_is_lost_is_no_empty_tank() -> None:
    shown = view((30, at_rest()), (60, at_rest(fuel__level=None)))
    assert shown.drawing.surface is None
    assert shown.fuel.startswith("how much there is cannot be told")


@pytest.mark.parametrize(
    ("vapour", "stay_out"),
    # NIOSH Pocket Guide: 250 ppm is what may be breathed for 15 minutes (REL-STEL)
    [(40 * PPM, False), (249 * PPM, False), (260 * PPM, True), (3000 * PPM, True)],
)
def test_measured_vapour_keeps_people_out(vapour: float, stay_out: bool) -> None:
    shown = view((30, at_rest(blower__running=True, vapour__methanol=vapour)))
    assert shown.warning.startswith("Stay out of the room") is stay_out
    assert ("above the limit 250" in facts(shown)["Methanol in the room"]) is stay_out


@pytest.mark.parametrize(("share", "stay_out"), [(0.9, False), (1.1, True)])
def test_reckoned_vapour_keeps_people_out_too(share: float, stay_out: bool) -> None:
    state = state_after(TANK, (30, at_rest(blower__running=True)))
    reckoned = {
        "kind": "reading",
        "name": "room/methanol",
        "value": share * SHORT_EXPOSURE_LIMIT,
        "unit": "/",
    }
    state["readings"]["room/methanol"] = reckoned
    shown = view_of("boathouse", TANK, state, UTC)
    assert bool(shown.warning) is stay_out
    assert "Methanol in the room, by reckoning" in facts(shown)


def test_an_emergency_comes_before_everything() -> None:
    closed = at_rest(blower__running=True, vent__open=False)
    shown = view((30, closed))
    assert shown.title == "Alarm! heron"
    assert shown.advice == "First do what the alarm above says."
    page = render.tank_page(shown, BOARD)
    order = [
        "Emergency",
        "The blower runs and the vent is closed",
        "At once.",
        "Cut the blower's supply",
        "Methanol vapour can burn or explode",
        "I have seen it",
        shown.headline,
        "Methanol left",
    ]
    places = [text(page).index(part) for part in order]
    assert places == sorted(places)
    seen = state_after(TANK, (30, closed), commands=[Acknowledge("vent-closed", "Wren")])
    assert view_of("boathouse", TANK, seen, UTC).title == "heron"
    assert view_of("boathouse", TANK, seen, UTC).advice == "First do what the alarm above says."


JARGON = re.compile(
    r"\b(None|True|False|nan|null|LEL|LFL|STEL|IDLH|median|percentile|quantile|mole|Kelvin|m3|kg/s|MQTT|SenML)\b"
    r"|\d[eE][-+]?\d|[{}_]|\b\d+\.\d{4,}|\d{5,}"
)
ESTIMATES = [
    None,
    estimate(Verdict.UNKNOWN),
    estimate(
        Verdict.DRYING, methanol=spread(0.0123456, 0.0034567, 0.0456789), water=spread(1.123e-3, 5e-4, 2e-3)
    ),
    estimate(Verdict.DRY, methanol=spread(1e-7), water=spread(3.1e-4, 2.9e-4, 3.3e-4), methanol_done=True),
    estimate(Verdict.AIR_LIMITED, methanol=spread(5e-4), water=spread(9e-4), methanol_done=True),
    estimate(Verdict.WETTING, methanol=spread(5e-4), water=spread(9e-4), methanol_done=True),
]


@pytest.mark.parametrize("told", ESTIMATES, ids=lambda told: told["verdict"] if told else "none")
@pytest.mark.parametrize("stage", Stage)
def test_every_page_reads_as_plain_english(stage: Stage, told: dict[str, Any] | None) -> None:
    shown = view((30, at_rest(**EVERYTHING)), stage=str(stage), estimate=told)
    said = text(render.tank_page(shown, BOARD))
    assert not JARGON.search(said), JARGON.search(said)
    assert "not a certified gas detector or safety system" in said.replace("\n", " ")


def test_names_that_people_type_cannot_become_markup() -> None:
    who = "<script>alert(1)</script>"
    state = state_after(
        TANK,
        (30, at_rest(blower__running=True, vent__open=False)),
        commands=[Acknowledge("vent-closed", who)],
    )
    page = render.tank_page(view_of("boathouse", TANK, state, UTC), BOARD)
    assert "<script>alert" not in page
    assert who in text(page)


def test_the_parts_are_those_of_the_page() -> None:
    shown = view((30, at_rest(**EVERYTHING)))
    page = render.tank_page(shown, BOARD)
    parts = render.tank_parts(shown)
    assert set(re.findall(r'data-part="([a-z-]+)"', page)) == set(parts)
    for html in parts.values():
        assert html in page


def test_numbers_stay_with_what_they_count() -> None:
    said = render.tied("about 0.42 %, from 15 to 45 min, 4 h 10 min, 3 horses, 5 mg/kg")
    assert (
        said.replace("\N{NO-BREAK SPACE}", "_")
        == "about 0.42_%, from 15 to 45_min, 4_h 10_min, 3 horses, 5_mg/\N{WORD JOINER}kg"
    )


def test_the_list_says_a_line_of_each_tank() -> None:
    quiet = state_after(TANK, (10, at_rest()))
    alarmed = state_after(TANK, (30, at_rest(blower__running=True, vent__open=False)))
    over = state_after(
        TANK,
        (30, at_rest(blower__running=True, vent__open=False)),
        (30, at_rest(blower__running=True, vent__open=True)),
    )
    lines = [line_of(TANK, state, UTC) for state in (quiet, alarmed, over, None)]
    page = text(render.front_page("boathouse", lines))
    assert "heron The fuel is settling." in page
    assert "Emergency The blower runs and the vent is closed" in page
    assert "Over The blower runs and the vent is closed" in page
    assert "The watcher says nothing of this tank." in page


def test_a_page_that_waits_says_for_what() -> None:
    assert 'data-wait-for="/tanks/heron"' in render.problem_page("Away", "Start it.", "/tanks/heron")
    assert "wait.js" not in render.problem_page("Nothing here", "Look elsewhere.")
