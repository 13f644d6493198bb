"""How a visitor likes to read numbers: chosen on a page, kept in a cookie, followed by all that is shown."""

from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from urllib.parse import urlsplit

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from drydown.texts.liking import LIKING, chosen, read, written
from drydown_api.door import KEPT, within
from drydown_api.forms import typed_in
from drydown_pages import render

COOKIE = "drydown-liking"

router = APIRouter(include_in_schema=False)


async def follow_liking(request: Request) -> None:
    """Let every text of this request's answer be written as its sender likes it."""
    try:
        cookie = SimpleCookie(request.headers.get("Cookie", "")).get(COOKIE)
    except CookieError:
        cookie = None
    LIKING.set(read(cookie.value if cookie else ""))


@router.get("/settings")
async def ask(request: Request) -> Response:
    """The choices, with what holds now; they lead back to the page that the visitor came from."""
    came_from = urlsplit(request.headers.get("Referer", ""))
    to = within(came_from._replace(scheme="", netloc="").geturl()) if came_from.path != "/settings" else "/"
    return HTMLResponse(render.settings_page(LIKING.get(), to, request.state.visitor))


@router.post("/settings")
async def choose(request: Request) -> Response:
    """Keep what was chosen on this device alone, and go back."""
    typed = await typed_in(request)
    liking = chosen(typed)
    answer = RedirectResponse(within(typed.get("to", "/")), HTTPStatus.SEE_OTHER)
    secure = request.url.scheme == "https"
    answer.set_cookie(COOKIE, written(liking), KEPT, httponly=True, samesite="lax", secure=secure)
    return answer
