"""A whole panel through random happenings and restarts: nothing is lost, nothing stays quiet for ever.

Beside each panel stands its twin, which is never restarted: both have to say the same to the letter. What a
restart passes on goes through JSON, as on the disk.
"""

import json

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from drydown.alarms.alarm import CHATTER_WINDOW, LONGEST_SHELF
from drydown.alarms.catalogue import KINDS, dependents
from drydown.alarms.kept import Memory
from drydown.alarms.lifecycle import State
from drydown.alarms.panel import AlarmCommand, Panel
from drydown.alarms.scene import Loss, Scene
from drydown.alarms.telling import Telling
from drydown.commands import Acknowledge, Part, Reset, Shelve, Unshelve
from drydown.effects import AlarmChanged, Change, Effect, NoticeDue, Priority
from drydown.estimate.result import Verdict
from drydown.watch.alarm_file import Page, line_of_page, page_of
from support.boathouse import CELSIUS, heron

WALL = 1_789_200_000.0  # Unix s of the core's beginning
CALM = CHATTER_WINDOW + 60.0  # s in which every delay has run out
VALUES = {
    "blower/running": (True, False),
    "vent/open": (True, False),
    "fuel/temperature": (25 + CELSIUS, 61 + CELSIUS),
    "blower/motor_temperature": (50 + CELSIUS, 95 + CELSIUS),
    "vapour/methanol": (0.0, 0.0004, 0.008, 0.02),
}
COMMANDS: tuple[AlarmCommand, ...] = tuple(
    command
    for kind in KINDS
    for command in (
        Acknowledge(kind.name, "Ada"),
        Reset(kind.name, "Ada"),
        Unshelve(kind.name, "Ada"),
        Shelve(kind.name, "Ada", 60.0),
        Shelve(kind.name, "Ada", 2 * LONGEST_SHELF),
    )
)


class Watch:
    """A panel with what tells of it, as the core has them."""

    def __init__(self) -> None:
        self.panel, self.telling = Panel(), Telling()

    def look(self, scene: Scene) -> list[Effect]:
        return self._tell(list(self.panel.look(scene)))

    def obey(self, now: float, command: AlarmCommand) -> list[Effect]:
        return self._tell(list(self.panel.obey(now, command)))

    def restarted(self) -> "Watch":
        page = Page(Memory(self.panel.kept(), dict(self.telling.told), first=self.panel.first))
        line = json.loads(json.dumps(line_of_page(page, lambda time: time + WALL)))
        memory = page_of(line, lambda time: time - WALL).memory
        after = Watch()
        after.panel.recall(memory.alarms)
        after.panel.first = memory.first
        after.telling = Telling(memory.told)
        return after

    def _tell(self, changes: list[AlarmChanged]) -> list[Effect]:
        notices = [self.telling.notice(changed) for changed in changes]
        return [*changes, *(notice for notice in notices if notice)]


class PanelThroughRestarts(RuleBasedStateMachine):
    """The tank, the people and the power do what they like."""

    @initialize()
    def begin(self) -> None:
        self.scene = Scene(heron(), fitted={*VALUES, "fuel/level"})
        self.scene.needs = dependents(self.scene.fitted)
        self.scene.values = {name: values[-1] for name, values in VALUES.items() if name != "vent/open"}
        self.scene.values |= {"vent/open": True, "fuel/level": 0.5, "fuel/temperature": 25 + CELSIUS}
        self.scene.values |= {"blower/running": False, "blower/motor_temperature": 50 + CELSIUS}
        self.scene.values["vapour/methanol"] = 0.0
        self.watch, self.twin = Watch(), Watch()
        self.unseen: set[str] = set()  # emergencies that nobody has acknowledged
        self.latched: set[str] = set()  # those that somebody has to reset
        self.told: list[NoticeDue] = []
        self._look()

    @rule(name=st.sampled_from(list(VALUES)), choice=st.integers(0, 3))
    def read(self, name: str, choice: int) -> None:
        self.scene.values[name] = VALUES[name][choice % len(VALUES[name])]
        self.scene.lost.pop(name, None)
        self._look()

    @rule(name=st.sampled_from([*VALUES, "fuel/level"]))
    def lose(self, name: str) -> None:
        self.scene.values.pop(name, None)
        self.scene.lost.setdefault(name, Loss(self.scene.now, "no answer"))
        self._look()

    @rule()
    def lose_everything(self) -> None:
        for name in self.scene.fitted:
            self.lose(name)

    @rule(times=st.integers(1, 3))
    def rattle(self, times: int) -> None:
        """The motor comes over its limit and cools again."""
        name, hot, cool = "blower/motor_temperature", 95 + CELSIUS, 50 + CELSIUS
        self.scene.lost.pop(name, None)
        for value in (hot, cool) * times:
            self.scene.values[name] = value
            self.wait(70.0)

    @rule(rate=st.sampled_from([0.0, 0.3]))
    def warm(self, rate: float) -> None:
        """The motor warms, within its limit: high, but no emergency."""
        self.scene.rates["blower/motor_temperature"] = rate
        self._look()

    @rule(part=st.sampled_from(Part), fails=st.booleans())
    def degrade(self, part: Part, fails: bool) -> None:
        if fails:
            self.scene.degraded[part] = "away"
        else:
            self.scene.degraded.pop(part, None)
        self._look()

    @rule(verdict=st.sampled_from(Verdict))
    def judge(self, verdict: Verdict) -> None:
        self.scene.verdict, self.scene.water_floor = verdict, 0.0007
        self._look()

    @rule(seconds=st.sampled_from([0.5, 2.0, 5.0, 30.0, 300.0, 4000.0, 90_000.0]))
    def wait(self, seconds: float) -> None:
        end = self.scene.now + seconds
        while min(self.watch.panel.due, self.twin.panel.due) < end:
            self.scene.now = max(self.scene.now, min(self.watch.panel.due, self.twin.panel.due))
            self._look()
        self.scene.now = end
        self.scene.stretch = self.scene.stretch + seconds if self.scene.running else 0.0
        self._look()

    @rule(choice=st.integers(0, 99))
    def obey_what_does_something(self, choice: int) -> None:
        """The standing alarms first, so that people act on what they see."""
        useful = [one for one in COMMANDS if self.watch.panel.refusal(one) is None]
        seen = [one for one in useful if self.watch.panel.alarms[one.alarm].state is not State.NORMAL]
        self.obey((seen or useful)[choice % len(seen or useful)])

    @rule(command=st.sampled_from(COMMANDS))
    def obey(self, command: AlarmCommand) -> None:
        self.wait(1.0)  # nobody is quicker
        alarm = self.watch.panel.alarms[command.alarm]
        was = alarm.state, alarm.priority
        self._both([w.obey(self.scene.now, command) for w in (self.watch, self.twin)])
        match command:
            case Acknowledge():
                self.unseen.discard(command.alarm)
                if alarm.standing and was[0] is State.UNACKNOWLEDGED:
                    assert alarm.state is State.ACKNOWLEDGED  # seen, but not out of sight
                    assert (alarm.acknowledged_by, alarm.acknowledged_at) == ("Ada", self.scene.now)
            case Shelve() if was[1] is Priority.EMERGENCY and was[0] is not State.NORMAL:
                assert alarm.state is was[0]

    @rule()
    def restart_at_any_moment(self) -> None:
        before = {name: alarm.state for name, alarm in self.watch.panel.alarms.items()}
        self.watch = self.watch.restarted()
        assert {name: alarm.state for name, alarm in self.watch.panel.alarms.items()} == before
        self.twin = self.watch.restarted()  # delays that were running begin again, in both
        self._look()

    @rule()
    def restart_while_no_delay_runs(self) -> None:
        """Then nothing at all may tell it from one that was not restarted."""
        self.wait(CALM)
        self.watch = self.watch.restarted()
        self._look()

    @invariant()
    def no_unacknowledged_emergency_is_lost(self) -> None:
        for name in self.unseen:
            assert self.watch.panel.alarms[name].state in (State.UNACKNOWLEDGED, State.RETURNED), name

    @invariant()
    def no_latch_is_lost(self) -> None:
        for name in self.latched:
            assert self.watch.panel.alarms[name].state is not State.NORMAL, name

    @invariant()
    def shelving_ends(self) -> None:
        for alarm in self.watch.panel.alarms.values():
            if alarm.state is State.SHELVED:
                assert alarm.shelved_until is not None
                assert self.scene.now < alarm.shelved_until <= self.scene.now + LONGEST_SHELF
                assert alarm.due <= alarm.shelved_until
            else:
                assert alarm.shelved_until is None

    @invariant()
    def what_is_held_back_is_told_by_another(self) -> None:
        for alarm in self.watch.panel.alarms.values():
            if alarm.state is State.SUPPRESSED:
                assert alarm.finding and alarm.finding.explained_by in self.watch.panel.alarms

    def _look(self) -> None:
        self._both([w.look(self.scene) for w in (self.watch, self.twin)])

    def _both(self, said: list[list[Effect]]) -> None:
        assert said[0] == said[1]
        for effect in said[0]:
            if isinstance(effect, AlarmChanged):
                self._note(effect)
            elif isinstance(effect, NoticeDue):
                assert effect not in self.told
                self.told.append(effect)

    def _note(self, changed: AlarmChanged) -> None:
        if changed.change is Change.RAISED and changed.priority is Priority.EMERGENCY:
            self.unseen.add(changed.alarm)
        if changed.change is Change.RAISED and changed.alarm == "blower-hot" and changed.cause != "lost":
            self.latched.add(changed.alarm)
        if changed.change is Change.RESET:
            self.latched.discard(changed.alarm)


PanelThroughRestarts.TestCase.settings = settings(max_examples=100, stateful_step_count=50)
TestPanelThroughRestarts = PanelThroughRestarts.TestCase
