"""Keeps strangers out: no other site's page may send commands here, and ours load nothing from elsewhere."""

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from drydown_api.problems import problem_response

LOOPBACK = ("127.0.0.1", "localhost", "::1")
"""Where the pages may be served; any other name in a request's Host is refused too (DNS rebinding)."""

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
}
READING = ("GET", "HEAD")
OURS = ("same-origin", "none")


class Guard:
    """Wraps the application."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request, or the application's life span."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        # Programs send no Sec-Fetch-Site; every current browser does (W3C Fetch Metadata).
        site = Headers(scope=scope).get("Sec-Fetch-Site", "none")
        if scope["method"] in READING or site in OURS:
            await self._app(scope, receive, send_with_headers)
        else:
            refusal = problem_response(403, "Refused", "Commands come from drydown's own pages only.")
            await refusal(scope, receive, send_with_headers)
