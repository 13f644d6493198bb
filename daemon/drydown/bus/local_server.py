"""The watcher's Unix socket: live state, a stream of lines, and commands, for programs on the same board.

One request or answer a line of JSON. A request is {"id": …, "ask": "state" | "follow" | "command", …}; its
answer repeats the id, which is text or a number: {"id": …, "ok": true, "answer": {…}} or
{"id": …, "ok": false, "error": "a sentence"}.

    state    {}                          the state of every tank, by name
    command  {"tank": …, "command": …}   see `orders`; the answer holds the lines that came of it
    what-if  {"tank": …, "fuel_temperature": K}   what a start of the blower would bring: now, and so warm
    outlook  {"tank": …, "air": …}       what a start at each hour of the day ahead would bring, in this air
    follow   {}                          from then on each line of each tank: {"tank": …, "line": …}

A client that asks too much, sends too long a line or does not read what it is sent is cut off; it can never
hold up the watcher. One thread serves all clients.
"""

import contextlib
import json
import logging
import math
import os
import selectors
import socket
import threading
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any, Protocol

from drydown.errors import UserError

LONGEST_REQUEST = 65_536  # bytes
MOST_REQUESTS = 100  # that come in one piece
MOST_UNREAD = 1_000_000  # bytes that wait for a client before it is cut off
MOST_CLIENTS = 32
MODE = 0o660
COLDEST, HOTTEST = 263.15, 373.15  # K, of fuel that may be asked about

log = logging.getLogger(__name__)

Reply = Callable[[dict[str, Any]], None]


class Desk(Protocol):
    """Who answers what the clients ask."""

    def state(self) -> dict[str, Any]:
        """The state of every tank, by name. Called from the server's thread."""

    def command(self, tank: str, order: dict[str, Any], reply: Reply) -> None:
        """Have a tank obey; call `reply`, from any thread, when it has. Raises UserError."""

    def what_if(self, tank: str, fuel_temperature: float) -> list[dict[str, Any]]:
        """What a start would bring with the fuel at so many K. From the server's thread. Raises UserError."""

    def outlook(self, tank: str, air: object) -> dict[str, Any] | None:
        """What a start at each hour of the day ahead would bring; see `outlook.lines`. As `what_if`."""


class LocalServer:
    """Serves a Unix socket on a thread of its own."""

    def __init__(self, path: Path, desk: Desk) -> None:
        """Take the place on the file system; raises UserError if that can't be done."""
        self._desk = desk
        self._path = path
        self._clients: dict[socket.socket, _Client] = {}
        self._selector = selectors.DefaultSelector()
        self._outbox: deque[tuple[_Client | None, bytes]] = deque()  # None: for all who follow
        self._wake_read, self._wake_write = socket.socketpair()
        self._wake_read.setblocking(False)
        self._wake_write.setblocking(False)
        self._listener = _listen(path)
        self._is_woken = False
        self._stopping = False
        self._followed = False
        self._thread = threading.Thread(target=self._run, name="local socket", daemon=True)

    def start(self) -> None:
        """Begin to serve."""
        self._thread.start()

    def close(self) -> None:
        """Cut everybody off and give the place back."""
        self._stopping = True
        self._wake()
        self._thread.join(2)
        with contextlib.suppress(
            OSError
        ):  # on a card that has turned read-only it stays, as one of a killed watcher does
            self._path.unlink()

    @property
    def is_followed(self) -> bool:
        """Whether anybody wants to hear lines."""
        return self._followed

    def tell(self, tank: str, line: dict[str, Any]) -> None:
        """Send a line to everybody who follows. From any thread; never blocks."""
        self._post(None, {"tank": tank, "line": line})

    def _post(self, client: "_Client | None", message: dict[str, Any]) -> None:
        self._outbox.append((client, json.dumps(message, separators=(",", ":")).encode() + b"\n"))
        self._wake()

    def _wake(self) -> None:
        if self._is_woken:
            return  # it has not looked since: once is enough for a whole step's lines
        self._is_woken = True
        with contextlib.suppress(BlockingIOError, OSError):
            self._wake_write.send(b"x")

    # The server's thread

    def _run(self) -> None:
        self._selector.register(self._listener, selectors.EVENT_READ)
        self._selector.register(self._wake_read, selectors.EVENT_READ)
        while not self._stopping:
            for key, events in self._selector.select():
                if key.fileobj is self._listener:
                    self._accept()
                elif key.fileobj is self._wake_read:
                    self._deliver()
                elif client := self._clients.get(key.fileobj):  # type: ignore[call-overload]
                    self._serve(client, events)
        for client in list(self._clients.values()):
            self._cut_off(client)
        self._selector.close()
        for end in (self._listener, self._wake_read, self._wake_write):
            end.close()

    def _accept(self) -> None:
        try:
            connection, _ = self._listener.accept()
        except OSError:
            return
        if len(self._clients) >= MOST_CLIENTS:
            connection.close()
            return
        connection.setblocking(False)
        self._clients[connection] = _Client(connection)
        self._selector.register(connection, selectors.EVENT_READ)

    def _deliver(self) -> None:
        with contextlib.suppress(BlockingIOError):
            while self._wake_read.recv(4096):
                pass
        self._is_woken = False  # before it looks, so that what comes from now on wakes it anew
        for _ in range(len(self._outbox)):
            addressee, data = self._outbox.popleft()
            for client in list(self._clients.values()):
                if client is addressee or (addressee is None and client.follows):
                    self._send(client, data)

    def _serve(self, client: "_Client", events: int) -> None:
        if events & selectors.EVENT_WRITE:
            self._send(client, b"")
        if events & selectors.EVENT_READ and client.connection in self._clients:
            try:
                data = client.connection.recv(65_536)
            except OSError:
                data = b""
            requests = client.take(data)
            for request in requests[:MOST_REQUESTS]:
                self._answer(client, request)
            if not data or len(client.unread) > LONGEST_REQUEST or len(requests) > MOST_REQUESTS:
                self._cut_off(client)

    def _answer(self, client: "_Client", line: bytes) -> None:
        number: Any = None
        try:
            request = json.loads(line)
            if not isinstance(request, dict):
                raise UserError("a request is a JSON object")
            number = _number(request.get("id"))
            self._obey(client, number, request)
        except UserError as error:
            self._reply(client, number, error=str(error))
        except (ValueError, RecursionError):
            self._reply(client, number, error="a request is one line of JSON")
        except Exception:  # a mistake of ours: whoever else is connected must still be served
            log.exception("a request to %s failed; please report this", self._path)
            self._reply(client, number, error="the watcher could not answer that; see its log")

    def _obey(self, client: "_Client", number: Any, request: dict[str, Any]) -> None:
        match request.get("ask"):
            case "state":
                self._reply(client, number, self._desk.state())
            case "follow":
                client.follows = self._followed = True
                self._reply(client, number, {})
            case "command":
                tank, order = request.get("tank"), request.get("command")
                if not isinstance(tank, str) or not isinstance(order, dict):
                    raise UserError('a command needs "tank", a name, and "command", an object')
                self._desk.command(tank, order, lambda answer: self._reply(client, number, answer))
            case "what-if":
                self._reply(client, number, {"prospects": self._what_if(request)})
            case "outlook":
                tank = request.get("tank")
                if not isinstance(tank, str):
                    raise UserError('"outlook" needs "tank", a name, and "air"')
                self._reply(client, number, {"outlook": self._desk.outlook(tank, request.get("air"))})
            case _:
                raise UserError('"ask" is "state", "follow", "what-if", "outlook" or "command"')

    def _what_if(self, request: dict[str, Any]) -> list[dict[str, Any]]:
        tank, warmth = request.get("tank"), request.get("fuel_temperature")
        is_warmth = isinstance(warmth, int | float) and not isinstance(warmth, bool)
        if not isinstance(tank, str) or not is_warmth or not COLDEST <= warmth <= HOTTEST:  # type: ignore[operator]
            raise UserError(
                f'"what-if" needs "tank", a name, and "fuel_temperature", {COLDEST:g} to {HOTTEST:g} K'
            )
        return self._desk.what_if(tank, float(warmth))  # type: ignore[arg-type]

    def _reply(
        self, client: "_Client", number: Any, answer: dict[str, Any] | None = None, error: str = ""
    ) -> None:
        told = {"ok": False, "error": error} if error else {"ok": True, "answer": answer}
        self._post(client, {"id": number} | told)

    def _send(self, client: "_Client", data: bytes) -> None:
        client.unsent += data
        try:
            if client.unsent:
                del client.unsent[: client.connection.send(client.unsent)]
        except BlockingIOError:
            pass
        except OSError:
            self._cut_off(client)
            return
        if len(client.unsent) > MOST_UNREAD:
            log.warning("a client of %s does not read what it is sent and was cut off", self._path)
            self._cut_off(client)
            return
        wanted = selectors.EVENT_READ | (selectors.EVENT_WRITE if client.unsent else 0)
        self._selector.modify(client.connection, wanted)

    def _cut_off(self, client: "_Client") -> None:
        if self._clients.pop(client.connection, None):
            self._selector.unregister(client.connection)
            client.connection.close()
            self._followed = any(other.follows for other in self._clients.values())


class _Client:
    """One connection, what came in of its next request, and what it has not taken yet."""

    def __init__(self, connection: socket.socket) -> None:
        self.connection = connection
        self.follows = False
        self.unread = bytearray()
        self.unsent = bytearray()

    def take(self, data: bytes) -> list[bytes]:
        """The requests that are whole now."""
        self.unread += data
        *lines, rest = self.unread.split(b"\n")
        self.unread = bytearray(rest)
        return [bytes(line) for line in lines if line.strip()]


def _number(told: object) -> str | float | None:
    """What an answer can repeat of a request's id: JSON knows no number that is not finite."""
    if isinstance(told, float) and not math.isfinite(told):
        raise UserError('"id" is text or a finite number')
    return told if isinstance(told, str | int | float) else None


def _listen(path: Path) -> socket.socket:
    listener = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)  # of a watcher that was killed; the folder's lock says that none lives
        before = os.umask(0o777 & ~MODE)
        try:
            listener.bind(str(path))
        finally:
            os.umask(before)
        listener.listen(MOST_CLIENTS)
    except OSError as error:
        listener.close()
        raise UserError(
            f"{path}: the watcher's socket can't be made ({error}); see that this user may write in"
            f" {path.parent}, and that its path is no longer than 100 characters."
        ) from error
    listener.setblocking(False)
    return listener
