"""Keeps strangers out: no other site's page may ask or command here, and ours load nothing from elsewhere."""

import logging
from http import HTTPStatus
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from drydown_api.problems import problem

LOOPBACK = ("127.0.0.1", "localhost", "::1")
"""Where the pages may be served; any other name in a request's Host is refused too (DNS rebinding)."""

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
}
ALIVE, FILE = "no-store", "no-cache"  # what a cache may do: nothing; keep it, but ask whether it changed

READING = ("GET", "HEAD")
OURS = ("same-origin", "none")
LONGEST_BODY = 65_536  # bytes

log = logging.getLogger(__name__)


class Guard:
    """Wraps the application."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, or the application's life span."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        path: str = scope["path"]
        begun = False

        async def send_with_headers(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                headers.update(HEADERS)
                headers.setdefault("Cache-Control", FILE if path.startswith("/static/") else ALIVE)
            await send(message)

        refusal = _refusal(scope["method"], Headers(scope=scope))
        if refusal:
            await problem(path, *refusal)(scope, receive, send_with_headers)
            return
        try:
            await self._app(scope, receive, send_with_headers)
        except Exception:
            log.exception("%s %s failed; please report this", scope["method"], path)
            if begun:
                raise
            detail = (
                "This is a fault of drydown itself. Alarms do not depend on it. Try again, and report it."
            )
            failure = problem(path, HTTPStatus.INTERNAL_SERVER_ERROR, detail)
            await failure(scope, receive, send_with_headers)


def _refusal(method: str, headers: Headers) -> tuple[HTTPStatus, str] | None:
    """Why a request is not even looked at."""
    host = headers.get("Host", "")
    if _host_name(f"//{host}") not in LOOPBACK:
        detail = f"Ask for this page as {', '.join(LOOPBACK[:2])} or [::1]; no other name is answered."
        return HTTPStatus.MISDIRECTED_REQUEST, detail
    if method in READING:
        return None
    if _is_foreign(headers, host):
        return (
            HTTPStatus.FORBIDDEN,
            "Commands come from drydown's own pages, or from programs; not from other sites.",
        )
    length = headers.get("Content-Length", "")
    if not length.isdecimal():
        return HTTPStatus.LENGTH_REQUIRED, "Say in Content-Length how long the body is."
    if int(length) > LONGEST_BODY:
        return HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"A body may be {LONGEST_BODY} bytes long, not more."
    return None


def _is_foreign(headers: Headers, host: str) -> bool:
    """Browsers tell whose page asks (W3C Fetch Metadata; older ones by Origin); programs tell nothing."""
    origin = headers.get("Origin")
    if origin is not None and origin != f"http://{host}":
        return True
    return headers.get("Sec-Fetch-Site", "none") not in OURS


def _host_name(address: str) -> str | None:
    try:
        return urlsplit(address).hostname
    except ValueError:
        return None
