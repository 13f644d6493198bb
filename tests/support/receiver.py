"""A real HTTP server on loopback that takes notices, refuses them, or takes its time, as a test wants."""

import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


class Receiver:
    """What apprise's json:// addresses talk to."""

    def __init__(self, port: int = 0) -> None:
        self.taken: list[dict[str, Any]] = []
        self.refuse = 0  # of the next requests
        self.attempts: list[float] = []
        self.delay = 0.0
        self.lose_answers = 0  # take the next requests, and hang up without a word
        self.arrivals: list[float] = []  # monotonic s of each that was taken
        receiver = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                receiver.attempts.append(time.monotonic())
                time.sleep(receiver.delay)
                if receiver.refuse:
                    receiver.refuse -= 1
                    self.send_error(503)
                    return
                receiver.arrivals.append(receiver.attempts[-1])
                receiver.taken.append(body)
                if receiver.lose_answers:
                    receiver.lose_answers -= 1
                    self.close_connection = True
                    return
                self.send_response(200)
                self.end_headers()

            def log_message(self, *_: object) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", port), Handler)
        self._server.daemon_threads = True

    @property
    def port(self) -> int:
        return int(self._server.server_port)

    @property
    def address(self) -> str:
        """For a route."""
        return f"json://127.0.0.1:{self.port}/"

    @property
    def titles(self) -> list[str]:
        return [one["title"] for one in self.taken]

    def forget(self) -> None:
        """What has arrived so far."""
        self.taken.clear()
        self.arrivals.clear()

    def start(self) -> None:
        threading.Thread(target=self._server.serve_forever, args=(0.02,), daemon=True).start()

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()


@contextmanager
def receiver(port: int = 0) -> Iterator[Receiver]:
    """A receiver while the block lasts, on any port or on this one."""
    made = Receiver(port)
    made.start()
    try:
        yield made
    finally:
        made.close()
