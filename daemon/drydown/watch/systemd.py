"""Tells systemd how the service is, by the datagrams of sd_notify(3); nothing where systemd does not ask."""

import os
import socket

NAME = "NOTIFY_SOCKET"


def tell(state: str) -> None:
    """Send a state such as "READY=1". Never fails: who does not listen is no trouble of ours."""
    address = os.environ.get(NAME, "")
    if not address.startswith(("/", "@")):
        return
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_NONBLOCK) as speaker:
            speaker.sendto(state.encode(), address.replace("@", "\0", 1) if address[0] == "@" else address)
    except OSError:
        return
