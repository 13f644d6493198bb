"""Looks at the parts of a site one by one, as a stranger would: by using them."""

import json
import os
import socket
import time
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

from drydown.check.broker import BrokerLine
from drydown.check.finding import Finding
from drydown.check.forward import forward_findings
from drydown.check.learned import learned_findings
from drydown.check.probes import probe_findings
from drydown.clock import Clock
from drydown.config.model import Site
from drydown.config.services import Notices, Route
from drydown.effects import Priority
from drydown.errors import UserError
from drydown.notices import routes
from drydown.notices.messenger import Messenger
from drydown.store.read import StoreReader
from drydown.store.schema import open_for_writing
from drydown.watch.heartbeat import address_of

PATIENCE = 3.0  # s for an answer of the pages
TEST_TITLE = "TEST: drydown"
TEST_BODY = "This is a test of drydown's notices. Nothing has happened, and nothing is to be done."


def findings(site: Site, notify: bool) -> Iterator[Finding]:
    """Every part but the configuration itself, in the order of a reading's way."""
    yield folder_finding(site.folder)
    with BrokerLine(site) as line:
        yield line.finding()
        yield from probe_findings(site, line)
    yield store_finding(site.store_path)
    yield from forward_findings(site)
    yield from learned_findings(site)
    yield pages_finding(site.serve.host, site.serve.port)
    yield from route_findings(site.notices.routes, notify)
    yield from heartbeat_findings(site.notices)
    yield from output_findings(site)
    yield clock_finding()


def folder_finding(folder: Path) -> Finding:
    """Whether the site's folder can be written, or made."""
    nearest = next(place for place in (folder, *folder.absolute().parents) if place.exists())
    if not nearest.is_dir():
        return Finding("folder", False, f"{nearest} is a file: `folder` must be a folder, or a name for one.")
    if not os.access(nearest, os.W_OK | os.X_OK):
        return Finding("folder", False, f"{nearest} can't be written: give this user the right to.")
    return Finding("folder", True, f"{folder} can be {'written' if nearest == folder else 'made'}.")


def store_finding(path: Path) -> Finding:
    """Whether the store can be read and written. None is made, because it would be this user's."""
    if not path.exists():
        made = folder_finding(path.parent)
        return Finding("store", made.works, f"None yet; `drydown record` makes it. {made.message}")
    try:
        open_for_writing(path).close()
        with StoreReader(path) as reader:
            tanks = reader.tanks()
    except UserError as error:
        return Finding("store", False, str(error))
    return Finding("store", True, f"{path} holds readings of {', '.join(tanks) or 'no tank yet'}.")


def pages_finding(host: str, port: int) -> Finding:
    """Whether the pages are served already, or their port is free."""
    at = f"http://{host}:{port}/"
    try:
        with urllib.request.urlopen(f"{at}api/v1/health", timeout=PATIENCE) as answer:
            health = json.load(answer)
        if not isinstance(health, dict) or "watcher" not in health:
            raise ValueError
        return Finding("pages", True, f"They are at {at}.")
    except (OSError, ValueError):
        pass
    try:
        with socket.create_server((host, port)):
            return Finding("pages", True, f"{at} is free for `drydown serve`.")
    except OSError as error:
        return Finding(
            "pages", False, f"{at} can't be had ({error.strerror}): choose another [serve] host or port."
        )


def route_findings(configured: tuple[Route, ...], notify: bool) -> Iterator[Finding]:
    """Whether each route's address can be understood, or a marked test is taken."""
    if not configured:
        yield Finding("notices", True, "No route is configured: alarms show on the pages alone.")
        return
    with ThreadPoolExecutor(len(configured)) as each:  # one that hangs keeps no other waiting
        yield from each.map(partial(_route_finding, notify=notify), configured)


def _route_finding(route: Route, notify: bool) -> Finding:
    part, messenger = f"notices {route.name}", Messenger()
    try:
        if notify:
            routes.send(messenger, route, TEST_TITLE, TEST_BODY, Priority.EMERGENCY)
            return Finding(part, True, "A test was sent and taken; see that it has arrived.")
        routes.check(messenger, route)
        return Finding(part, True, "Its address can be understood; --notify sends a test.")
    except UserError as error:
        return Finding(part, False, str(error))
    finally:
        messenger.close()


def heartbeat_findings(notices: Notices) -> Iterator[Finding]:
    """Whether there is an address to call. It is not called: that would say that a watcher lives."""
    try:
        if address_of(notices):
            told = "The watcher calls it every minute while all is well; it was not called now."
            yield Finding("heartbeat", True, told)
    except UserError as error:
        yield Finding("heartbeat", False, f"{error}.")


def output_findings(site: Site) -> Iterator[Finding]:
    """What buzzer and relays are there for. They are not switched: the watcher has their pins."""
    if site.buzzer:
        told = f"Not tried. GPIO {site.buzzer.gpio} is switched while an alarm stands that nobody has seen."
        yield Finding("buzzer", True, told)
    for tank in site.tank:
        if tank.relay:
            alarms = ", ".join(tank.relay.cuts_on)
            told = f"Not tried. GPIO {tank.relay.gpio} gives pulses until {alarms}: try it by the guide."
            yield Finding(f"{tank.name} relay", True, told)


def clock_finding() -> Finding:
    """Whether the wall clock can be right."""
    now = time.strftime("%Y-%m-%d %H:%M:%S %Z")
    if Clock().is_set:
        return Finding("clock", True, f"It is {now}.")
    return Finding("clock", False, f"It shows {now}: it was never set. Connect a network, or set it by hand.")
