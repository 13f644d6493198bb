"""The tokens that let a phone or a program in: made once, kept as hashes in a file of their own."""

import hmac
import json
import os
import secrets
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from enum import StrEnum
from hashlib import sha256
from pathlib import Path

from drydown.disk import commit_names
from drydown.errors import UserError

BYTES = (
    24  # of randomness: nobody guesses 192 bits, so that a plain hash protects them (no slow one is needed)
)
LONGEST_NAME = 60
MOST = 100  # tokens; each is compared at every request


class Right(StrEnum):
    """What a token is good for."""

    VIEW = "view"
    OPERATE = "operate"  # acknowledge, correct, enter tests; includes to view


@dataclass(frozen=True, slots=True)
class Token:
    """Who may do what. The secret itself is nowhere."""

    name: str
    right: Right
    hash: str  # SHA-256 of the secret, hexadecimal
    made: float  # Unix time, s


class TokenFile:
    """The tokens of a site. What is changed in the file by another process counts at once."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._stamp: tuple[int, int, int] | None = None
        self._tokens: tuple[Token, ...] = ()

    def tokens(self) -> tuple[Token, ...]:
        """All that are valid, the oldest first. Raises UserError when the file can't be read."""
        stamp = self._read_stamp()
        if stamp != self._stamp:
            self._tokens = tuple(self._read()) if stamp else ()
            self._stamp = stamp
        return self._tokens

    def match(self, secret: str) -> Token | None:
        """The token that a secret belongs to; takes as long whether there is one or not."""
        shown = _hash(secret)
        found = None
        for token in self.tokens():
            if hmac.compare_digest(token.hash, shown):
                found = token
        return found

    def make(self, name: str, right: Right) -> str:
        """A new token's secret, to be shown once. Raises UserError for a name that is taken or no name."""
        tokens = self.tokens()
        if not name.isprintable() or not 1 <= len(name.strip()) <= LONGEST_NAME:
            raise UserError(f"A token needs a name that can be printed, of 1 to {LONGEST_NAME} characters.")
        if any(token.name == name for token in tokens):
            raise UserError(
                f"There is a token named {name!r} already: revoke it first, or choose another name."
            )
        if len(tokens) >= MOST:
            raise UserError(f"There are {MOST} tokens already: revoke one that nobody uses.")
        secret = secrets.token_urlsafe(BYTES)
        self._write((*tokens, Token(name, right, _hash(secret), time.time())))
        return secret

    def revoke(self, name: str) -> None:
        """Let it count no more. Raises UserError where there is none of that name."""
        tokens = self.tokens()
        kept = tuple(token for token in tokens if token.name != name)
        if len(kept) == len(tokens):
            names = ", ".join(repr(token.name) for token in tokens) or "none"
            raise UserError(f"There is no token named {name!r}. There are: {names}.")
        self._write(kept)

    def _read_stamp(self) -> tuple[int, int, int] | None:
        try:
            found = self._path.stat()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise self._unreadable(error.strerror or "") from error
        return found.st_mtime_ns, found.st_ino, found.st_size

    def _read(self) -> Iterator[Token]:
        try:
            for entry in json.loads(self._path.read_text()):
                yield Token(entry["name"], Right(entry["right"]), entry["hash"], float(entry["made"]))
        except OSError as error:
            raise self._unreadable(error.strerror or "") from error
        except (ValueError, KeyError, TypeError) as error:
            raise self._unreadable("it is damaged") from error

    def _unreadable(self, why: str) -> UserError:
        return UserError(
            f"{self._path}: the tokens can't be read ({why}), so nobody gets in from elsewhere. See that"
            " drydown's user may read the file, or remove it and make new tokens with `drydown token make`."
        )

    def _write(self, tokens: tuple[Token, ...]) -> None:
        """All at once, readable by the owner of the folder alone. Raises UserError."""
        fresh = self._path.with_suffix(".new")
        try:
            fresh.unlink(missing_ok=True)
            with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
                json.dump([asdict(token) for token in tokens], file)
                file.flush()
                os.fsync(file.fileno())
            if os.geteuid() == 0:  # made by root for the service's own user
                owner = self._path.parent.stat()
                os.chown(fresh, owner.st_uid, owner.st_gid)
            fresh.replace(self._path)
            commit_names(self._path.parent)
        except OSError as error:
            raise UserError(
                f"{self._path}: the tokens can't be written ({error.strerror}): nothing was changed. Run this"
                " as the user whom the folder belongs to, or as root."
            ) from error


def _hash(secret: str) -> str:
    return sha256(secret.encode("utf-8", "surrogateescape")).hexdigest()
