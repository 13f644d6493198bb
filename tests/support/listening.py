"""An address on loopback that is called by GET, and counts."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer


class Listening:
    """What a heartbeat calls. `status` is what it answers."""

    def __init__(self) -> None:
        self.calls: list[float] = []
        self.status = 200
        listening = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                listening.calls.append(time.monotonic())
                self.send_response(listening.status)
                self.end_headers()

            def log_message(self, *_: object) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)

    @property
    def address(self) -> str:
        """To call."""
        return f"http://127.0.0.1:{self._server.server_port}/ping/s3cret"

    def start(self) -> None:
        threading.Thread(target=self._server.serve_forever, args=(0.02,), daemon=True).start()

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()


@contextmanager
def listening() -> Iterator[Listening]:
    """One while the block lasts."""
    made = Listening()
    made.start()
    try:
        yield made
    finally:
        made.close()
