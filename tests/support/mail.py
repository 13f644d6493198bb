"""A real SMTP server on loopback that takes messages, refuses them, or loses its answer, as a test wants."""

import email
from collections.abc import Iterator
from contextlib import contextmanager
from email.header import decode_header, make_header
from email.message import Message
from typing import Any

from aiosmtpd.controller import Controller

from support.broker import free_port


class Mailbox:
    """What apprise's mailto:// addresses talk to."""

    def __init__(self) -> None:
        self.taken: list[Message] = []
        self.refuse = 0  # of the next messages
        self.lose_answers = 0  # take the next messages, and hang up without a word
        self._controller = Controller(self, hostname="127.0.0.1", port=free_port())

    @property
    def address(self) -> str:
        """For a route."""
        ends = "from=board@boathouse.example&to=tern@boathouse.example"
        return f"mailto://127.0.0.1:{self._controller.port}/?{ends}&mode=insecure&format=text"

    @property
    def titles(self) -> list[str]:
        return [str(make_header(decode_header(one["Subject"]))) for one in self.taken]

    @property
    def bodies(self) -> list[str]:
        """The text of each message."""
        return [_text(one) for one in self.taken]

    async def handle_DATA(self, server: Any, _session: object, envelope: Any) -> str:  # noqa: N802
        """What aiosmtpd calls for a message."""
        if self.refuse:
            self.refuse -= 1
            return "451 not now"
        self.taken.append(email.message_from_bytes(envelope.content))
        if self.lose_answers:
            self.lose_answers -= 1
            server.transport.abort()
        return "250 taken"

    def start(self) -> None:
        self._controller.start()

    def close(self) -> None:
        self._controller.stop()


def _text(message: Message) -> str:
    part = next(part for part in message.walk() if part.get_content_type() == "text/plain")
    payload = part.get_payload(decode=True)
    assert isinstance(payload, bytes)
    return payload.decode()


@contextmanager
def mailbox() -> Iterator[Mailbox]:
    """A mailbox while the block lasts."""
    made = Mailbox()
    made.start()
    try:
        yield made
    finally:
        made.close()
