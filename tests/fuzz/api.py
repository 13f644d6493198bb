"""Requests to the API and the pages, raw as the web server hands them over, beside a watcher that runs.

An input is a JSON object of method, path, query, headers and body; what is none is the body of a request.
The store holds what the recorder made of wrong messages: no page may stumble over that either.
"""

import asyncio
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

from drydown.config.model import Site
from drydown.record import Recorder
from drydown_api.app import create_app
from fuzz.messages import SEEDS, parted, recorded
from fuzz.mutate import Mutator
from fuzz.running import running_watcher
from fuzz.target import Target

PATIENCE = 20.0  # s for an answer
RECORDED = 2000  # wrong messages that the store was made of
STAYS = 0.5  # s until the client goes, whatever is still to come
NO_ANSWER = 499  # within that time
DEEPEST = 300  # what may be nested deeper goes to the application as it is: it would stop this file as well
AWAY = 503  # the only failure that may be: there is no broker here, and no run that lives


class Requests:
    """The application, driven without a network."""

    def __init__(self, site: Site) -> None:
        self._app = create_app(site)
        self._runner = asyncio.Runner()
        self._lifespan = self._app.router.lifespan_context(self._app)
        self._runner.run(self._lifespan.__aenter__())

    def feed(self, payload: bytes) -> None:
        request = _request(payload)
        status = self._ask(request)
        assert status < 500 or status == AWAY, f"{status} for {request}"[:1000]

    def check(self) -> None:
        honest = {"method": "GET", "path": "/api/v1/health"}
        assert self._ask(honest) == 200

    def close(self) -> None:
        self._runner.run(self._lifespan.__aexit__(None, None, None))
        self._runner.close()

    def _ask(self, request: dict[str, Any]) -> int:
        return self._runner.run(asyncio.wait_for(_answered(self._app, request), PATIENCE))


async def _answered(app: Any, request: dict[str, Any]) -> int:
    """The status of the whole answer. Raises what the application raises."""
    body, headers = _body(request), _headers(request)
    path = quote(str(request.get("path", "/")), safe="/%:@!$&'()*+,;=~", errors="surrogatepass")
    scope = {
        "type": "http",
        "asgi": {"version": "3.0", "spec_version": "2.3"},
        "http_version": "1.1",
        "method": _token(str(request.get("method", "GET"))),
        "scheme": "http",
        "path": unquote(path),
        "raw_path": path.encode("ascii"),
        "query_string": quote(str(request.get("query", "")), safe="=&%+/:,", errors="surrogatepass").encode(),
        "root_path": "",
        "headers": headers,
        "client": ("127.0.0.1", 50_000),
        "server": ("127.0.0.1", 80),
        "state": {},
    }
    sent: list[Any] = []
    heard = iter([{"type": "http.request", "body": body, "more_body": False}])

    async def receive() -> dict[str, Any]:
        if told := next(heard, None):
            return told
        await asyncio.sleep(STAYS)
        return {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        sent.append(message)

    await app(scope, receive, send)
    return int(sent[0]["status"]) if sent else NO_ANSWER


def _request(payload: bytes) -> dict[str, Any]:
    try:
        found = json.loads(payload)
    except (ValueError, RecursionError):
        found = None
    if isinstance(found, dict) and payload.count(b"[") + payload.count(b"{") < DEEPEST:
        return found
    return {"method": "POST", "path": "/api/v1/tanks/heron/logbook", "body": payload}


def _body(request: dict[str, Any]) -> bytes:
    body = request.get("body", b"")
    if isinstance(body, bytes):
        return body
    text = body if isinstance(body, str) else json.dumps(body)
    return text.encode(errors="surrogatepass")


def _headers(request: dict[str, Any]) -> list[tuple[bytes, bytes]]:
    """As h11 lets them through: names are tokens, values hold no line's end."""
    given = request.get("headers")
    told = given.items() if isinstance(given, dict) else ()
    pairs = [(_token(name).lower().encode(), _line(str(value))) for name, value in told]
    return [(b"host", b"127.0.0.1"), *pairs]


def _token(text: str) -> str:
    return "".join(one for one in text if one.isascii() and (one.isalnum() or one in "-_."))[:100] or "x"


def _line(text: str) -> bytes:
    return text.encode("latin-1", "replace").translate(None, b"\r\n\0").strip()[:8000]


def _record(site: Site) -> None:
    """A store of what was sent wrongly, and of the run that the right messages tell of."""
    recorder = Recorder(site.store_path, raw_days=30.0)
    for message in Mutator(recorded(), 7).inputs(RECORDED):
        recorder.take(*parted(message), is_live=True)
    recorder.commit()
    recorder.close()


def _seeds() -> Sequence[bytes]:
    return (SEEDS / "requests.jsonl").read_bytes().splitlines()


@contextmanager
def _opened(folder: Path) -> Iterator[Requests]:
    with running_watcher(folder) as site:
        _record(site)
        requests = Requests(site)
        try:
            yield requests
        finally:
            requests.close()


TARGET = Target("api", _seeds, _opened, share=30, few=40)
