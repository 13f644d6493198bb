"""A small HTTP server between a sender and its server: it lets through, refuses, or answers in its place."""

import subprocess
import threading
import urllib.error
import urllib.request
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from ssl import PROTOCOL_TLS_SERVER, SSLContext

Answer = tuple[int, str]
"""status and body"""


class Gate:
    """`judge` looks at each body and the token that came with it; None lets it through."""

    def __init__(self, beyond: str, certificate: Path | None = None) -> None:
        self.judge: Callable[[str, str], Answer | None] = lambda _body, _token: None
        self.bodies: list[str] = []
        self.paths: list[str] = []
        gate = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"])).decode()
                gate.bodies.append(body)
                gate.paths.append(self.path)
                answer = gate.judge(body, self.headers.get("Authorization", ""))
                status, words = answer or _pass_on(beyond + self.path, body)
                self.send_response(status)
                self.send_header("Content-Length", str(len(words.encode())))
                self.end_headers()
                self.wfile.write(words.encode())

            def log_message(self, *_: object) -> None:
                pass

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._server.daemon_threads = True
        if certificate:
            context = SSLContext(PROTOCOL_TLS_SERVER)
            context.load_cert_chain(certificate, certificate.with_suffix(".key"))
            self._server.socket = context.wrap_socket(self._server.socket, server_side=True)
        scheme = "https" if certificate else "http"
        self.url = f"{scheme}://127.0.0.1:{self._server.server_port}"
        self._thread = threading.Thread(target=self._server.serve_forever, args=(0.02,), daemon=True)

    def __enter__(self) -> "Gate":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._server.shutdown()
        self._server.server_close()


def _pass_on(url: str, body: str) -> Answer:
    request = urllib.request.Request(url, body.encode(), {"Content-Type": "text/plain"})
    try:
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as error:
        return error.code, error.read().decode()
    except OSError:
        return 503, "the server beyond is away"


def own_certificate(folder: Path) -> Path:
    """A certificate for 127.0.0.1 that nobody but itself has signed; its key lies beside it."""
    path = folder / "own.pem"
    subject = ["-subj", "/CN=harbour", "-addext", "subjectAltName=IP:127.0.0.1"]
    kind = ["-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2"]
    files = ["-keyout", str(path.with_suffix(".key")), "-out", str(path)]
    subprocess.run(["openssl", "req", *kind, *subject, *files], check=True, capture_output=True)
    return path
