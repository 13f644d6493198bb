"""`drydown check --touch`: warm a probe in your hand, and be told which one it is.

It needs no keyboard: it says each thing on a line, and ends when each probe has been named, when nothing has
happened for a while, or with Ctrl-C. Who plugs probes in one by one ends it by resting.
"""

import signal
import time
from collections.abc import Iterator

from drydown.check.finding import Finding
from drydown.check.warming import Warming
from drydown.check.wire import READ, use
from drydown.config.model import Site
from drydown.probes.find import default_sysfs
from drydown.probes.poll import Poller
from drydown.probes.w1 import OneWire, OneWireProbe
from drydown.quantities import ZERO_CELSIUS
from drydown.reading import Reading

LONGEST_REST = 120.0  # s without a touch
SIGN_OF_LIFE = 15.0  # s
GLANCE = 0.2  # s
PART = "touch"


def touch_findings(site: Site) -> Iterator[Finding]:
    """What is touched, plugged in and pulled out, until the end."""
    aid = _Aid(site)
    before = signal.signal(signal.SIGINT, aid.stop)  # an exception might come while a line is being printed
    try:
        yield from aid.follow()
        yield aid.end()
    finally:
        signal.signal(signal.SIGINT, before)


class _Aid:
    def __init__(self, site: Site) -> None:
        self._site = site
        self._wire = OneWire(default_sysfs() / "bus/w1/devices")
        self._warming = Warming()
        self._named: list[str] = []
        self._plugged_in = self._stopped = False
        self._present = self._look()
        self._changed = self._told = time.monotonic()

    def stop(self, *_: object) -> None:
        """Ctrl-C: come to the end; pressed again, at once."""
        self._stopped = True
        signal.signal(signal.SIGINT, signal.default_int_handler)

    def follow(self) -> Iterator[Finding]:
        """Until each is named, or nothing has happened for LONGEST_REST."""
        yield Finding(PART, True, self._greeting())
        while not self._is_over():
            probes = [OneWireProbe(serial, serial, self._wire) for serial in self._present]
            with Poller(probes, time.monotonic) as poller:
                while self._look() == self._present and not self._is_over():
                    time.sleep(GLANCE)
                    yield from self._take(poller.collect())
            yield from self._comings_and_goings()

    def end(self) -> Finding:
        """What came of it."""
        missed = [serial for serial in self._present if serial not in self._named]
        if not self._named:
            return Finding(
                PART, False, "The end: no probe was named. Hold one in a warm hand for ten seconds."
            )
        rest = f" Not touched: {', '.join(missed)}." if missed else " That is each that is there."
        return Finding(PART, True, f"The end. Named: {', '.join(self._named)}.{rest}")

    def _greeting(self) -> str:
        count = len(self._present)
        there = f"{count} DS18B20: {', '.join(self._present)}" if count else "no DS18B20 yet; plug one in"
        return (
            "With the blower at rest, hold one probe in a warm hand until its number comes, then the next; "
            f"or plug one in. There: {there}. It ends when each of these is named, after "
            f"{LONGEST_REST:.0f} s in which nothing happens, or with Ctrl-C."
        )

    def _is_over(self) -> bool:
        if self._stopped:
            return True
        if not self._plugged_in and self._present and set(self._present) <= set(self._named):
            return True
        return time.monotonic() - self._changed > LONGEST_REST

    def _look(self) -> list[str]:
        return [
            serial for bus in self._wire.buses.all() for serial in bus.slaves() if serial.startswith(READ)
        ]

    def _take(self, readings: list[Reading]) -> Iterator[Finding]:
        now = time.monotonic()
        celsius = {one.name: float(one.value) - ZERO_CELSIUS for one in readings if one.value is not None}
        serial = self._warming.observe(now, celsius)
        if serial:
            warmer = self._warming.rises()[serial]
            at = f"{celsius[serial]:.1f} °C, " if serial in celsius else ""
            yield self._name(serial, f"This is {serial}: {at}{warmer:.1f} °C warmer than just now.")
        elif now - self._told > SIGN_OF_LIFE:
            self._told = now
            yield Finding(PART, True, self._sign_of_life(readings))

    def _sign_of_life(self, readings: list[Reading]) -> str:
        silent = [reading.reason for reading in readings if reading.value is None]
        rises = self._warming.rises()
        if not rises:
            return f"No probe gives a temperature yet. {'; '.join(silent)}"
        first = max(rises, key=lambda serial: rises[serial])
        return f"None is warming fast. The most: {first}, by {rises[first]:.1f} °C."

    def _comings_and_goings(self) -> Iterator[Finding]:
        before, self._present = self._present, self._look()
        for serial in self._present:
            if serial not in before:
                self._plugged_in = True
                yield self._name(serial, f"Just plugged in: {serial}.")
        for serial in before:
            if serial not in self._present:
                self._changed = time.monotonic()
                yield Finding(f"1-wire {serial}", True, f"{serial} has just gone.")

    def _name(self, serial: str, words: str) -> Finding:
        self._changed = self._told = time.monotonic()
        if serial not in self._named:
            self._named.append(serial)
        return Finding(f"1-wire {serial}", True, f"{words} {use(self._site, serial)}")
