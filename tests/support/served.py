"""The real application on a loopback port, served from a thread of the test: starts at once."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from drydown.config.load import load
from drydown_api.app import create_app
from drydown_api.serve import Server, listen
from support.broker import free_port


@contextmanager
def served(config: Path) -> Iterator[httpx.Client]:
    """A client of the application of a site, which is served while the block lasts."""
    listener = listen("127.0.0.1", free_port())
    server = Server(create_app(load(config)))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    address = f"http://127.0.0.1:{listener.getsockname()[1]}"
    with httpx.Client(base_url=address, trust_env=False, timeout=10) as client:
        yield client
    server.should_exit = True
    thread.join(10)
    assert not thread.is_alive()
