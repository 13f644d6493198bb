"""Reads every configured probe, or asks the watcher that has them what they say."""

import time
from collections.abc import Iterator, Mapping

from drydown.bus.local_client import WatcherError, ask
from drydown.check.broker import BrokerLine
from drydown.check.finding import Finding
from drydown.check.wire import wire_findings
from drydown.clock import Clock
from drydown.condition.judge import condition, new_state
from drydown.condition.table import EMPTY
from drydown.condition.words import said
from drydown.config.model import BoardProbe, Site, Tank
from drydown.errors import UserError
from drydown.lines import Line, reading_line
from drydown.probes.find import Attachments, find_probes
from drydown.probes.kinds import PATIENCE
from drydown.probes.poll import Poller
from drydown.probes.probe import Probe
from drydown.quantities import MEASURED, REQUIRED
from drydown.run.fuel_level import vessel_of
from drydown.texts.amounts import litres

LONGEST = PATIENCE + 2.0  # s to wait for a probe; a silent one is told of after PATIENCE
SETTLED = 3.0  # s after which a probe on this board that says what is wrong is believed


def probe_findings(site: Site, line: BrokerLine) -> Iterator[Finding]:
    """Each tank's probes as soon as they are known, and what a tank should have and has not."""
    try:
        states = ask(site.socket_path, "state")
    except WatcherError:
        states = {}
    attachments = Attachments(site.site)
    line.boards = attachments.boards
    for tank in site.tank:
        yield _tank_finding(tank)
        if tank.name in states:
            yield from _heard(tank, states[tank.name]["readings"])
        else:
            yield from _read(tank, attachments, line)
        for name in REQUIRED:
            if name not in tank.probes:
                yield Finding(f"{tank.name} {name}", False, f'Not configured: add "{name}" to [tank.probes].')
    yield from wire_findings(site, attachments.wire)


def _tank_finding(tank: Tank) -> Finding:
    full, below = litres(tank.full_volume), litres(float(vessel_of(tank).volume(tank.standpipe)))
    return Finding(tank.name, True, f"It holds {full} when full, {below} of it below the standpipe.")


def _read(tank: Tank, attachments: Attachments, line: BrokerLine) -> Iterator[Finding]:
    probes: list[Probe] = []
    for name, config in tank.probes.items():
        if isinstance(config, BoardProbe) and line.is_away:
            yield Finding(f"{tank.name} {name}", False, "not tried: the broker is away.")
            continue
        if isinstance(config, BoardProbe):  # nobody waits here for as long as the watcher may
            config = config.model_copy(update={"max_age": min(config.max_age, PATIENCE)})
        alone = tank.model_copy(update={"probes": {name: config}})
        try:
            probes += find_probes(alone, attachments)
        except UserError as error:
            yield Finding(f"{tank.name} {name}", False, str(error))
    yield from _gather(tank, probes)


def _gather(tank: Tank, probes: list[Probe]) -> Iterator[Finding]:
    """Each probe's finding, once it has given a value, has said what is wrong, or has had its time."""
    clock = Clock()
    state = new_state({probe.name: tank.probes[probe.name] for probe in probes})
    lines: dict[str, Line] = {}
    waiting = {probe.name for probe in probes}
    began = time.monotonic()
    with Poller(probes, clock.now) as poller:
        while waiting:
            time.sleep(0.05)
            for reading in condition(clock.now(), poller.collect(), state):
                lines[reading.name] = reading_line(reading, clock.to_unix)
            waited = time.monotonic() - began
            known = [name for name in tank.probes if name in waiting and _is_known(tank, name, lines, waited)]
            for name in known:
                waiting.discard(name)
                yield _finding(tank, name, lines.get(name))


def _is_known(tank: Tank, name: str, lines: Mapping[str, Line], waited: float) -> bool:
    if waited >= LONGEST or _finding(tank, name, lines.get(name)).works:
        return True
    return waited >= SETTLED and name in lines and not isinstance(tank.probes[name], BoardProbe)


def _heard(tank: Tank, lines: Mapping[str, Line]) -> Iterator[Finding]:
    return (_finding(tank, name, lines.get(name)) for name in tank.probes)


def _finding(tank: Tank, name: str, line: Line | None) -> Finding:
    part = f"{tank.name} {name}"
    if line is None:
        silent = "nothing came from it" + (" by MQTT" if isinstance(tank.probes[name], BoardProbe) else "")
        return Finding(part, False, f"{silent}: check its plug and its configuration.")
    if name == "fuel/level" and line["value"] is not None and 0.0 <= line["value"] < EMPTY:
        return Finding(part, True, f"{_said(tank, line)} If there is fuel in it, the probe is wrong.")
    return Finding(part, _is_good(line), str(line.get("reason") or _said(tank, line)))


def _is_good(line: Line | None) -> bool:
    return line is not None and line["value"] is not None and "quality" not in line


def _said(tank: Tank, line: Line) -> str:
    name, value = line["name"], line["value"]
    if isinstance(value, bool):
        return "It says yes." if value else "It says no."
    told = said(name, MEASURED[name].to_si(value))
    if name != "fuel/level":
        return f"It reads {told}."
    if value < EMPTY:
        return f"It reads {told}: the tank is empty."
    return f"It reads {told}: {litres(float(vessel_of(tank).volume(value)))}, bubbles included."
