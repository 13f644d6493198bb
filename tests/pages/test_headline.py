"""The sentence at the top, read as the person would who wonders whether to stop the blower."""

import re
from datetime import UTC, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.estimate.result import Advice, Spread, Verdict
from drydown.run.stages import Stage
from drydown_pages.headline import headline
from support.tank_state import NOON, estimate, spread

MINUTE, HOUR = 60.0, 3600.0

DRYING = estimate(
    Verdict.DRYING,
    methanol=spread(0.0042, 0.0031, 0.0055),
    methanol_done_at=spread(NOON + 40 * MINUTE, NOON + 20 * MINUTE, NOON + 75 * MINUTE),
)
SLOW = DRYING | {"advice": [{"kind": "open-inlet", "share": 0.5, "share_high": 0.6}]}
GONE = estimate(
    Verdict.DRYING,
    methanol=spread(0.0006, 0.0003, 0.0015),
    water=spread(640e-6, 560e-6, 720e-6),
    methanol_done=True,
    dry_at=spread(NOON + 40 * MINUTE, NOON + 30 * MINUTE, NOON + 55 * MINUTE),
)
DRY = estimate(
    Verdict.DRY, methanol=spread(0.0005), water=spread(310e-6), methanol_done=True, dry_at=spread(NOON)
)
LIMITED = estimate(
    Verdict.AIR_LIMITED,
    methanol=spread(0.0005),
    water=spread(720e-6),
    water_floor=spread(680e-6),
    methanol_done=True,
    advice=(Advice("warm-fuel", {"temperature": 310.9, "likely": 307.4}),),
)
WETTING = estimate(Verdict.WETTING, methanol=spread(0.0005), water=spread(720e-6), methanol_done=True)
UNKNOWN = estimate(Verdict.UNKNOWN)

TABLE: list[tuple[str, dict[str, Any] | None, str, str]] = [
    ("bubbling", DRYING, "Methanol about 0.42 %, gone about 12:40 (12:20 to 13:15).", "keep the vent open"),
    (
        "bubbling",
        GONE,
        "Methanol is gone, water about 640 mg/kg, dry about 12:40 (12:30 to 12:55).",
        "bubble on",
    ),
    ("bubbling", DRY, "The fuel is dry.", "Stop the blower, let the fuel rest, drain, and confirm by a test"),
    (
        "bubbling",
        LIMITED,
        "The methanol is gone, but this air can't dry the water out. It would stop near 680 mg/kg.",
        "stop the blower. Warm the fuel to 38 °C (35 °C may do) and keep it so.",
    ),
    ("bubbling", WETTING, "This air is wetting the fuel.", "Stop the blower. No warmth that is safe"),
    (
        "bubbling",
        SLOW,
        "Methanol about 0.42 %, gone about 12:40 (12:20 to 13:15).",
        "about half of what it gave",
    ),
    ("bubbling", UNKNOWN, "Too early to tell how dry the fuel is.", "The first figures come soon"),
    ("bubbling", None, "Too early to tell how dry the fuel is.", "Keep the vent open"),
    ("paused", DRYING, "The blower is paused. Methanol about 0.42 %.", "Start it again"),
    ("paused", GONE, "The blower is paused. Methanol is gone, water about 640 mg/kg.", "Start it again"),
    ("paused", DRY, "The fuel is dry.", "Leave the blower off"),
    ("paused", UNKNOWN, "The blower is paused.", "Start it again"),
    ("resting", DRY, "The fuel is dry and resting.", "Then drain, and confirm by a test"),
    ("resting", DRYING, "The fuel is resting. Methanol about 0.42 %.", "Leave the blower off"),
    ("ready", DRY, "The fuel is dry and has rested.", "then draw from the standpipe"),
    ("ready", LIMITED, "The fuel has rested. Methanol is gone, water about 720 mg/kg.", "test the fuel"),
    ("idle", None, "The tank is at rest.", "open the vent and start the blower"),
    ("settling", UNKNOWN, "The fuel is settling.", "then start the blower"),
    ("settling", DRY, "The fuel is settling.", "then start the blower"),
    ("drawn", DRY, "The fuel was drawn.", "Nothing to do"),
]


@pytest.mark.parametrize(("stage", "told", "sentence", "advice"), TABLE)
def test_it_answers_can_i_stop_yet(
    stage: str, told: dict[str, Any] | None, sentence: str, advice: str
) -> None:
    said, then = headline(stage, told, UTC)
    assert said == sentence
    assert advice in then


@pytest.mark.parametrize(
    ("end", "said"),
    [
        (Spread(NOON + 2400, NOON + 1200, NOON + 4500), "gone about 12:40 (12:20 to 13:15)"),
        (Spread(NOON + 2400, NOON + 2400, NOON + 2430), "gone about 12:40"),
        (Spread(NOON + 2400, NOON + 2400, NOON + 4500), "gone about 12:40, by 13:15 at the latest"),
        (Spread(NOON, NOON, NOON + 840), "gone any minute now, by 12:14 at the latest"),
        (Spread(NOON - 30, NOON - 30, NOON - 30), "gone any minute now"),
        (
            Spread(NOON + 15 * HOUR, NOON + 11 * HOUR, NOON + 70 * HOUR),
            "about 03:00 tomorrow (23:00 to 10:00 on 4 January)",
        ),
        (None, "no end in sight yet"),
    ],
)
def test_an_end_is_told_with_its_range(end: Spread | None, said: str) -> None:
    told = estimate(Verdict.DRYING, methanol=spread(0.0042), methanol_done_at=end)
    assert headline("bubbling", told, UTC)[0].endswith(f"{said}.")


def test_times_are_those_of_the_boards_zone() -> None:
    assert "about 14:40" in headline("bubbling", DRYING, timezone(timedelta(hours=2)))[0]


SHARES = st.floats(1e-7, 0.2)
TIMES = st.floats(NOON - HOUR, NOON + 40 * HOUR)


def ordered(values: list[float]) -> Spread:
    low, median, high = sorted(values)
    return Spread(median, low, high)


SPREADS = st.lists(SHARES, min_size=3, max_size=3).map(ordered)
ENDS = st.none() | st.lists(TIMES, min_size=3, max_size=3).map(ordered)


@given(
    st.sampled_from(list(Stage)),
    st.sampled_from(list(Verdict)),
    st.none() | SPREADS,
    st.none() | SPREADS,
    ENDS,
    ENDS,
    st.booleans(),
)
def test_whatever_is_believed_reads_as_sentences(
    stage: Stage,
    verdict: Verdict,
    methanol: Spread | None,
    water: Spread | None,
    gone: Spread | None,
    dry: Spread | None,
    done: bool,
) -> None:
    told = estimate(
        verdict,
        methanol=methanol,
        water=water,
        water_floor=water,
        methanol_done_at=gone,
        dry_at=dry,
        methanol_done=done,
    )
    for text in headline(str(stage), told, UTC):
        assert re.fullmatch(r"[A-Z].*[^.]\.", text), text
        assert not re.search(r"None|nan|inf|[{}_]|\d[eE]|\.\.| ,| \.", text), text
        for number in re.findall(r"(\d[\d.]*) (?:%|mg/kg)", text):
            assert len(number.replace(".", "").strip("0")) <= 2, text
