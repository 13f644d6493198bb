"""The ways to a person, through `apprise`: any service that it knows, mail, a webhook."""

from drydown.config.model import Route
from drydown.effects import Priority
from drydown.errors import UserError
from drydown.notices.messenger import Messenger
from drydown.notices.outbox import Notice

RANK = {Priority.LOW: 0, Priority.HIGH: 1, Priority.EMERGENCY: 2}
KINDS = {Priority.LOW: "info", Priority.HIGH: "warning", Priority.EMERGENCY: "failure"}


class RouteError(UserError):
    """A notice did not get through; the text names the route and says what to do. It holds no secret."""


def takes(route: Route, priority: Priority) -> bool:
    """Whether notices of this priority go this way."""
    return RANK[priority] >= RANK[Priority(route.least)]


def send(messenger: Messenger, route: Route, notice: Notice) -> None:
    """Hand a notice over; returns when the service has taken it. Blocks; raises RouteError."""
    _ask(messenger, route, notice.title, notice.body, KINDS[notice.priority])


def check(messenger: Messenger, route: Route) -> None:
    """Whether the address can be understood, without sending anything. Raises RouteError."""
    _ask(messenger, route, "", "", "info")


def _ask(messenger: Messenger, route: Route, title: str, body: str, kind: str) -> None:
    trouble = messenger.send({"address": _address(route), "title": title, "body": body, "kind": kind})
    if trouble:
        raise RouteError(f"route {route.name}: {trouble}.")


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
