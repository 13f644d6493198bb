"""The demo's watcher: the same core, broker, socket and texts as on a board, on a clock of the tank's own.

The simulated tank is moved on in even steps and each step is watched before the next, so that nothing depends
on how fast this machine is. What a phone would get is handed to `tell`.
"""

import time
from collections import deque
from collections.abc import Callable
from typing import Any

from drydown.bus.local_server import LocalServer, Reply
from drydown.clock import Clock, zone
from drydown.commands import Command
from drydown.config.model import Site
from drydown.core import Core
from drydown.demo.story import story_of
from drydown.effects import NoticeDue
from drydown.errors import UserError
from drydown.lines import Line, prospect_line
from drydown.orders import command_of
from drydown.outlook.lines import air_of, outlook_line
from drydown.probes.simulated import LiveTank
from drydown.reading import Reading
from drydown.texts.alarms import REFUSALS
from drydown.texts.language import say
from drydown.texts.notices import NoticeText, text
from drydown.watch.voice import Voice

STEP = 5.0  # s of the tank's time between two looks
AHEAD = 1500  # entries that the recorder may be behind before the tank waits for it
PATIENCE = 30.0  # s of real time for the broker or the recorder to come


class DemoWatcher:
    """Watches the only tank of `site`, which is simulated."""

    def __init__(self, site: Site, tell: Callable[[NoticeText], None], check: Callable[[], None]) -> None:
        """`tell` gets what a phone would get; `check` raises when waiting has become vain."""
        self._tank = site.tank[0]
        self._tell, self._check = tell, check
        self._now = 0.0
        self._clock = Clock(boot=lambda: self._now, synchronised=lambda: True, name=f"demo{time.time():.0f}")
        self._scenario = story_of(self._tank)
        self._live = LiveTank(self._scenario)
        self._core = Core(self._tank)
        self._voice = Voice(site, self._core, self._clock, self, lambda: None, None)
        self._orders: deque[tuple[Command, Reply]] = deque()
        self._server = LocalServer(site.socket_path, self)

    @property
    def span(self) -> tuple[float, float]:
        """Unix times of the story's start and of now."""
        return self._clock.to_unix(0.0), self._clock.to_unix(self._now)

    @property
    def duration(self) -> float:
        """How long the story lasts, in s of the tank's time."""
        return self._scenario.duration

    def start(self) -> None:
        """Be there for the pages, and find the recorder."""
        self._server.start()
        self._voice.start()
        self._wait("the broker and the recorder", lambda: not self._voice.troubles())

    def step(self) -> None:
        """Let the tank live for STEP seconds and look at it."""
        self._check()
        self._now += STEP
        moment = self._live.look(self._now)
        readings = [Reading(name, self._now, moment.readings[name]) for name in self._tank.probes]
        self._voice.say(self._core.step(self._now, readings, ()))
        while self._orders:
            command, reply = self._orders.popleft()
            lines = self._voice.say(self._core.step(self._now, (), [command]))
            self._voice.say_command(self._now, command)
            reply({"lines": lines})
        self._voice.say_readings()
        self._voice.pump()

    def catch_up(self, behind: int = AHEAD) -> None:
        """Wait until the recorder is no more than that many entries behind."""
        self._wait("the recorder", lambda: self._voice.unconfirmed <= behind)

    def close(self) -> None:
        """Stop."""
        self._server.close()
        self._voice.close()

    def _wait(self, for_what: str, done: Callable[[], bool]) -> None:
        end = time.monotonic() + PATIENCE
        while not done():
            self._check()
            if time.monotonic() > end:
                raise UserError(f"The demo waited {PATIENCE:.0f} s for {for_what} in vain; start it again.")
            self._voice.pump()
            time.sleep(0.002)

    # What the local server asks (bus.local_server.Desk), from its own thread

    def state(self) -> dict[str, Any]:
        """The state of the tank, by name."""
        return {self._tank.name: self._voice.state()}

    def command(self, tank: str, order: dict[str, Any], reply: Reply) -> None:
        """Have the tank obey at its next step."""
        if tank != self._tank.name:
            raise UserError(f"There is no tank {tank}; there is {self._tank.name}.")
        command = command_of(order)
        refusal = self._core.refusal(command)
        if refusal:
            raise UserError(say(REFUSALS[refusal]))
        self._orders.append((command, reply))

    def what_if(self, tank: str, fuel_temperature: float) -> list[Line]:
        """What a start would bring with the fuel at so many K."""
        if tank != self._tank.name:
            raise UserError(f"There is no tank {tank}; there is {self._tank.name}.")
        return [prospect_line(prospect) for prospect in self._core.what_if(fuel_temperature)]

    def outlook(self, tank: str, air: object) -> Line | None:
        """What a start at each hour of the day ahead would bring."""
        if tank != self._tank.name:
            raise UserError(f"There is no tank {tank}; there is {self._tank.name}.")
        found = self._core.outlook(air_of(air))
        return None if found is None else outlook_line(found)

    # Where the voice sends what does not go to the broker (watch.voice.Outlets)

    def line(self, tank: str, line: Line) -> None:
        """Pass a line on to the pages."""
        if self._server.is_followed:
            self._server.tell(tank, line)

    def notice(self, tank: str, notice: NoticeDue, unix_time: float) -> None:
        """Say what a phone would say."""
        self._tell(text(notice, tank, unix_time, zone()))
