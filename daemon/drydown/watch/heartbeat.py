"""Calls an address every minute while all is well, so that somebody else notices a board that is dead."""

import logging
import threading
import time
import urllib.request
from collections.abc import Callable

from drydown.config.services import Notices
from drydown.errors import UserError

EVERY = 60.0  # s
LOOK = 1.0  # s between two looks whether a call is due
PATIENCE = 10.0  # s for an answer

log = logging.getLogger(__name__)


def address_of(notices: Notices) -> str | None:
    """The configured address; None where there is none. Raises UserError."""
    if notices.heartbeat_file is None:
        return notices.heartbeat
    try:
        address = notices.heartbeat_file.read_text().strip()
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is not text"
        raise UserError(f"heartbeat_file {notices.heartbeat_file} can't be read ({why})") from error
    if not address.startswith(("http://", "https://")):
        raise UserError(f"heartbeat_file {notices.heartbeat_file} holds no address that begins with http")
    return address


class Heartbeat:
    """Start it. `is_well` is asked before every call; where it says no, nothing is called."""

    def __init__(self, notices: Notices, is_well: Callable[[], bool], every: float = EVERY) -> None:
        self._notices, self._is_well, self._every = notices, is_well, every
        self._stopping = threading.Event()
        self._trouble = ""
        self._thread = threading.Thread(target=self._run, name="heartbeat", daemon=True)

    def start(self) -> None:
        """Begin, if an address is configured."""
        if self._notices.heartbeat or self._notices.heartbeat_file:
            self._thread.start()

    def close(self) -> None:
        """Stop; a call that hangs is not waited for."""
        self._stopping.set()

    def _run(self) -> None:
        due = time.monotonic()
        while not self._stopping.wait(min(LOOK, self._every)):
            if time.monotonic() < due:
                continue
            if self._is_well():
                due = time.monotonic() + self._every
                self._tell(self._call())
            elif time.monotonic() > due + self._every:
                self._tell("not called, because something between the probes and people does not work")

    def _call(self) -> str:
        """What went wrong, without any part of the address, which may be a secret."""
        try:
            address = address_of(self._notices)
            assert address
            with urllib.request.urlopen(address, timeout=PATIENCE):
                return ""
        except UserError as error:
            return str(error)
        except Exception as error:  # whatever the network and the far end make of it
            return f"the address can't be called ({type(error).__name__})"

    def _tell(self, trouble: str) -> None:
        if trouble and trouble != self._trouble:
            log.warning("heartbeat: %s; trying again every %.0f s", trouble, self._every)
        self._trouble = trouble
