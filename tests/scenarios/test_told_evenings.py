"""Whole evenings of a simulated tank, told by the real ways to a real web server and a real mailbox.

The core lives through the hours in a moment; each notice goes out before the next is due, as it would.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf
from pathlib import Path
from typing import Any

import pytest

from drydown.clock import Clock, Moment
from drydown.config.model import Site
from drydown.effects import AlarmChanged, NoticeDue
from drydown.lines import line_of
from drydown.notices.courier import Courier
from drydown.simulate.scene import Spell
from drydown.watch.teller import Teller
from support.boathouse import heron
from support.broker import until
from support.evening import Evening
from support.mail import Mailbox, mailbox
from support.receiver import Receiver, receiver
from support.story import Climbs

WALL = 1_789_200_000.0  # Unix s at the beginning of the core's clock
TANK = heron(room={"volume": 60.0, "fresh_air": 8.0})
HAPPENS, TEA, ENDS = 3600, 4500, 11400  # s: the blower runs from 1800 s to tea and on to the end


@dataclass
class Home:
    """Who is told, and the teller with its outbox."""

    phone: Receiver
    mail: Mailbox
    folder: Path

    def hear(self, story: Evening, end: float) -> None:
        """Live through an evening; a notice has arrived before anything later happens."""
        story.play(end, kinds=())
        now = [story.beginning]
        routes = [
            {"name": "phone", "address": self.phone.address},
            {"name": "mail", "address": self.mail.address, "least": "emergency"},
        ]
        site = Site.model_validate({"site": "boathouse", "tank": (TANK,), "notices": {"routes": routes}})
        path = self.folder / "outbox.sqlite3"
        courier = Courier(path, site.notices.routes, lambda: Moment("one", now[0], WALL + now[0], True))
        courier.start()
        clock = Clock(boot=lambda: now[0], wall=lambda: WALL + now[0])
        teller = Teller(site, clock, courier, told=lambda _tank: ())  # nobody was told before the evening
        try:
            for effect in story.effects:
                if isinstance(effect, AlarmChanged):
                    teller.line("heron", line_of(effect, lambda time: time + WALL))
                elif isinstance(effect, NoticeDue):
                    now[0] = effect.time
                    self._hear_one(teller, effect)
        finally:
            courier.close()

    def _hear_one(self, teller: Teller, notice: NoticeDue) -> None:
        heard, mailed = len(self.phone.taken), len(self.mail.taken)
        teller.notice("heron", notice, WALL + notice.time)
        until(lambda: len(self.phone.taken) > heard, 30, f"{notice.kind} on the phone")
        if notice.priority == "emergency":
            until(lambda: len(self.mail.taken) > mailed, 30, f"{notice.kind} in the mailbox")

    @property
    def told(self) -> list[str]:
        return [title.removeprefix("heron: ") for title in self.phone.titles]


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Home]:
    with receiver() as phone, mailbox() as mail:
        yield Home(phone, mail, tmp_path)


def evening(**happens: Any) -> Evening:
    return Evening(TANK, {}, 5.0, happens=happens)


def test_a_whole_normal_evening(home: Home) -> None:
    home.hear(evening(), ENDS + 600)
    assert home.told == ["methanol gone", "the fuel is dry", "stop the blower, let it settle"]
    assert all("%" in one["message"] for one in home.phone.taken), "how much is left, in numbers"
    assert home.mail.titles == []


def test_a_rag_before_the_inlet(home: Home) -> None:
    home.hear(evening(surges=(Spell(HAPPENS, TEA, 0.15),)), TEA + 240)
    assert home.told == ["HIGH: The blower gives too little air", "all clear"]
    assert home.mail.titles == []


def test_foam(home: Home) -> None:
    story = evening()
    story.at(HAPPENS, {"fuel/level": Climbs(0.852, 0.01)})
    story.at(HAPPENS + 15, {"fuel/level": Climbs(1.0, 0.0005)})
    home.hear(story, HAPPENS + 60)
    assert home.told == ["EMERGENCY: The fuel foams"]
    assert home.mail.titles == home.phone.titles


def test_a_drain_left_open(home: Home) -> None:
    home.hear(evening(drawings=(Spell(HAPPENS, inf, 1e-3 / 60),)), HAPPENS + 480)
    assert home.told == ["EMERGENCY: The tank loses fuel"]
    assert home.mail.titles == home.phone.titles
