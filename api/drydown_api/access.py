"""Who asks, and what they may do: this board everything, everybody else what their token says.

A browser keeps its token in a cookie that no script can read; a program sends it as a bearer (RFC 6750).
"""

import time
from collections.abc import Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.types import Scope

from drydown.config.services import LOOPBACK
from drydown.texts.language import later, say
from drydown_api.attempts import Attempts
from drydown_api.tokens import Right, TokenFile

COOKIE = "drydown"
FORWARDED = ("X-Forwarded-For", "Forwarded", "Via")  # somebody else asks, through a program on this board
OPEN = "/enter", "/static/"
"""What strangers may see: the page that asks for the token, and its looks."""


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who asks. `name` is the token's, or nothing on this board."""

    right: Right
    name: str = ""
    secret: str = ""

    @property
    def may_operate(self) -> bool:
        """Whether commands are taken from them."""
        return self.right is Right.OPERATE


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request is not answered: `detail` stays English until it is said, `values` stand in it.

    `wait` in s is set when it was tried too often.
    """

    status: HTTPStatus
    detail: str
    wait: float = 0.0
    values: Mapping[str, str] = field(default_factory=dict)

    @property
    def said(self) -> str:
        """The same in the language of the site."""
        return say(self.detail, **self.values)


BOARD = Visitor(Right.OPERATE)
NO_TOKEN = Refusal(
    HTTPStatus.UNAUTHORIZED,
    later(
        "A token is needed from here. Make one on the board with `drydown token make NAME`, then open "
        "/enter, or send it as `Authorization: Bearer TOKEN`."
    ),
)
WRONG_TOKEN = Refusal(
    HTTPStatus.UNAUTHORIZED,
    later(
        "That token is not valid: it was mistyped or revoked. `drydown token list` on the board says"
        " which there are."
    ),
)
WRONG_NAME = Refusal(  # a stranger's name that was made to point here (DNS rebinding)
    HTTPStatus.MISDIRECTED_REQUEST,
    later("Ask for this page as {names} or [::1]; no other name is answered without a token."),
    values={"names": ", ".join(LOOPBACK[:2])},
)


class Access:
    """Tells visitors apart."""

    def __init__(self, tokens: TokenFile) -> None:
        self._tokens = tokens
        self._attempts = Attempts()

    def look(self, scope: Scope, headers: Headers) -> Visitor | Refusal:
        """Who asks, or why they get no answer. Raises UserError when the tokens can't be read."""
        at_home = address_of(scope) in LOOPBACK and not any(name in headers for name in FORWARDED)
        if at_home and _host_name(headers.get("Host", "")) in LOOPBACK:
            return BOARD
        secret = _shown(headers)
        if secret:
            return self.enter(address_of(scope), secret)
        return WRONG_NAME if at_home else NO_TOKEN

    def enter(self, address: str, secret: str) -> Visitor | Refusal:
        """Whom a token lets in from an address. Raises UserError when the tokens can't be read."""
        wait = self._attempts.wait(time.monotonic(), address)
        if wait > 0.0:
            detail = later("Too many wrong tokens came from here. Wait {wait} s, then try again.")
            return Refusal(HTTPStatus.TOO_MANY_REQUESTS, detail, wait, {"wait": f"{wait:.0f}"})
        token = self._tokens.match(secret)
        if token is None:
            self._attempts.failed(time.monotonic(), address, secret)
            return WRONG_TOKEN
        self._attempts.succeeded(address)
        return Visitor(token.right, token.name, secret)

    def still_counts(self, visitor: Visitor) -> bool:
        """Whether what let somebody in has not been revoked since."""
        return visitor.secret == "" or self._tokens.match(visitor.secret) is not None


def is_open(path: str) -> bool:
    """Whether anybody may ask for it."""
    door, looks = OPEN
    return path == door or path.startswith(looks)


def _shown(headers: Headers) -> str:
    scheme, _, bearer = headers.get("Authorization", "").partition(" ")
    if scheme.lower() == "bearer":
        return bearer.strip()
    try:
        cookie = SimpleCookie(headers.get("Cookie", "")).get(COOKIE)
    except CookieError:
        return ""
    return cookie.value if cookie else ""


def address_of(scope: Scope) -> str:
    """Where a request comes from."""
    client = scope.get("client")
    return str(client[0]) if client else ""


def _host_name(host: str) -> str | None:
    try:
        return urlsplit(f"//{host}").hostname
    except ValueError:
        return None
