"""Keeps strangers out: no other site's page may ask or command here, and ours load nothing from elsewhere."""

import logging
import re
from http import HTTPStatus
from urllib.parse import quote

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from drydown.errors import UserError
from drydown.texts.language import later, say
from drydown_api.access import COOKIE, WRONG_NAME, Access, Refusal, Visitor, is_open
from drydown_api.problems import FOR_PROGRAMS, OWN_FAULT, problem

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
ALIVE, FILE = "no-store", "no-cache"  # what a cache may do: nothing; keep it, but ask whether it changed

READING = ("GET", "HEAD")
HARMLESS = re.compile(r"/settings|/tanks/[^/]+/when|/api/v1/tanks/[^/]+/outlook")
"""What is sent there changes nothing but what the sender sees."""

OURS = ("same-origin", "none")
LONGEST_BODY = 65_536  # bytes

ONLY_LOOKS = Refusal(
    HTTPStatus.FORBIDDEN,
    later(
        "This token may only look. On the board, make one that may operate: `drydown token make NAME"
        " --may operate`."
    ),
)

log = logging.getLogger(__name__)


class Guard:
    """Wraps the application. Who asks stands in `scope["state"]["visitor"]`, None for a stranger."""

    def __init__(self, app: ASGIApp, access: Access) -> None:
        self._app, self._access = app, access

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

        refusal = self._refusal(scope, Headers(scope=scope))
        if refusal:
            await _answer(scope, refusal)(scope, receive, send_with_headers)
            return
        try:
            await self._app(scope, receive, send_with_headers)
        except Exception:
            log.exception("%s %s failed; please report this", scope["method"], path)
            if begun:
                raise
            failure = problem(path, HTTPStatus.INTERNAL_SERVER_ERROR, say(OWN_FAULT))
            await failure(scope, receive, send_with_headers)

    def _refusal(self, scope: Scope, headers: Headers) -> Refusal | None:
        """Why a request goes no further."""
        try:
            found = self._access.look(scope, headers)
        except UserError as error:
            return Refusal(HTTPStatus.SERVICE_UNAVAILABLE, "{trouble}", values={"trouble": str(error)})
        visitor = found if isinstance(found, Visitor) else None
        scope.setdefault("state", {})["visitor"] = visitor
        if isinstance(found, Refusal) and (found is WRONG_NAME or not is_open(scope["path"])):
            return found
        misuse = _misuse(scope["method"], headers)
        is_asking = scope["method"] in READING or HARMLESS.fullmatch(scope["path"])
        if misuse or is_asking or is_open(scope["path"]):
            return misuse
        return None if visitor and visitor.may_operate else ONLY_LOOKS


def _answer(scope: Scope, refusal: Refusal) -> Response:
    path: str = scope["path"]
    needs_token = refusal.status == HTTPStatus.UNAUTHORIZED
    if needs_token and scope["method"] in READING and not path.startswith(FOR_PROGRAMS):
        answer: Response = RedirectResponse(f"/enter?to={quote(path)}", HTTPStatus.SEE_OTHER)
    else:
        answer = problem(path, refusal.status, refusal.said)
    if needs_token:
        answer.headers["WWW-Authenticate"] = 'Bearer realm="drydown"'
        answer.delete_cookie(COOKIE)
    if refusal.wait:
        answer.headers["Retry-After"] = f"{refusal.wait + 1:.0f}"
    return answer


def _misuse(method: str, headers: Headers) -> Refusal | None:
    """Why a command is not even looked at, whoever sends it."""
    if method in READING:
        return None
    if _is_foreign(headers, headers.get("Host", "")):
        detail = later("Commands come from drydown's own pages, or from programs; not from other sites.")
        return Refusal(HTTPStatus.FORBIDDEN, detail)
    length = headers.get("Content-Length", "")
    if not length.isdecimal():
        return Refusal(HTTPStatus.LENGTH_REQUIRED, later("Say in Content-Length how long the body is."))
    if int(length) > LONGEST_BODY:
        detail = later("A body may be {most} bytes long, not more.")
        values = {"most": str(LONGEST_BODY)}
        return Refusal(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, detail, values=values)
    return None


def _is_foreign(headers: Headers, host: str) -> bool:
    """Browsers tell whose page asks (W3C Fetch Metadata; older ones by Origin); programs tell nothing."""
    origin = headers.get("Origin")
    if origin is not None and origin not in (f"http://{host}", f"https://{host}"):
        return True
    return headers.get("Sec-Fetch-Site", "none") not in OURS
