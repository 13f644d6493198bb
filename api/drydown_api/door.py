"""The page that asks for a token, and lets in whoever has one."""

from http import HTTPStatus
from urllib.parse import urlsplit

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from drydown.errors import UserError
from drydown_api.access import COOKIE, Access, Refusal, address_of
from drydown_api.forms import typed_in
from drydown_api.problems import problem
from drydown_pages import render

KEPT = 400 * 86400  # s: as long as browsers keep a cookie at most (RFC 6265bis)

router = APIRouter(include_in_schema=False)


@router.get("/enter")
async def ask(to: str = "/") -> Response:
    """Ask for the token. One that follows `#` in the address is taken at once, as from the code's picture."""
    return HTMLResponse(render.enter_page(within(to)))


@router.post("/enter")
async def enter(request: Request) -> Response:
    """Let in whoever shows a valid token, to where they wanted to go."""
    access: Access = request.app.state.access
    typed = await typed_in(request)
    secret, to = typed.get("token", "").strip(), within(typed.get("to", "/"))
    try:
        found = access.enter(address_of(request.scope), secret)
    except UserError as error:
        return problem("/enter", HTTPStatus.SERVICE_UNAVAILABLE, str(error))
    if isinstance(found, Refusal):
        answer: Response = HTMLResponse(render.enter_page(to, found.said), found.status)
        if found.wait:
            answer.headers["Retry-After"] = f"{found.wait + 1:.0f}"
        return answer
    answer = RedirectResponse(to, HTTPStatus.SEE_OTHER)
    # lax, not strict: the link in a notice leads here from another program, and must find the door open
    answer.set_cookie(
        COOKIE, secret, KEPT, httponly=True, samesite="lax", secure=request.url.scheme == "https"
    )
    return answer


def within(to: str) -> str:
    """The same place if it is one of ours; otherwise where everything begins."""
    parts = urlsplit(to)
    ours = to.startswith("/") and not to.startswith(("//", "/\\")) and not parts.netloc and to.isprintable()
    return to if ours else "/"
