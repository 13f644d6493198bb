"""`drydown serve`: the API and the pages, on loopback or, for who has a token, beyond."""

import argparse
import logging
import socket

import uvicorn
from fastapi import FastAPI

from drydown.config.load import load
from drydown.config.services import LOOPBACK
from drydown.errors import UserError
from drydown.logs import set_up
from drydown.texts.language import speak
from drydown_api.app import create_app
from drydown_api.recorded import store_trouble
from drydown_api.tokens import TokenFile

log = logging.getLogger(__name__)

LAST_WORDS = 2  # s that answers on their way get when we are told to stop


class Server(uvicorn.Server):
    """Lets the endless streams come to an end before it waits for all answers to be given."""

    def __init__(self, app: FastAPI) -> None:
        config = uvicorn.Config(
            app,
            log_config=None,
            log_level="warning",
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=LAST_WORDS,
        )
        super().__init__(config)
        self._live = app.state.live

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """See `uvicorn.Server.shutdown`."""
        await self._live.end()
        await super().shutdown(sockets)


def main(args: argparse.Namespace) -> int:
    """Serve until told to stop. Raises UserError when the address can't be had."""
    set_up()
    site = load(args.config)
    speak(site.language)
    host, port = args.host or site.serve.host, args.port or site.serve.port
    refuse_strangers(host, TokenFile(site.tokens_path))
    listener = listen(host, port)
    name = f"[{host}]" if ":" in host else host
    print(f"http://{name}:{port}/", flush=True)
    if site.store_path.exists() and (trouble := store_trouble(site)):
        log.warning("%s Until then the pages tell of now only.", trouble)
    Server(create_app(site)).run(sockets=[listener])
    return 0


def refuse_strangers(host: str, tokens: TokenFile) -> None:
    """Raises UserError when others could reach the pages and nobody has a token for them."""
    if host not in LOOPBACK and not tokens.tokens():
        raise UserError(
            f"The pages are not served at {host} yet: others reach them there, and nobody has a token. Make"
            " one with `drydown token make NAME`; or serve this board alone: allowed under [serve] host and"
            f" for --host is then {', '.join(LOOPBACK)}."
        )


def listen(host: str, port: int) -> socket.socket:
    """A socket at a place. Raises UserError."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # asyncio sends at once (TCP_NODELAY) on sockets that name TCP alone; else the second part of each answer
    # waits for the first to be acknowledged, 40 ms on a connection that is kept
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        listener.listen()
    except OSError as error:
        listener.close()
        raise UserError(
            f"The pages can't be served at {host} port {port} ({error.strerror}). "
            "Another program may hold it: end it, or choose another port under [serve] or with --port."
        ) from error
    return listener
