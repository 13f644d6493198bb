"""The server that everything goes to: the client library behind three ways in which sending can fail."""

import json
import re
import ssl
from collections.abc import Sequence
from contextlib import suppress

from influxdb_client.client.influxdb_client import InfluxDBClient
from influxdb_client.client.write_api import SYNCHRONOUS
from influxdb_client.rest import ApiException
from urllib3.exceptions import HTTPError, SSLError

from drydown.config.services import Forward
from drydown.errors import UserError

PATIENCE = 30_000  # ms for an answer
LONGEST_WORDS = 300  # characters of what a server says

REJECTED = (400, 413, 422)  # the batch: something in it, or its size
UNAUTHORISED = (401, 403)
BUSY = (408, 429)

BEFORE_CAUSE = re.compile(r"^.*?[>)]: ")


class AwayError(Exception):
    """Nothing is taken just now; the text says why. The server may have said how long to wait (s)."""

    def __init__(self, text: str, wait: float = 0.0) -> None:
        super().__init__(text)
        self.wait = wait


class RefusedError(UserError):
    """Nothing will be taken until somebody mends something; the text says what."""


class RejectedError(Exception):
    """Something in a batch is not taken; the text is what the server says."""


class Server:
    """One bucket of one server."""

    def __init__(self, forward: Forward) -> None:
        """Raises RefusedError where token or certificate can't be read."""
        self._forward = forward
        self._client = InfluxDBClient(
            forward.url,
            _token(forward),
            org=forward.org,
            timeout=PATIENCE,
            ssl_ca_cert=_authority(forward),
            retries=False,
        )
        self._write_api = self._client.write_api(write_options=SYNCHRONOUS)

    def write(self, lines: Sequence[str]) -> None:
        """Return when they were taken. Raises AwayError, RefusedError or RejectedError."""
        try:
            self._write_api.write(self._forward.bucket, record="\n".join(lines).encode(errors="replace"))
        except ApiException as error:
            raise self._answered(error) from None
        except SSLError as error:
            raise self._no_trust(str(error)) from None
        except (HTTPError, OSError) as error:
            raise AwayError(
                f"{self._forward.url} can't be reached ({_in_short(error)}): check that it runs, the network,"
                " and url under [forward]"
            ) from None

    def try_out(self) -> None:
        """Send a comment, which is no point, to see whether it would take one. As `write`."""
        with suppress(RejectedError):  # some want a point at least; token and bucket were looked at before
            self.write(["# drydown check"])

    def close(self) -> None:
        """Let the connection go."""
        self._client.close()  # type: ignore[no-untyped-call]

    def _answered(self, error: ApiException) -> Exception:
        forward, status = self._forward, error.status
        words = _words(error)
        if not status:
            return self._no_trust(words)
        if status in REJECTED:
            return RejectedError(words)
        if status in UNAUTHORISED:
            return RefusedError(
                f"{forward.url} refuses the token in {forward.token_file} ({words}): put one there that may"
                f" write the bucket {forward.bucket}."
            )
        if status == 404:
            return RefusedError(
                f"{forward.url} knows no bucket {forward.bucket} of {forward.org} ({words}): make it there,"
                " or mend url, org or bucket under [forward]."
            )
        if status in BUSY or status >= 500:
            return AwayError(f"{forward.url} takes nothing just now ({words})", _wait(error))
        return RefusedError(
            f"{forward.url} answers {status} to what is written ({words}): url under [forward] must name a"
            " server with the InfluxDB v2 write interface."
        )

    def _no_trust(self, words: str) -> RefusedError:
        return RefusedError(
            f"{self._forward.url} can't be trusted ({words[:LONGEST_WORDS]}): name the certificate of the"
            " authority that signed its own as ca_file under [forward], or mend url."
        )


def _token(forward: Forward) -> str:
    try:
        token = forward.token_file.read_text().strip()
    except (OSError, UnicodeDecodeError) as error:
        raise RefusedError(
            f"[forward] token_file {forward.token_file} can't be read ({error}); it holds the token alone,"
            " readable by this user."
        ) from error
    if not token or not token.isascii() or not token.isprintable():
        raise RefusedError(f"[forward] token_file {forward.token_file} must hold the token alone.")
    return token


def _authority(forward: Forward) -> str | None:
    if forward.ca_file is None:
        return None
    try:
        ssl.create_default_context(cafile=str(forward.ca_file))
    except (OSError, ssl.SSLError) as error:
        raise RefusedError(
            f"[forward] ca_file {forward.ca_file} can't be used ({error}); it holds the certificate of the"
            " authority that signed the server's."
        ) from error
    return str(forward.ca_file)


def _words(error: ApiException) -> str:
    """What the server says, in one line."""
    body = error.body if isinstance(error.body, str) else ""
    try:
        told = json.loads(body)
        body = str(told.get("message") or told.get("error") or body)
    except (ValueError, AttributeError):
        pass
    return " ".join((body or str(error.reason or "") or f"status {error.status}").split())[:LONGEST_WORDS]


def _wait(error: ApiException) -> float:
    told = error.headers.get("Retry-After", "") if error.headers else ""
    return float(told) if told.isascii() and told.isdigit() else 0.0


def _in_short(error: Exception) -> str:
    """The cause alone: urllib3 puts before it what failed, as Python sees it."""
    return BEFORE_CAUSE.sub("", str(error))[:LONGEST_WORDS] or "no answer"
