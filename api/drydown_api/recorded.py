"""The store, as routes read it: for one request, or while a long answer is sent."""

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from http import HTTPStatus
from itertools import islice
from typing import Annotated, TypeVar

from fastapi import Depends, Request
from fastapi.responses import StreamingResponse

from drydown.config.model import Site
from drydown.store.read import StoreReader
from drydown.store.schema import StoreError, explain
from drydown.texts.language import later
from drydown_api.problems import ProblemError

NO_RECORD = later("The record can’t be read")
CORES = min(os.cpu_count() or 1, 4)
AT_ONCE = 500  # lines that are sent in one piece

Found = TypeVar("Found")


def store_trouble(site: Site) -> str:
    """Why the store can't be read; nothing while it can."""
    try:
        StoreReader(site.store_path).close()
    except StoreError as error:
        return str(error)
    return ""


@contextmanager
def reading_store(site: Site) -> Iterator[StoreReader]:
    """The store of a site. Raises ProblemError, also for what goes wrong while it is read."""
    try:
        with StoreReader(site.store_path) as reader:
            yield reader
    except StoreError as error:
        raise _unreadable(str(error)) from error
    except sqlite3.Error as error:
        raise _unreadable(explain(error, site.store_path)) from error


def open_store(request: Request) -> Iterator[StoreReader]:
    """The store, opened for one request."""
    with reading_store(request.app.state.site) as reader:
        yield reader


Reader = Annotated[StoreReader, Depends(open_store)]


def side_by_side(
    site: Site, names: Sequence[str], ask: Callable[[StoreReader, Sequence[str]], Found]
) -> list[Found]:
    """What `ask` finds of some of the names each, in their order, on as many threads as there are cores:
    SQLite works without Python's lock. Raises ProblemError."""
    size = -(-len(names) // min(len(names), CORES))

    def answer(first: int) -> Found:
        with reading_store(site) as reader:
            return ask(reader, names[first : first + size])

    with ThreadPoolExecutor(CORES) as pool:
        return list(pool.map(answer, range(0, len(names), size)))


def stream(
    site: Site,
    lines: Callable[[StoreReader], Iterable[bytes]],
    media_type: str,
    headers: Mapping[str, str] | None = None,
) -> StreamingResponse:
    """What `lines` finds in the store, read while it is sent. Raises ProblemError before the first line."""
    trouble = store_trouble(site)
    if trouble:
        raise _unreadable(trouble)

    def pieces() -> Iterator[bytes]:
        with reading_store(site) as reader:
            found = iter(lines(reader))
            while piece := b"".join(islice(found, AT_ONCE)):
                yield piece

    return StreamingResponse(pieces(), media_type=media_type, headers=headers)


def _unreadable(detail: str) -> ProblemError:
    return ProblemError(HTTPStatus.SERVICE_UNAVAILABLE, detail, NO_RECORD)
