"""Speaks with the watcher over its Unix socket, in plain code and in asyncio; see `local_server`."""

import asyncio
import json
import socket
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

from drydown.errors import UserError
from drydown.texts.language import say

PATIENCE = 5.0  # s for an answer
LONGEST_ANSWER = 4_000_000  # bytes


class WatcherError(UserError):
    """The watcher can't be reached, or it says no; the text is for the user."""


class WatcherAwayError(WatcherError):
    """Nobody answers at the socket."""


def ask(path: Path, what: str, **fields: Any) -> dict[str, Any]:
    """One question on a connection of its own. Raises WatcherError.

    >>> ask(site.socket_path, "state")["heron"]["stage"]  # doctest: +SKIP
    'bubbling'
    """
    try:
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as connection:
            connection.settimeout(PATIENCE)
            connection.connect(str(path))
            connection.sendall(_request(what, fields))
            with connection.makefile("rb") as answers:
                return _answer(answers.readline(LONGEST_ANSWER), path)
    except OSError as error:
        raise _away(path) from error


async def ask_async(path: Path, what: str, **fields: Any) -> dict[str, Any]:
    """The same for asyncio."""
    try:
        async with asyncio.timeout(PATIENCE):
            reader, writer = await asyncio.open_unix_connection(path, limit=LONGEST_ANSWER)
            try:
                writer.write(_request(what, fields))
                await writer.drain()
                return _answer(await reader.readline(), path)
            finally:
                writer.close()
    except (OSError, TimeoutError, ValueError) as error:
        raise _away(path) from error


async def follow(path: Path) -> AsyncIterator[dict[str, Any]]:
    """Every line of every tank as it comes, {"tank": …, "line": …}, until the watcher goes.

    Raises WatcherAwayError at the end, so that the caller can try again.
    """
    try:
        reader, writer = await asyncio.open_unix_connection(path, limit=LONGEST_ANSWER)
        try:
            writer.write(_request("follow", {}))
            _answer(await asyncio.wait_for(reader.readline(), PATIENCE), path)
            while line := await reader.readline():
                yield json.loads(line)
        finally:
            writer.close()
    except (OSError, TimeoutError, ValueError) as error:
        raise _away(path) from error
    raise _away(path)


def _request(what: str, fields: dict[str, Any]) -> bytes:
    return json.dumps({"id": 1, "ask": what} | fields).encode() + b"\n"


def _answer(line: bytes, path: Path) -> dict[str, Any]:
    try:
        told = json.loads(line)
    except ValueError as error:
        raise _away(path) from error
    if not told["ok"]:
        raise WatcherError(told["error"])
    answer: dict[str, Any] = told["answer"]
    return answer


def _away(path: Path) -> WatcherAwayError:
    return WatcherAwayError(
        say(
            "The watcher does not answer at {path}: nothing is watched from here. Start `drydown watch`.",
            path=path,
        )
    )
