"""What the page of a run says of it in words, read as somebody would who was not there."""

from dataclasses import replace
from datetime import UTC, timedelta, timezone
from typing import Any

import pytest

from drydown.estimate.result import Spread, Verdict
from drydown_pages.run.beliefs import beliefs, outcome, verdicts
from drydown_pages.run.happened import happened
from drydown_pages.run.record import Range, RunRecord, Stretch, stretches
from drydown_pages.run.rows import rows
from drydown_pages.run.summary import summary
from drydown_pages.run.view import course_of
from support.boathouse import heron
from support.tank_state import NOON, estimate, spread

MINUTE = 60.0


def at(minutes: float) -> float:
    """Unix time of so many minutes after noon."""
    return NOON + minutes * MINUTE


def believed(minutes: float, verdict: Verdict, methanol: float, **fields: Any) -> dict[str, Any]:
    contents = {
        "methanol": spread(methanol, methanol / 2, methanol * 2),
        "water": spread(0.0004, 0.0003, 0.0005),
    }
    return estimate(verdict, time=at(minutes), **contents | fields)


DUE = spread(at(70), at(60), at(80))

EVENING = RunRecord(
    tank=heron(),
    name="heron, 1 January 2026",
    start=NOON,
    until=at(200),
    ended=True,
    stages=(
        (NOON, "settling"),
        (at(10), "bubbling"),
        (at(90), "paused"),
        (at(100), "bubbling"),
        (at(150), "resting"),
    ),
    run_time=130 * MINUTE,
    volume=0.18,
    driven_off=Spread(3.9, 3.2, 4.8),
    blower=(
        Stretch(NOON, at(10), "off"),
        Stretch(at(10), at(90), "on"),
        Stretch(at(90), at(100), "off"),
        Stretch(at(100), at(150), "on"),
        Stretch(at(150), at(200), "off"),
    ),
    ranges={
        "fuel/temperature": Range(31.2, 19.4, 17.6, at(60), 31.2, at(10)),
        "room/methanol": Range(0.0, 30e-6, 0.0, at(10), 212e-6, at(24)),
    },
    estimates=(
        believed(11, Verdict.DRYING, 0.021, methanol_done_at=DUE, dry_at=DUE),
        believed(75, Verdict.DRYING, 0.0015, methanol_done=True, dry_at=spread(at(110), at(100), at(120))),
        believed(140, Verdict.DRY, 0.0004, methanol_done=True),
    ),
)  # fmt: skip

RAISED = {
    "kind": "alarm", "time": at(90), "alarm": "vent-closed", "priority": "emergency", "change": "raised",
    "cause": "value", "message": "", "who": "", "values": {},
}  # fmt: skip
TEST = {
    "kind": "command", "time": at(160), "command": "bench-test", "quantity": "methanol", "value": 0.0006,
    "sigma": 0.0002, "who": "Wren",
}  # fmt: skip


def test_an_evening_that_went_well() -> None:
    assert summary(EVENING, UTC) == (
        "The blower sent air through 180 L of fuel from 12:10 until 14:30, with one break: 2 h 10 min of"
        " bubbling.",
        "Methanol, first put at 2.1 %, came to 0.040 % (0.020 to 0.080 %); its limit is 0.20 %. At 13:15 it"
        " was sure enough to be within that. Water came to 400 mg/kg (300 to 500 mg/kg); its limit is"
        " 500 mg/kg. The fuel was dry by drydown’s reckoning from 14:20. Confirm it by a test before the"
        " fuel is used.",
        "Evaporation and the room cooled the fuel from 31 °C to 18 °C, at 13:00; it was at 19 °C in the end."
        " About 3.9 kg (3.2 to 4.8 kg) of methanol left with the air.",
        "The room’s air held, by reckoning, at most 210 ppm of methanol, at 12:24: above the 200 ppm for a"
        " working day.",
        "No alarm came up. No test of the fuel was entered.",
    )


def test_a_run_past_midnight_says_which_day_it_was() -> None:
    east = timezone(timedelta(hours=10))  # where it begins at 22:00
    done, left, *_ = summary(replace(EVENING, events=(RAISED,)), east)
    assert "from 22:10 until 00:30 on 2 January, with one break" in done
    assert "dry by drydown’s reckoning from 00:20 on 2 January." in left
    assert [one.at for one in happened(replace(EVENING, events=(RAISED, TEST)), east)] == [
        "23:30",
        "00:40 on 2 January",
    ]
    assert beliefs(EVENING, east)[0].gone.said == "about 23:10 (23:00 to 23:20)"
    course = course_of(EVENING, east)
    assert [one.said for one in course.days] == ["1 January", "2 January"]
    assert course.days[1].start == at(120)


def test_what_went_wrong_and_what_was_tested_is_told() -> None:
    told = summary(replace(EVENING, events=(RAISED, TEST)), UTC)[-1]
    assert told == (
        "An alarm came up, and stands below with its time: 1 emergency. A test at 14:40 found: Methanol "
        "0.060 %, give or take 0.020 %."
    )


def test_a_run_in_which_nothing_was_blown_yet() -> None:
    early = replace(EVENING, ended=False, blower=(), estimates=(), ranges={}, driven_off=None)
    assert summary(early, UTC) == (
        "The blower has not run yet, so there is little to tell.",
        "No alarm came up. No test of the fuel was entered.",
    )


def test_a_run_that_goes_on_says_so() -> None:
    now = replace(
        EVENING, ended=False, until=at(40), blower=(Stretch(at(10), at(40), "on"),), run_time=1800.0
    )
    assert "from 12:10 and ran on at 12:40: 30 min of bubbling." in summary(now, UTC)[0]


@pytest.mark.parametrize(
    ("verdict", "said"),
    [
        (Verdict.AIR_LIMITED, "the methanol was gone and this air could dry it no further"),
        (Verdict.WETTING, "the methanol was gone and the air was wetting the fuel"),
        (Verdict.UNKNOWN, "drydown could not tell how dry it was"),
    ],
)
def test_how_it_stood_in_the_end(verdict: Verdict, said: str) -> None:
    told = summary(replace(EVENING, estimates=(believed(140, verdict, 0.0004),)), UTC)[1]
    assert told.endswith(f"At 14:20 {said}.")
    assert "Confirm it" not in told


@pytest.mark.parametrize(
    ("most", "said"),
    [
        (90e-6, "at most 90 ppm of methanol, below the 200 ppm that may be breathed for a working day."),
        (
            0.002,
            "at most 2000 ppm of methanol, at 12:24: more than may be breathed even for 15 min (250 ppm).",
        ),
    ],
)
def test_what_the_room_held(most: float, said: str) -> None:
    room = Range(0.0, 0.0, 0.0, at(10), most, at(24))
    told = summary(replace(EVENING, ranges={"vapour/methanol": room}), UTC)
    assert f"The room’s air held {said}" in told


def test_what_was_believed_stands_beside_what_came() -> None:
    first, second, last = beliefs(EVENING, UTC)
    assert first.sentence == "Methanol about 2.1 %, gone about 13:10 (13:00 to 13:20)."
    assert (first.at, first.verdict, first.methanol) == ("12:11", "drying", "2.1 % (1.1 to 4.2 %)")
    assert first.gone.said == "about 13:10 (13:00 to 13:20)"
    assert first.gone.came == "5 min later than expected then, within the range"
    assert first.dry.came == "1 h 10 min later than expected then, outside the range"
    assert (second.gone.said, second.gone.came) == ("is so", "")
    assert second.dry.came == "30 min later than expected then, outside the range"
    assert last.sentence == "The fuel is dry."
    came = outcome(EVENING, UTC)
    assert (came.gone, came.dry, came.verdict) == ("told at 13:15", "told at 14:20", "dry")


def test_what_never_came_is_said_not_to_have_come() -> None:
    short = replace(EVENING, estimates=EVENING.estimates[:1])
    assert outcome(short, UTC).dry == "not in this run"
    assert outcome(replace(short, ended=False), UTC).dry == "not yet"
    assert beliefs(short, UTC)[0].gone.came == ""
    nothing = outcome(replace(EVENING, estimates=()), UTC)
    assert (nothing.methanol, nothing.verdict) == ("cannot tell", "cannot tell")


def test_a_long_run_keeps_each_turn_of_the_verdict() -> None:
    turns = {500: Verdict.AIR_LIMITED, 501: Verdict.DRYING, 2999: Verdict.DRY}
    many = tuple(believed(i, turns.get(i, Verdict.DRYING), 0.01) for i in range(3000))
    kept = beliefs(replace(EVENING, estimates=many, until=at(3000)), UTC)
    assert len(kept) < 750
    assert [one.time for one in kept][-1] == at(2999)
    assert {"no drier in this air", "dry"} <= {one.verdict for one in kept}


def test_the_verdicts_follow_each_other_until_the_end() -> None:
    assert verdicts(EVENING) == (Stretch(at(11), at(140), "drying"), Stretch(at(140), at(200), "dry"))


def test_what_happened_stands_in_order_with_its_length() -> None:
    returned = RAISED | {"time": at(96), "change": "returned"}
    seen = {
        "kind": "command",
        "time": at(92),
        "command": "acknowledge",
        "alarm": "vent-closed",
        "who": "Wren",
    }
    note = {"kind": "command", "time": at(95), "command": "note", "text": "opened the window", "who": "Wren"}
    drawn = {"kind": "level", "time": at(170), "start": at(165), "level": "draw", "by": "Wren",
             "volume": {"median": 0.02, "low": 0.019, "high": 0.021}}  # fmt: skip
    run = replace(EVENING, events=(RAISED, seen, note, returned, TEST, drawn))
    assert [(one.at, one.kind, one.said) for one in happened(run, UTC)] == [
        ("13:30", "emergency", "The blower runs and the vent is closed – for 6 min."),
        ("13:32", "done", "Wren has seen “The blower runs and the vent is closed”."),
        ("13:35", "note", "Wren: “opened the window”"),
        ("14:40", "test", "Wren tested the fuel: Methanol 0.060 %, give or take 0.020 %."),
        ("14:50", "level", "Drawn: 20 L (19 to 21 L)."),
    ]
    assert happened(run, UTC)[0].end == at(96)
    standing = happened(replace(EVENING, events=(RAISED,)), UTC)[0]
    assert (standing.end, standing.said) == (
        at(200),
        "The blower runs and the vent is closed – it still stands.",
    )


def test_rows_say_what_held_and_leave_out_what_is_not_watched() -> None:
    named = {row.name: row.stretches for row in rows(EVENING)}
    assert list(named) == ["Stage", "Blower", "Verdict"]
    assert [(one.what, one.said) for one in named["Blower"]] == [("blower-on", "runs")] * 2
    assert [one.said for one in named["Stage"]] == ["settling", "bubbling", "paused", "bubbling", "resting"]


def test_stretches_join_what_is_said_twice() -> None:
    assert stretches([], 20.0) == ()
    assert stretches([(0.0, "on"), (5.0, "on"), (9.0, "off"), (9.0, "on")], 20.0) == (
        Stretch(0.0, 20.0, "on"),
    )
