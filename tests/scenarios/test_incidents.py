"""Evenings on which something goes wrong: a simulated tank, what happens to it, and what must be told, when.

Anything else fails the story. The demo's batch bubbles from 1800 to 4500 s, and after tea from 5220 to
11400 s.
"""

import json
from datetime import UTC
from math import inf

import pytest

from drydown.clock import Clock
from drydown.commands import Acknowledge, Command, Degraded, Drain, Mended, Part, Shelve
from drydown.core import Core
from drydown.effects import AlarmChanged, NoticeDue
from drydown.reading import Reading
from drydown.simulate.scene import Spell
from drydown.texts.notices import text
from drydown.watch.alarm_file import Page, line_of_page, page_of
from support.boathouse import CELSIUS, at_rest, heron
from support.evening import PROBES, Evening
from support.story import SILENT, Climbs, Fails

ALARMS = (AlarmChanged, NoticeDue)
WALL = 1_789_200_000.0  # Unix s at the beginning of the core's clock
STARTS, TEA, GOES_ON, ENDS = 1800, 4500, 5220, 11400  # s
HAPPENS = 3600
LITRE_A_MINUTE = 1e-3 / 60  # m³/s
BREEZY = {"volume": 60.0, "fresh_air": 8.0}  # so that vapour is no other story


def evening(**happens: object) -> Evening:
    """The boathouse with its doors open; `happens` as in `Scenario`. Half an hour long people stay out."""
    story = Evening(heron(room=BREEZY), {}, 5.0, happens=dict(happens))
    if story.scenario.switches[0] == STARTS:
        story.want("keep-out raised", STARTS, STARTS + 300)
        story.want("keep-out returned", STARTS + 600, HAPPENS)
    return story


def raises(story: Evening, alarm: str, within: float, since: float = HAPPENS) -> None:
    """Alarm and notice."""
    story.want(f"{alarm} raised", since, since + within)
    story.want(f"notice {alarm} raised", since, since + within)


def returns(story: Evening, alarm: str, after: float, before: float) -> None:
    """The same for the end."""
    story.want(f"{alarm} returned", after, before)
    story.want(f"notice {alarm} returned", after, before)


def test_a_whole_normal_evening() -> None:
    story = evening()
    story.want("stage settling", 0, 10)
    story.want("stage bubbling", STARTS, STARTS + 10)
    story.want("stage paused", TEA, TEA + 10)
    story.want("notice methanol-gone", TEA, GOES_ON)
    story.want("notice dry", TEA, GOES_ON)
    story.want("stage bubbling", GOES_ON, GOES_ON + 10)
    story.want("notice stop", GOES_ON, GOES_ON + 900)
    story.want("stage paused", ENDS, ENDS + 10)
    story.want("stage resting", ENDS + 3600, ENDS + 3610)
    core = story.play(18_000)
    assert core.panel.standing == frozenset()
    keep_out = next(one for one in story.effects if isinstance(one, AlarmChanged) and one.alarm == "keep-out")
    assert keep_out.priority == "low"


def test_the_vent_falls_shut_mid_run_and_is_opened() -> None:
    story = evening(vent_openings=(Spell(0.0, HAPPENS, 1.0), Spell(HAPPENS + 60, inf, 1.0)))
    raises(story, "vent-closed", 5)
    returns(story, "vent-closed", HAPPENS + 60, HAPPENS + 75)
    story.play(HAPPENS + 240, ALARMS)


def test_a_rag_before_the_inlet_is_told_within_five_minutes_and_forgotten_once_it_is_away() -> None:
    story = evening(surges=(Spell(HAPPENS, TEA, 0.15),))
    raises(story, "blower-weak", 300)
    returns(story, "blower-weak", TEA, TEA + 180)  # nobody says anything of a blower that is off
    story.want("notice methanol-gone", GOES_ON, GOES_ON + 1800)
    story.want("notice dry", GOES_ON, GOES_ON + 1800)
    story.want("notice stop", GOES_ON, GOES_ON + 1800)
    story.play(GOES_ON + 1800, ALARMS)


def test_a_blower_that_is_switched_off_by_hand_is_not_weak() -> None:
    story = evening(switches=(float(STARTS), float(HAPPENS)))
    story.play(HAPPENS + 600, (AlarmChanged,))


@pytest.mark.parametrize(
    ("rests", "rate", "within"),
    # what runs out fast is taken for a drain by hand until it has come to ten litres
    [(True, 0.5, 180), (True, 4.0, 180), (False, 1.0, 300), (False, 3.0, 300)],
)
def test_a_drain_left_open(rests: bool, rate: float, within: float) -> None:
    happens: dict[str, object] = {"drawings": (Spell(HAPPENS, inf, rate * LITRE_A_MINUTE),)}
    story = evening(**happens, **({"switches": (inf,)} if rests else {}))
    raises(story, "level-falling", within)
    story.play(HAPPENS + 480, ALARMS)


def test_a_drain_that_somebody_has_declared_is_no_leak() -> None:
    story = evening(switches=(inf,), drawings=(Spell(HAPPENS, HAPPENS + 300, LITRE_A_MINUTE),))
    story.do(HAPPENS - 60, Drain("Wren"))
    story.play(HAPPENS + 480, ALARMS)


def test_foam_rises() -> None:
    story = evening()
    story.at(HAPPENS, {"fuel/level": Climbs(0.852, 0.01)})
    story.at(HAPPENS + 15, {"fuel/level": Climbs(1.0, 0.0005)})
    raises(story, "level-high", 5, HAPPENS + 10)  # it is 4 cm higher than ever after some seconds
    story.play(HAPPENS + 60, ALARMS)


def test_foam_rises_within_the_first_minute_of_bubbling() -> None:
    story = Evening(heron(room=BREEZY), {}, 5.0)
    story.at(STARTS + 40, {"fuel/level": Climbs(0.87, 0.004)})
    story.at(STARTS + 55, {"fuel/level": Climbs(0.93, 0.0005)})
    story.want("keep-out raised", STARTS, STARTS + 300)
    raises(story, "level-high", 15, STARTS + 40)
    story.play(STARTS + 100, ALARMS)


FAILS = {
    "unplugged": Fails("28-0000071c2a3b is not on the 1-Wire bus"),
    "shorted": Fails("the current loop carries 22.00 mA, above 21 mA: its wires are shorted"),
    "silent": SILENT,
}


@pytest.mark.parametrize("how", FAILS.values(), ids=FAILS)
def test_a_level_gauge_that_fails_is_one_alarm_that_names_those_that_cannot_tell(how: Fails | None) -> None:
    story = evening()
    story.at(HAPPENS, {"fuel/level": how})
    late = 65 if how is SILENT else 30  # a silent probe counts as absent after 30 s
    raises(story, "probe-fault", late)
    for alarm in ("level-falling", "level-high", "blower-weak"):
        story.want(f"{alarm} suppressed", HAPPENS, HAPPENS + late)
    story.play(HAPPENS + 120, ALARMS)
    told = next(one for one in story.effects if isinstance(one, NoticeDue))
    assert told.values["blind"] == "level-falling, level-high, blower-weak"


def test_a_stuck_probe_is_told_within_minutes() -> None:
    story = evening()
    stuck = 301.4375  # K, as it read just then
    story.at(HAPPENS, {"fuel/temperature": stuck})
    raises(story, "probe-fault", 700)
    story.want("fuel-hot raised", HAPPENS, HAPPENS + 700)
    story.want("vapour-high raised", HAPPENS, HAPPENS + 700)
    story.play(HAPPENS + 800, ALARMS)


@pytest.mark.parametrize("how", [Fails("the bus is gone"), SILENT])
def test_a_board_that_loses_every_probe_is_one_alarm_not_eight(how: Fails | None) -> None:
    story = evening()
    story.at(HAPPENS, dict.fromkeys(PROBES, how))
    raises(story, "probe-fault", 5 if how else 40)
    held_back = ("vent-closed", "vapour-high", "level-falling", "level-high", "fuel-hot", "blower-hot",
                 "blower-overrun", "blower-weak")  # fmt: skip
    for alarm in held_back:
        story.want(f"{alarm} suppressed", HAPPENS, HAPPENS + 70)
    core = story.play(HAPPENS + 70, ALARMS)
    assert core.panel.standing == {"probe-fault"}


def test_two_emergencies_at_once_are_both_told_and_acknowledged_one_by_one() -> None:
    story = evening(vent_openings=(Spell(0.0, HAPPENS, 1.0),))
    story.at(HAPPENS, {"blower/motor_temperature": 95 + CELSIUS})
    for alarm in ("vent-closed", "blower-hot"):
        raises(story, alarm, 5)
    story.want("keep-out raised", HAPPENS + 30, HAPPENS + 120)
    story.do(HAPPENS + 60, Acknowledge("vent-closed", "Ada"))
    story.want("vent-closed acknowledged", HAPPENS + 60, HAPPENS + 61)
    core = story.play(HAPPENS + 120, ALARMS)
    states = {name: str(core.panel.alarms[name].state) for name in ("vent-closed", "blower-hot")}
    assert states == {"vent-closed": "acknowledged", "blower-hot": "unacknowledged"}


def test_the_alarm_that_came_first_is_kept_and_named_by_those_that_follow() -> None:
    story = evening(vent_openings=(Spell(0.0, HAPPENS, 1.0), Spell(HAPPENS + 60, inf, 1.0)))
    story.at(HAPPENS + 30, {"blower/motor_temperature": 95 + CELSIUS})
    story.at(HAPPENS + 90, {"fuel/temperature": 62 + CELSIUS})
    raises(story, "vent-closed", 5)
    raises(story, "blower-hot", 5, HAPPENS + 30)
    story.want("vent-closed returned", HAPPENS + 60, HAPPENS + 70)
    story.want("notice vent-closed returned", HAPPENS + 60, HAPPENS + 70)
    raises(story, "fuel-hot", 60, HAPPENS + 90)
    story.play(HAPPENS + 120, ALARMS)
    told = {one.values["alarm"]: one for one in story.effects if isinstance(one, NoticeDue)}
    assert "after" not in told["vent-closed"].values
    for alarm in ("blower-hot", "fuel-hot"):
        body = text(told[alarm], "heron", WALL, UTC).body
        assert "came first, and this one may follow from it: The blower runs and the vent is closed." in body


@pytest.mark.parametrize(("part", "priority"), [(Part.NOTICES, "high"), (Part.BROKER, "low")])
def test_a_way_is_dead_for_hours_and_comes_back(part: Part, priority: str) -> None:
    """What the tank itself has to tell does not change; a dead broker is told on the pages alone."""
    story = evening(vent_openings=(Spell(0.0, HAPPENS, 1.0), Spell(HAPPENS + 60, inf, 1.0)))
    dead, back = HAPPENS - 1200, TEA + 300
    story.do(dead, Degraded(part, "nobody answers"))
    story.do(back, Mended(part))
    story.want("watch-degraded raised", dead, dead + 60)
    story.want("watch-degraded returned", back, back + 120)
    if priority == "high":
        story.want("notice watch-degraded raised", dead, dead + 60)
        story.want("notice watch-degraded returned", back, back + 120)
    raises(story, "vent-closed", 5)
    returns(story, "vent-closed", HAPPENS + 60, HAPPENS + 75)
    story.want("notice methanol-gone", TEA, back)
    story.want("notice dry", TEA, back)
    story.play(back + 240, ALARMS)
    told = [one for one in story.effects if isinstance(one, AlarmChanged) and one.alarm == "watch-degraded"]
    assert {str(one.priority) for one in told} == {priority}


def test_a_contact_that_rattles_is_told_three_times_and_then_stands() -> None:
    shut = [(HAPPENS + 40.0 * k, HAPPENS + 40.0 * k + 20.0) for k in range(12)]
    opens = [0.0, *(end for _, end in shut)]
    spells = tuple(Spell(a, b, 1.0) for a, b in zip(opens, [*(s for s, _ in shut), inf], strict=True))
    story = evening(vent_openings=spells)
    for k in range(3):
        raises(story, "vent-closed", 5, HAPPENS + 40 * k)
    for k in range(2):
        returns(story, "vent-closed", HAPPENS + 40 * k + 20, HAPPENS + 40 * k + 40)
    story.play(HAPPENS + 600, ALARMS)
    third = [one for one in story.effects if isinstance(one, AlarmChanged) and one.change == "raised"][3]
    assert (third.alarm, third.values["times"]) == ("vent-closed", 3.0)


class Wall:
    """A board's clocks: the boot clock goes on, and somebody sets the other."""

    def __init__(self) -> None:
        self.boot, self.ahead = 0.0, 1_789_200_000.0
        self.clock = Clock(boot=lambda: self.boot, wall=lambda: self.boot + self.ahead, name="test")


@pytest.mark.parametrize("hours", [-1, 1])
def test_the_wall_clock_jumps_an_hour_during_an_emergency(hours: int) -> None:
    """Nothing comes of it, neither an end nor another beginning; what was seen and kept keeps its time."""
    wall, core = Wall(), Core(heron(room=BREEZY))
    said: list[AlarmChanged] = []
    for second in range(600):
        wall.boot = float(second)
        if second == 300:
            wall.ahead += 3600.0 * hours
            assert wall.clock.look() == pytest.approx(3600.0 * hours)
        now = wall.clock.now()
        values = at_rest(vent__open=second < 100, blower__running=True, fuel__level=0.66)
        values["fuel/temperature"] -= 0.002 * second
        readings = [Reading(name, now, value) for name, value in values.items()]
        orders: list[Command] = [Acknowledge("vent-closed", "Ada")] if second == 200 else []
        orders += [Shelve("keep-out", "Ada", 3600.0)] if second == 250 else []
        said += [one for one in core.step(now, readings, orders) if isinstance(one, AlarmChanged)]
    vent = [(str(one.change), one.time) for one in said if one.alarm == "vent-closed"]
    assert [change for change, _ in vent] == ["removed", "restored", "raised", "acknowledged"][-len(vent) :]
    assert vent[-2][1] == pytest.approx(102, abs=3)
    page = json.loads(json.dumps(line_of_page(Page(core.kept()), wall.clock.to_unix)))
    after = Core(heron(room=BREEZY))
    after.recall(page_of(page, wall.clock.from_unix).memory)
    kept = after.panel.alarms
    assert kept["vent-closed"].acknowledged_at == pytest.approx(200.0)
    assert kept["keep-out"].shelved_until == pytest.approx(250.0 + 3600.0)


def test_a_failure_that_is_acknowledged_and_passed_on_to_another_core_stands() -> None:
    story = evening(vent_openings=(Spell(0.0, HAPPENS, 1.0),))
    raises(story, "vent-closed", 5)
    story.do(HAPPENS + 10, Acknowledge("vent-closed", "Ada"))
    story.want("vent-closed acknowledged", HAPPENS + 10, HAPPENS + 11)
    before = story.play(HAPPENS + 20, ALARMS)
    after = Core(before.tank)
    after.recall(before.kept())
    vent = after.panel.alarms["vent-closed"]
    assert (str(vent.state), vent.acknowledged_by) == ("acknowledged", "Ada")
    came = after.step(before.scene.now + 60, (), ())
    assert not [one for one in came if isinstance(one, AlarmChanged) and one.alarm == "vent-closed"]
