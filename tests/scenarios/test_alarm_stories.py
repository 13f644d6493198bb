"""What goes wrong in a boathouse, told as stories: readings at…, want between…, and nothing else."""

import pytest

from drydown.commands import Acknowledge, Degraded, Mended, Part, Reset, Shelve
from drydown.effects import AlarmChanged, NoticeDue
from support.boathouse import AIRY, CELSIUS, at_rest, heron
from support.story import SILENT, Climbs, Fails, Story

ALARMS = (AlarmChanged, NoticeDue)

RUNS = {"blower/running": True, "fuel/level": 0.66}
STOPS = {"blower/running": False, "fuel/level": 0.60}
"""Bubbles lift the fuel by a tenth."""

LIVELY = {"fuel__temperature": Climbs(25 + CELSIUS, -0.002)}
"""Fuel that cools while it bubbles, so that its probe does not look stuck."""


@pytest.mark.parametrize("every", [1, 10])
def test_the_vent_closes_while_the_blower_runs(every: float) -> None:
    story = Story(heron(room=AIRY), at_rest(vent__open=True, **LIVELY), every)
    story.at(20, RUNS)
    story.at(100, {"vent/open": False})
    story.want("vent-closed raised", 100, 105)
    story.want("notice vent-closed raised", 100, 105)
    story.want("keep-out raised", 120, 160)  # the vapour stays in the room
    story.at(160, {"vent/open": True})
    story.want("vent-closed returned", 160, 170)
    story.want("notice vent-closed returned", 160, 170)
    story.play(240, ALARMS)


def test_a_vent_that_is_closed_while_the_blower_rests_is_nobodys_business() -> None:
    Story(heron(room=AIRY), at_rest(vent__open=False)).play(120, ALARMS)


def test_the_contact_of_the_vent_breaks_while_the_blower_runs() -> None:
    story = Story(heron(room=AIRY), at_rest(vent__open=True, **LIVELY))
    story.at(20, RUNS)
    story.at(100, {"vent/open": Fails()})
    story.want("vent-closed raised", 100, 105)
    story.want("notice vent-closed raised", 100, 105)
    story.want("probe-fault suppressed", 100, 130)  # one cause, one alarm
    story.want("keep-out raised", 120, 160)
    story.play(200, ALARMS)
    lost = next(
        effect for effect in story.effects if isinstance(effect, AlarmChanged) and effect.cause == "lost"
    )
    assert lost.alarm == "vent-closed"
    assert lost.priority == "emergency"


def test_a_short_bounce_of_the_vent_raises_nothing() -> None:
    story = Story(heron(room=AIRY), at_rest(vent__open=True, **LIVELY))
    story.at(20, RUNS)
    story.at(100, {"vent/open": False})
    story.at(101, {"vent/open": True})
    story.play(160, ALARMS)


def test_the_fuel_gets_too_hot_and_cools_down() -> None:
    story = Story(heron(room=AIRY), at_rest(fuel__temperature=Climbs(55 + CELSIUS, 0.004)))
    story.want("fuel-hot raised", 1250, 1256)  # 60 °C, the limit, is passed at 1250 s
    story.want("notice fuel-hot raised", 1250, 1256)
    story.at(1400, {"fuel/temperature": Climbs(60.6 + CELSIUS, -0.005)})
    story.want("fuel-hot returned", 1720, 1800)  # 59 °C at 1720 s, and then a minute
    story.want("notice fuel-hot returned", 1720, 1800)
    story.play(1900, ALARMS)


def test_a_heater_left_on_warms_the_fuel_faster_than_the_blower_can() -> None:
    story = Story(heron(room=AIRY), at_rest())
    swells = Climbs(0.60, 0.60 * 0.00084 * 1.5 / 60)  # fuel swells by 0.084 % a kelvin
    story.at(600, {"fuel/temperature": Climbs(25 + CELSIUS, 1.5 / 60), "fuel/level": swells})
    story.want("fuel-hot raised", 600, 660)
    story.want("notice fuel-hot raised", 600, 660)
    story.play(800, ALARMS)
    raised = next(
        effect for effect in story.effects if isinstance(effect, AlarmChanged) and effect.change == "raised"
    )
    assert (raised.cause, raised.priority) == ("rate", "high")


def test_hot_fuel_poured_in_is_no_heater() -> None:
    story = Story(heron(room=AIRY), at_rest())
    story.at(600, {"fuel/temperature": Climbs(25 + CELSIUS, 1.5 / 60), "fuel/level": Climbs(0.60, 0.0005)})
    story.at(1100, {"fuel/temperature": 37.5 + CELSIUS, "fuel/level": 0.85})
    story.play(1300, ALARMS)


def test_a_bearing_of_the_blower_heats() -> None:
    story = Story(heron(room=AIRY), at_rest(blower__motor_temperature=20 + CELSIUS, **LIVELY))
    story.at(20, RUNS | {"blower/motor_temperature": Climbs(20 + CELSIUS, 0.01)})
    story.at(3600, {"blower/motor_temperature": Climbs(56 + CELSIUS, 0.10)})
    story.want("blower-hot raised", 3600, 3660)  # by its rate
    story.want("notice blower-hot raised", 3600, 3660)
    story.want("blower-hot raised", 3940, 3946)  # 90 °C, the limit, is passed at 3940 s
    story.want("notice blower-hot raised", 3940, 3946)
    story.at(4000, STOPS | {"blower/motor_temperature": Climbs(96 + CELSIUS, -0.05)})
    story.want("blower-hot returned", 4180, 4260)
    story.want("notice blower-hot returned", 4180, 4260)
    story.do(4300, Acknowledge("blower-hot", "Ada"))
    story.want("blower-hot acknowledged", 4300, 4301)
    story.do(4400, Reset("blower-hot", "Ada"))
    story.want("blower-hot reset", 4400, 4401)
    core = story.play(4500, ALARMS)
    assert core.panel.alarms["blower-hot"].state == "normal"


def test_a_sound_blower_warms_up_without_an_alarm() -> None:
    """A rise of 20 K with a time constant of 5 min, the liveliest of the usual ones, an hour long."""
    story = Story(heron(room=AIRY), at_rest(blower__discharge_temperature=20 + CELSIUS, **LIVELY), every=10)
    story.at(20, RUNS)
    for step in range(120):
        slope = 20 / 300 * 0.9048**step  # exp(−30 s/300 s) a step
        start = 40 - 20 * 0.9048**step + CELSIUS
        story.at(20 + 30 * step, {"blower/discharge_temperature": Climbs(start, slope)})
    story.play(3600, ALARMS)


def test_the_blower_runs_on_longer_than_allowed() -> None:
    tank = heron(room=AIRY, blower={"rated_flow": 0.015, "longest_run": 600})
    story = Story(tank, at_rest(**LIVELY))
    story.at(100, RUNS)
    story.want("blower-overrun raised", 700, 705)
    story.want("notice blower-overrun raised", 700, 705)
    story.at(900, STOPS)
    story.want("blower-overrun returned", 900, 910)
    story.want("notice blower-overrun returned", 900, 910)
    story.play(1000, ALARMS)


@pytest.mark.parametrize("how", [Fails("28-0000071c2a3b is not on the 1-Wire bus"), SILENT])
def test_the_fuel_probe_is_unplugged_and_plugged_in_again(how: Fails | None) -> None:
    story = Story(heron(room=AIRY), at_rest())
    story.at(100, {"fuel/temperature": how})
    late = 165 if how is SILENT else 130  # a silent probe counts as absent after 30 s
    for alarm in ("fuel-hot", "probe-fault"):
        story.want(f"{alarm} raised", 115, late)
    story.want("notice probe-fault raised", 115, late)  # one cause, one notice
    story.at(300, {"fuel/temperature": 25 + CELSIUS})
    for alarm in ("fuel-hot", "probe-fault"):
        story.want(f"{alarm} returned", 300, 370)
    story.want("notice probe-fault returned", 300, 370)
    story.play(400, ALARMS)
    raised = [one for one in story.effects if isinstance(one, AlarmChanged) and one.change == "raised"]
    assert {one.priority for one in raised} == {"emergency"}
    (notice,) = [one for one in story.effects if isinstance(one, NoticeDue) and "blind" in one.values][:1]
    assert notice.values["blind"] == "vapour-high, fuel-hot"


def test_a_single_failed_reading_is_no_fault() -> None:
    story = Story(heron(room=AIRY), at_rest())
    story.at(100, {"fuel/temperature": Fails("checksum")})
    story.at(103, {"fuel/temperature": 25 + CELSIUS})
    story.play(200, ALARMS)


def test_a_second_probe_that_fails_is_told_again() -> None:
    story = Story(heron(room=AIRY), at_rest(air__temperature=20 + CELSIUS, air__humidity=0.5))
    story.at(100, {"air/humidity": Fails()})
    story.want("probe-fault raised", 100, 130)
    story.want("notice probe-fault raised", 100, 130)
    story.do(200, Acknowledge("probe-fault", "Ada"))
    story.want("probe-fault acknowledged", 200, 201)
    story.at(300, {"air/temperature": Fails()})
    story.want("probe-fault raised", 300, 330)
    story.want("notice probe-fault raised", 300, 330)
    story.play(400, ALARMS)


def test_a_configured_probe_that_never_says_anything_is_lost() -> None:
    tank = heron(room=AIRY, probes={"vent/open": {"gpio": 17}})
    story = Story(tank, at_rest(**LIVELY))
    story.want("probe-fault raised", 30, 60)
    story.want("notice probe-fault raised", 30, 60)
    story.at(100, RUNS)
    story.want("vent-closed raised", 100, 105)
    story.want("notice vent-closed raised", 100, 105)
    story.play(140, ALARMS)


def test_measured_vapour_rises_to_a_tenth_and_then_a_quarter_of_the_limit() -> None:
    story = Story(heron(room=AIRY), at_rest(vapour__methanol=Climbs(0.001, 0.00005), **LIVELY))
    story.at(10, RUNS)
    story.want("keep-out raised", 10, 20)  # 0.1 % by volume from the first
    story.want("vapour-high raised", 100, 106)  # 0.6 % by volume at 100 s
    story.want("notice vapour-high raised", 100, 106)
    story.want("vapour-high raised", 280, 286)  # 1.5 %
    story.want("notice vapour-high raised", 280, 286)
    story.play(300, ALARMS)


def test_an_alarm_is_shelved_and_comes_back_when_the_time_is_over() -> None:
    tank = heron(room=AIRY, blower={"rated_flow": 0.015, "longest_run": 600})
    story = Story(tank, at_rest(**LIVELY))
    story.at(100, RUNS)
    story.want("blower-overrun raised", 700, 705)
    story.want("notice blower-overrun raised", 700, 705)
    story.do(750, Shelve("blower-overrun", "Ada", 300))
    story.want("blower-overrun shelved", 750, 751)
    story.want("blower-overrun unshelved", 1050, 1051)
    story.want("blower-overrun raised", 1050, 1051)
    story.want("notice blower-overrun raised", 1050, 1051)
    story.play(1100, ALARMS)


def test_an_emergency_cannot_be_shelved() -> None:
    story = Story(heron(room=AIRY), at_rest(vent__open=False, **LIVELY))
    story.do(5, Shelve("vent-closed", "Ada", 3600))
    story.at(10, RUNS)
    story.want("vent-closed raised", 10, 15)
    story.want("notice vent-closed raised", 10, 15)
    story.do(30, Shelve("vent-closed", "Ada", 3600))
    story.play(60, ALARMS)


def test_a_broker_that_is_away_is_told_on_the_pages_only_and_a_full_disk_by_notice() -> None:
    story = Story(heron(room=AIRY), at_rest())
    story.do(100, Degraded(Part.BROKER, "127.0.0.1:1883 refuses the connection"))
    story.want("watch-degraded raised", 100, 160)
    story.do(200, Degraded(Part.DISK, "no space left"))
    story.want("watch-degraded raised", 200, 260)
    story.want("notice watch-degraded raised", 200, 260)
    story.do(300, Mended(Part.BROKER))
    story.do(400, Mended(Part.DISK))
    story.want("watch-degraded returned", 400, 460)
    story.want("notice watch-degraded returned", 400, 460)
    story.play(500, ALARMS)
