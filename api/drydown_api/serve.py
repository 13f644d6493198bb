"""`drydown serve`: the API and the pages, on loopback unless the configuration says otherwise."""

import argparse
import socket

import uvicorn

from drydown.config.load import load
from drydown.errors import UserError
from drydown_api.app import create_app


def main(args: argparse.Namespace) -> int:
    """Serve until told to stop. Raises UserError when the address can't be had."""
    site = load(args.config)
    host, port = args.host or site.serve.host, args.port or site.serve.port
    listener = _listen(host, port)
    config = uvicorn.Config(
        create_app(site), log_level="warning", access_log=False, timeout_graceful_shutdown=2
    )
    print(f"http://{host}:{listener.getsockname()[1]}/", flush=True)
    uvicorn.Server(config).run(sockets=[listener])
    return 0


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
    except OSError as error:
        listener.close()
        raise UserError(
            f"The pages can't be served at {host} port {port} ({error.strerror}). "
            "Another program may hold it: end it, or choose another port under [serve] or with --port."
        ) from error
    return listener
