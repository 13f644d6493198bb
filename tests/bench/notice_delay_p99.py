"""notice_delay_p99: from the moment at which the probes are read until the request is at the receiver.

The vents of 50 tanks are closed while their blowers run, five at once; the emergencies go to a web server on
this machine. The delay of the alarm that is meant is not counted. The first notice is in it, with which the
process that sends is started.
"""

from collections.abc import Iterator
from functools import partial

from bench.alarm_latency_p99 import ALARM, PROBES, Quay
from bench.figure import Figure, Measured
from bench.listener import Listener
from bench.percentile import percentile
from bench.workbench import Workbench
from drydown.bus.topics import TankTopics
from support.broker import until
from support.processes import running
from support.receiver import Receiver, receiver
from support.site_file import write_site

SITE = "jetty"
TANKS = tuple(f"tank-{number}" for number in range(1, 51))
GROUPS = tuple(TANKS[first : first + 5] for first in range(0, len(TANKS), 5))
REPETITIONS = 2  # of each tank; an alarm that comes more often counts as chattering
PATIENCE = 60.0  # s


def measure(bench: Workbench) -> Measured:
    """Every emergency of every tank, each from a reading of its own."""
    config = write_site(bench.folder, SITE, TANKS, bench.broker.port, PROBES)
    topic = TankTopics(SITE, "+").alarm(ALARM.name)
    with receiver() as phone, Listener(bench.broker.config, topic) as listener:
        with config.open("a") as more:
            more.write(
                f'\n[[notices.routes]]\nname = "phone"\naddress = "{phone.address}"\nleast = "emergency"\n'
            )
        with running("watch", "--config", config, log=bench.folder / "jetty.log"):
            quay = Quay(listener, SITE, TANKS)
            quay.begin()
            late = [seconds for _ in range(REPETITIONS) for seconds in _pass(quay, phone)]
    return Measured(
        percentile(late, 0.99),
        f"{len(late)} notices of {len(TANKS)} tanks over one route, {len(GROUPS[0])} at once, beyond the "
        f"{ALARM.on_delays['value']:g} s of delay that is meant; half within {percentile(late, 0.5):.3f} s, "
        f"the longest {max(late):.3f} s",
    )


def _pass(quay: Quay, phone: Receiver) -> Iterator[float]:
    """Close the vents of one group after the other; how late each request was, in s. Then open them all."""
    for group in GROUPS:
        phone.forget()
        due = quay.close(group).due
        until(partial(_all_raised, phone, len(group)), PATIENCE, "a notice of every tank")
        yield from (at - due for at in _raised(phone))
    phone.forget()
    quay.open_all()
    until(lambda: sum(map(_is_end, phone.titles)) >= len(TANKS), PATIENCE, "their end")


def _all_raised(phone: Receiver, count: int) -> bool:
    return len(_raised(phone)) >= count


def _is_end(title: str) -> bool:
    return "over: The blower runs" in title or "all clear" in title


def _raised(phone: Receiver) -> list[float]:
    told = zip(phone.taken, phone.arrivals, strict=False)
    return [at for one, at in told if "vent is closed" in one["title"] and "EMERGENCY" in one["title"]]


FIGURE = Figure("notice_delay_p99", "s", 1.0, "at most", measure)
