"""The ways to a person, through `apprise`: any service that it knows, mail, a webhook."""

import logging

from drydown.config.model import Route
from drydown.effects import Priority
from drydown.errors import UserError
from drydown.notices.outbox import Notice

RANK = {Priority.LOW: 0, Priority.HIGH: 1, Priority.EMERGENCY: 2}
KINDS = {Priority.LOW: "info", Priority.HIGH: "warning", Priority.EMERGENCY: "failure"}

logging.getLogger("apprise").setLevel(logging.CRITICAL)  # its lines may show addresses, which hold secrets


class RouteError(UserError):
    """A notice did not get through; the text names the route and says what to do. It holds no secret."""


def takes(route: Route, priority: Priority) -> bool:
    """Whether notices of this priority go this way."""
    return RANK[priority] >= RANK[Priority(route.least)]


def send(route: Route, notice: Notice) -> None:
    """Hand a notice over; returns when the service has taken it. Blocks; raises RouteError."""
    from apprise import Apprise  # here: it takes a while to load, and most starts never need it

    service = Apprise()
    if not service.add(_address(route)):
        raise RouteError(f"route {route.name}: its address is none that apprise understands; see [notices].")
    try:
        taken = service.notify(body=notice.body, title=notice.title, notify_type=KINDS[notice.priority])
    except Exception as error:  # whatever a service's plugin throws: the others must go on
        raise RouteError(f"route {route.name}: it failed ({type(error).__name__}).") from error
    if not taken:
        raise RouteError(
            f"route {route.name}: it was not taken; check the network, the address, and the service."
        )


def check(route: Route) -> None:
    """Whether the address can be understood, without sending anything. Raises RouteError."""
    from apprise import Apprise

    if not Apprise().add(_address(route)):
        raise RouteError(f"route {route.name}: its address is none that apprise understands; see [notices].")


def _address(route: Route) -> str:
    if route.address is not None:
        return route.address
    assert route.address_file is not None
    try:
        return route.address_file.read_text().strip()
    except (OSError, UnicodeDecodeError) as error:
        raise RouteError(
            f"route {route.name}: address_file {route.address_file} can't be read ({_why(error)});"
            " it holds the address alone."
        ) from error


def _why(error: Exception) -> str:
    return getattr(error, "strerror", None) or type(error).__name__
