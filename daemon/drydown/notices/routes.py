"""The ways to a person, through `apprise`: any service that it knows, mail, a webhook."""

from datetime import datetime, time

from drydown.config.services import Route
from drydown.effects import Priority
from drydown.errors import UserError
from drydown.notices.messenger import Messenger

RANK = {Priority.LOW: 0, Priority.HIGH: 1, Priority.EMERGENCY: 2}
KINDS = {Priority.LOW: "info", Priority.HIGH: "warning", Priority.EMERGENCY: "failure"}


class RouteError(UserError):
    """A notice did not get through; the text names the route and says what to do. It holds no secret.

    `unsure`: it may have arrived all the same.
    """

    def __init__(self, text: str, unsure: bool = False) -> None:
        super().__init__(text)
        self.unsure = unsure


def takes(route: Route, priority: Priority) -> bool:
    """Whether notices of this priority go this way."""
    return RANK[priority] >= RANK[Priority(route.least)]


def is_quiet(route: Route, local: datetime) -> bool:
    """Whether nothing but emergencies goes this way at a local time. Hours may go through midnight."""
    if route.quiet is None:
        return False
    start, end = map(time.fromisoformat, route.quiet.split("-"))
    now = local.time()
    return start <= now < end if start <= end else now >= start or now < end


def send(messenger: Messenger, route: Route, title: str, body: str, priority: Priority) -> None:
    """Hand words over; returns when the service has taken them. Blocks; raises RouteError."""
    _ask(messenger, route, title, body, KINDS[priority])


def check(messenger: Messenger, route: Route) -> None:
    """Whether the address can be understood, without sending anything. Raises RouteError."""
    _ask(messenger, route, "", "", "info")


def _ask(messenger: Messenger, route: Route, title: str, body: str, kind: str) -> None:
    answer = messenger.send({"address": _address(route), "title": title, "body": body, "kind": kind})
    if answer.trouble:
        raise RouteError(f"route {route.name}: {answer.trouble}.", answer.unsure)


def _address(route: Route) -> str:
    if route.address is not None:
        return route.address
    assert route.address_file is not None
    try:
        return route.address_file.read_text().strip()
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is not text"
        raise RouteError(
            f"route {route.name}: address_file {route.address_file} can't be read ({why}); it holds the"
            " address alone."
        ) from error
