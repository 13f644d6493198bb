"""A whole watcher in a thread, with a tank whose probes are on another board and no broker to reach."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from drydown.config.load import load
from drydown.config.model import Site
from drydown.watch.service import WatchService
from fuzz.messages import TOPICS
from support.broker import free_port, until
from support.on_thread import on_thread
from support.site_file import write_site


@contextmanager
def running_watcher(folder: Path) -> Iterator[Site]:
    """It runs while the block lasts."""
    site = load(write_site(folder, TOPICS.site, [TOPICS.tank], free_port(), ["fuel/temperature"]))
    with on_thread(WatchService(site)):
        until(site.socket_path.exists)
        yield site
