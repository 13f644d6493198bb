"""Whether the server that the record is sent on to would take it, and how far that has come."""

import time
from collections.abc import Iterator

from drydown.check.finding import Finding
from drydown.config.model import Site
from drydown.errors import UserError
from drydown.forward.progress import named, read_progress, refused_path

WHEN = "%Y-%m-%d %H:%M:%S"


def forward_findings(site: Site) -> Iterator[Finding]:
    """Nothing where nothing is to be sent on. A comment is sent to the server, which is no point."""
    if site.forward is None:
        return
    from drydown.forward.server import AwayError, Server  # its library is slow to import, and rarely needed

    try:
        server = Server(site.forward)
        try:
            server.try_out()
        finally:
            server.close()
    except UserError as error:
        yield Finding("forward", False, str(error))
    except AwayError as error:
        yield Finding("forward", False, f"{error}.")
    else:
        yield Finding("forward", True, f"{site.forward.url} would take points. {_come(site)}")
    refused = refused_path(site.folder)
    if refused.exists():
        yield Finding(
            "forward refused",
            False,
            f"The server refused points; they stand in {refused} with its words. Delete it when seen.",
        )


def _come(site: Site) -> str:
    assert site.forward is not None
    progress = read_progress(site.folder)
    if progress is None or progress.place is None or progress.server != named(site.forward):
        return "Nothing was sent there yet: `drydown forward` does that."
    ahead = [first for _, first, _ in progress.place.ahead]
    until = min(ahead, default=progress.place.row[-1])
    if until < 0:
        return "`drydown forward` has begun to send."
    return f"`drydown forward` has sent what was before {time.strftime(WHEN, time.localtime(until / 1000))}."
