"""Whether a message that was not confirmed may have arrived: watches the two ways that services are reached.

`apprise` says only that a service did not confirm. A message whose connection never came about, or that the
service answered with a refusal, has certainly not arrived; one that was handed over and not refused may have.
"""

import smtplib
import threading
from collections.abc import Callable
from functools import partial
from typing import Any

import requests
from apprise import Apprise
from requests.adapters import HTTPAdapter
from urllib3.exceptions import MaxRetryError, NewConnectionError

TAKEN = 250  # what a mail server answers to a message that it takes (RFC 5321, 4.2.3)

_here = threading.local()


def watch(service: Apprise) -> Callable[[], bool]:
    """Watch the one message that a service will send: whether it may have arrived.

    A way that is not watched counts as one on which it may have.
    """
    left: list[bool] = []
    for plugin in service:
        setattr(plugin, "send", partial(_send_watched, plugin.send, left))  # noqa: B010
    return lambda: any(left) or not left


def _send_watched(send: Callable[..., Any], left: list[bool], *args: Any, **options: Any) -> Any:
    _here.left = left  # `apprise` sends on a thread of its own
    return send(*args, **options)


def _watch_http() -> None:
    send = HTTPAdapter.send

    def watched_send(self: HTTPAdapter, *args: Any, **options: Any) -> requests.Response:
        try:
            response = send(self, *args, **options)
        except requests.RequestException as error:
            _note(not _never_connected(error))
            raise
        _note(response.ok)
        return response

    setattr(HTTPAdapter, "send", watched_send)  # noqa: B010


def _watch_mail() -> None:
    connect, data = smtplib.SMTP.connect, smtplib.SMTP.data

    def watched_connect(self: smtplib.SMTP, *args: Any, **options: Any) -> tuple[int, bytes]:
        _note(False)
        return connect(self, *args, **options)

    def watched_data(self: smtplib.SMTP, message: Any) -> tuple[int, bytes]:
        try:
            code, said = data(self, message)
        except OSError:
            _note(True)
            raise
        _note(code == TAKEN)
        return code, said

    setattr(smtplib.SMTP, "connect", watched_connect)  # noqa: B010
    setattr(smtplib.SMTP, "data", watched_data)  # noqa: B010


def _note(left: bool) -> None:
    if hasattr(_here, "left"):
        _here.left.append(left)


def _never_connected(error: requests.RequestException) -> bool:
    errors = requests.exceptions
    if isinstance(error, errors.ConnectTimeout | errors.SSLError | errors.ProxyError):
        return True
    cause = error.args[0] if error.args else None
    return isinstance(cause, MaxRetryError) and isinstance(cause.reason, NewConnectionError)


_watch_http()
_watch_mail()
