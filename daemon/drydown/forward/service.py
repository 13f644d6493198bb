"""`drydown forward`: sends what comes into the store to a server, in order, from where it stopped.

Reads the store and nothing else, so a server that fails, hangs or refuses touches neither recorder nor
watcher. What was sent is remembered in a file; what was sent after that file was last written is sent again,
which changes nothing at the server. While the server takes one batch, the next one is read.
"""

import argparse
import logging
import random
import time
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress

from drydown.config.model import Site
from drydown.config.services import Forward
from drydown.errors import UserError
from drydown.forward.deliver import Aside, deliver
from drydown.forward.progress import (
    Place,
    Progress,
    line_of,
    named,
    progress_of,
    progress_path,
    refused_path,
)
from drydown.forward.server import AwayError, RefusedError, Server
from drydown.forward.source import Source
from drydown.kept_file import KeptFile
from drydown.single import hold
from drydown.store.arrived import merged
from drydown.store.schema import StoreError
from drydown.unit import run_unit

LINES = 5000  # in one batch
ROWS = 1000  # of the list of what came in, taken at once
LOOK = 5.0  # s between two looks when all was sent
SAVE = 30.0  # s between two writings of how far it has come: an SD card wears
STORE_AGAIN = 10.0  # s, while the store can't be read
AWAY_FIRST, AWAY_LONGEST = 1.0, 300.0  # s between two attempts to reach a server
REFUSED_FIRST, REFUSED_LONGEST = 30.0, 600.0  # s, where somebody has to mend something
LONG_AWAY = 86_400.0  # s after which a person should hear of it

log = logging.getLogger(__name__)


def delay(attempt: int, first: float, longest: float) -> float:
    """How long to wait after so many attempts in vain: longer each time, and never all at the same moment."""
    return min(first * 2.0 ** min(attempt, 30), longest) * random.uniform(0.5, 1.0)


class ForwardService:
    """The one who sends."""

    def __init__(self, site: Site) -> None:
        """Raises UserError."""
        self._forward = _configured(site)
        self._site = site
        self._lock = hold(site.folder, "forward")
        self._file = KeptFile(progress_path(site.folder), "what was sent already is sent once more")
        self._aside = Aside(refused_path(site.folder))
        self._server: Server | None = None
        self._source: Source | None = None
        self._taken = self._place = self._read()  # up to where it was read, and up to where it was sent
        self._worker = ThreadPoolExecutor(1, "hand over")
        self._under_way: Future[None] | None = None  # what was read last
        self._attempts, self._sent_at = 0, time.monotonic()
        self._trouble, self._told = "", ""
        self._saved: Progress | None = None
        self._saved_at = 0.0
        self._stopping = False

    def run(self) -> None:
        """Send until told to stop."""
        while not self._stopping:
            self._wait(self._step())
        with suppress(AwayError, RefusedError):
            self._arrive()
        self._worker.shutdown()
        self._save()
        self._file.close()
        self._let_go()
        self._lock.close()

    def stop(self) -> None:
        """End `run` soon."""
        self._stopping = True

    def _step(self) -> float:
        """Send a batch if there is one; returns how many s to wait before the next."""
        try:
            has_sent = self._send_some(self._open())
        except StoreError as error:
            self._tell(str(error))
            self._let_go()
            return STORE_AGAIN
        except AwayError as error:
            self._tell(f"{error}.")
            self._trouble = str(error) if time.monotonic() - self._sent_at > LONG_AWAY else ""
            wait = max(error.wait, delay(self._attempts, AWAY_FIRST, AWAY_LONGEST))
            return self._after_failure(min(wait, AWAY_LONGEST))
        except RefusedError as error:
            self._tell(str(error))
            self._trouble = str(error).rstrip(".")
            return self._after_failure(delay(self._attempts, REFUSED_FIRST, REFUSED_LONGEST))
        self._save_in_time()
        return 0.0 if has_sent else LOOK

    def _send_some(self, source: Source) -> bool:
        """Whether there was anything to send. Raises StoreError, AwayError or RefusedError."""
        place = self._next(source)
        if place is None:
            return self._arrive()
        lines, ahead = source.take(place.ahead, LINES)
        self._arrive()
        if lines:
            if self._server is None:
                self._server = Server(self._forward)
            self._under_way = self._worker.submit(deliver, self._server.write, lines, self._aside)
            self._taken = Place(place.row, ahead)
        else:
            self._taken = self._place = Place(place.row, ahead)
        return True

    def _arrive(self) -> bool:
        """Wait for what is under way: it is sent then, or read anew. Raises AwayError or RefusedError."""
        if self._under_way is None:
            return False
        under_way, self._under_way = self._under_way, None
        try:
            under_way.result()
        except (AwayError, RefusedError):
            self._taken = self._place
            raise
        self._place = self._taken
        self._works()
        return True

    def _next(self, source: Source) -> Place | None:
        """The place with something ahead of it to read; None where nothing is. Raises StoreError."""
        place = self._taken
        if place is None or not source.has(place.row):
            last = source.last_row()
            if last is None:
                self._tell(
                    "The recorder does not list yet what comes in: start `drydown record` again, so that"
                    " it reads [forward]."
                )
                return None
            place = self._taken = Place(last, source.everything())
            log.info("everything that is in the store is sent to %s", self._forward.url)
        if not place.ahead:
            rows = source.rows_after(place.row[0], ROWS)
            if not rows:
                return None
            place = Place(rows[-1], tuple(merged((tank, first, last) for _, tank, first, last in rows)))
        return place

    def _open(self) -> Source:
        if self._source and not self._source.is_there:
            self._let_go()
        if self._source is None:
            self._source = Source(self._site.store_path, self._site.site)
        return self._source

    def _let_go(self) -> None:
        if self._source:
            self._source.close()
        self._source = None

    def _works(self) -> None:
        self._attempts, self._sent_at, self._trouble = 0, time.monotonic(), ""
        if self._told:
            log.info("%s takes what is sent", self._forward.url)
            self._told = ""

    def _after_failure(self, wait: float) -> float:
        """The server is set up anew next time: token or certificate may be mended by then."""
        self._attempts += 1
        if self._server:
            self._server.close()
        self._server = None
        self._save_in_time()
        return wait

    def _tell(self, said: str) -> None:
        if said != self._told:
            self._told = said
            log.warning("%s", said)

    def _wait(self, seconds: float) -> None:
        end = time.monotonic() + seconds
        while not self._stopping and (left := end - time.monotonic()) > 0:
            time.sleep(min(left, 0.2))

    def _read(self) -> Place | None:
        kept = self._file.read(progress_of)
        return kept.place if kept and kept.server == named(self._forward) else None

    def _progress(self) -> Progress:
        return Progress(named(self._forward), self._place, self._trouble or self._aside.trouble)

    def _save_in_time(self) -> None:
        is_news = self._saved is None or self._progress().trouble != self._saved.trouble
        if is_news or time.monotonic() - self._saved_at >= SAVE:
            self._save()

    def _save(self) -> None:
        progress = self._progress()
        if progress != self._saved:
            self._file.keep(line_of(progress))
            self._saved_at, self._saved = time.monotonic(), progress


def _configured(site: Site) -> Forward:
    if site.forward is None:
        raise UserError(
            "There is no [forward] in the configuration, so there is nowhere to send anything: say url, org,"
            " bucket and token_file there, or leave `drydown forward` out."
        )
    return site.forward


def main(args: argparse.Namespace) -> int:
    """Send the record of the site of `args.config` until SIGTERM or SIGINT. Raises UserError."""
    return run_unit(args, ForwardService)
