"""The process that hands notices to `apprise`, so that neither its memory nor its faults are the watcher's.

Requests come on standard input, one JSON object a line: {"id", "address", "title", "body", "kind"}; with no
title nothing is sent, and only the address is looked at. Answers go to standard output as they are known:
{"id", "trouble", "unsure"}, the trouble empty where the service has taken the notice, unsure where it may
have taken it although there is trouble. Ends when the input does.
"""

import contextlib
import json
import logging
import signal
import sys
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from apprise import Apprise

from drydown.notices.handover import watch

AT_ONCE = 8  # requests; a slow service must not hold up the others

UNKNOWN = "its address is none that apprise understands; see [notices]"
REFUSED = "it was not taken; check the network, the address, and the service"
UNANSWERED = "it was sent, and no answer came; check the network and the service"

Answer = tuple[str, bool]
"""What went wrong, without any part of the address, and whether it may have arrived all the same."""


def answer(request: dict[str, Any]) -> Answer:
    """Send one notice."""
    service = Apprise()
    if not service.add(request["address"]):
        return UNKNOWN, False
    if not request["title"]:
        return "", False
    may_have_arrived = watch(service)
    try:
        taken = service.notify(title=request["title"], body=request["body"], notify_type=request["kind"])
    except Exception as error:  # whatever the plugin of a service throws
        return f"sending failed ({type(error).__name__})", may_have_arrived()
    unsure = not taken and may_have_arrived()
    return "" if taken else UNANSWERED if unsure else REFUSED, unsure


def _tell(request: dict[str, Any]) -> None:
    trouble, unsure = answer(request)
    line = json.dumps({"id": request["id"], "trouble": trouble, "unsure": unsure})
    with contextlib.suppress(OSError):  # who asked is gone
        sys.stdout.write(f"{line}\n")
        sys.stdout.flush()


def main() -> None:
    """Serve until the input ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the watcher, who ends us
    logging.getLogger("apprise").setLevel(logging.CRITICAL)  # its lines may show addresses: secrets
    with ThreadPoolExecutor(AT_ONCE) as pool:
        for line in sys.stdin:
            pool.submit(_tell, json.loads(line))


if __name__ == "__main__":
    main()
