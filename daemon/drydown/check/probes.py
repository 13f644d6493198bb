"""Reads every configured probe, or asks the watcher that has them what they say."""

import time
from collections.abc import Iterator, Mapping

from drydown.bus.local_client import WatcherError, ask
from drydown.check.broker import BrokerLine
from drydown.check.finding import Finding
from drydown.clock import Clock
from drydown.condition.judge import condition, new_state
from drydown.config.model import BoardProbe, Site, Tank
from drydown.errors import UserError
from drydown.lines import Line, reading_line
from drydown.probes.find import Attachments, find_probes
from drydown.probes.poll import PATIENCE, Poller
from drydown.probes.probe import Probe
from drydown.quantities import REQUIRED

LONGEST = PATIENCE + 2.0  # s to wait for all probes; a silent one is told of after PATIENCE


def probe_findings(site: Site, line: BrokerLine) -> Iterator[Finding]:
    """Each tank's probes, and what a tank should have and has not."""
    try:
        states = ask(site.socket_path, "state")
    except WatcherError:
        states = {}
    attachments = Attachments(site.site)
    line.boards = attachments.boards
    for tank in site.tank:
        if tank.name in states:
            yield from _findings(tank, states[tank.name]["readings"])
        else:
            yield from _read(tank, attachments)
        for name in REQUIRED:
            if name not in tank.probes:
                yield Finding(f"{tank.name} {name}", False, f'Not configured: add "{name}" to [tank.probes].')


def _read(tank: Tank, attachments: Attachments) -> Iterator[Finding]:
    probes: list[Probe] = []
    for name, config in tank.probes.items():
        alone = tank.model_copy(update={"probes": {name: config}})
        try:
            probes += find_probes(alone, attachments)
        except UserError as error:
            yield Finding(f"{tank.name} {name}", False, str(error))
    found = tank.model_copy(update={"probes": {probe.name: tank.probes[probe.name] for probe in probes}})
    yield from _findings(found, _gather(found, probes))


def _gather(tank: Tank, probes: list[Probe]) -> Mapping[str, Line]:
    """The last line of each probe, once all have given a value or had their time."""
    clock = Clock()
    state = new_state(tank.probes)
    lines: dict[str, Line] = {}
    end = time.monotonic() + LONGEST
    with Poller(probes, clock.now) as poller:
        while time.monotonic() < end and not all(_is_good(lines.get(probe.name)) for probe in probes):
            time.sleep(0.05)
            for reading in condition(clock.now(), poller.collect(), state):
                lines[reading.name] = reading_line(reading, clock.to_unix)
    return lines


def _findings(tank: Tank, lines: Mapping[str, Line]) -> Iterator[Finding]:
    for name, config in tank.probes.items():
        part, line = f"{tank.name} {name}", lines.get(name)
        if line is None:
            said = "nothing came from it" + (" by MQTT" if isinstance(config, BoardProbe) else "")
            yield Finding(part, False, f"{said}: check its plug and its configuration.")
        else:
            yield Finding(part, _is_good(line), _said(line))


def _is_good(line: Line | None) -> bool:
    return line is not None and line["value"] is not None and "quality" not in line


def _said(line: Line) -> str:
    if line.get("reason"):
        return str(line["reason"])
    value = line["value"]
    if isinstance(value, bool):
        return "It says yes." if value else "It says no."
    return f"It reads {value:g} {line['unit'] or ''}".rstrip() + "."
