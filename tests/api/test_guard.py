"""Strangers are kept out: other names, other sites, endless bodies; and every answer carries its headers."""

import json
import socket
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from drydown_pages.render import STATIC
from support.problem import check_problem
from support.served import served
from support.site_file import write_site

HERON = "/api/v1/tanks/heron"
SEEN = f"{HERON}/alarms/vent-closed/acknowledge"
WREN = {"who": "Wren"}


@pytest.fixture(scope="module")
def api(tmp_path_factory: pytest.TempPathFactory) -> Iterator[httpx.Client]:
    with served(write_site(tmp_path_factory.mktemp("guard"), "boathouse", ["heron"], 1)) as client:
        yield client


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost:8470", "LOCALHOST", "[::1]:8470"])
def test_our_own_names_are_answered(api: httpx.Client, host: str) -> None:
    assert api.get("/api/v1/health", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    # DNS rebinding: a stranger's name that was made to point here
    [
        "evil.example",
        "evil.example:8470",
        "127.0.0.1.evil.example",
        "localhost.",
        "192.168.1.5",
        "[::1",
        "a b",
        "",
    ],
)
def test_no_other_name_is(api: httpx.Client, host: str) -> None:
    for path in ("/api/v1/health", SEEN):
        answer = api.request("POST" if path == SEEN else "GET", path, headers={"Host": host})
        check_problem(answer, 421, "127.0.0.1, localhost")


@pytest.mark.parametrize(
    "headers",
    [
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "https://127.0.0.1"},
    ],
)
def test_commands_from_other_sites_are_refused(api: httpx.Client, headers: dict[str, str]) -> None:
    check_problem(api.post(SEEN, json=WREN, headers=headers), 403, "not from other sites")


def test_commands_from_our_own_pages_and_from_programs_pass(api: httpx.Client) -> None:
    origin = str(api.base_url).rstrip("/")
    for headers in ({}, {"Origin": origin, "Sec-Fetch-Site": "same-origin"}, {"Sec-Fetch-Site": "none"}):
        check_problem(api.post(SEEN, json=WREN, headers=headers), 503, "The watcher")


def test_a_form_of_another_site_cannot_be_a_command(api: httpx.Client) -> None:
    # an old browser that says nothing of where it comes from, with what HTML forms can send
    body = json.dumps(WREN)
    for media_type in ("text/plain", "application/x-www-form-urlencoded"):
        answer = api.post(SEEN, content=body, headers={"Content-Type": media_type})
        check_problem(answer, 422, "body")


def test_a_body_says_its_length_and_keeps_within_bounds(api: httpx.Client) -> None:
    check_problem(api.post(SEEN, content=iter([b"{}"])), 411, "Content-Length")
    check_problem(api.post(SEEN, content=b"x" * 65_537), 413, "65536 bytes")


@pytest.mark.parametrize(
    "path", ["/", "/tanks/heron", "/nowhere", "/api/v1/health", HERON, "/openapi.json", "/static/live.js"]
)
def test_every_answer_forbids_what_is_not_ours(api: httpx.Client, path: str) -> None:
    headers = api.get(path).headers
    # MDN, "Content Security Policy"; OWASP Secure Headers (from memory)
    policy = dict(part.strip().split(" ", 1) for part in headers["content-security-policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert "server" not in headers
    assert headers["cache-control"] == ("no-cache" if path.startswith("/static") else "no-store")


def test_refusals_carry_them_too(api: httpx.Client) -> None:
    for headers in ({"Host": "evil.example"}, {"Origin": "null"}):
        answer = api.post(SEEN, json=WREN, headers=headers)
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")


def test_a_file_that_has_not_changed_is_not_sent_again(api: httpx.Client) -> None:
    tag = api.get("/static/look.css").headers["etag"]
    assert api.get("/static/look.css", headers={"If-None-Match": tag}).status_code == 304


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("look.css", "text/css; charset=utf-8"),
        ("run/axis.js", "text/javascript; charset=utf-8"),
        ("icon-512.png", "image/png"),
    ],
)
def test_a_file_is_sent_as_it_is_and_packed_to_whom_it_helps(api: httpx.Client, name: str, kind: str) -> None:
    plain = (STATIC / name).read_bytes()
    for asked, sent in (("gzip", "gzip"), ("identity", None)):
        answer = api.get(f"/static/{name}", headers={"Accept-Encoding": asked})
        assert answer.headers["content-type"] == kind
        assert answer.headers.get("content-encoding") == sent
        assert answer.content == plain


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS"])
def test_other_methods_are_told_what_is_allowed(api: httpx.Client, method: str) -> None:
    answer = api.request(method, HERON, headers={"Content-Length": "0"})
    check_problem(answer, 405, "allowed is GET")
    assert answer.headers["allow"] == "GET"


@pytest.mark.parametrize("path", ["/static/../guard.py", "/static/%2e%2e/view.py", "/static/..%2fview.py"])
def test_only_what_is_there_for_it_is_served(api: httpx.Client, path: str) -> None:
    address = (api.base_url.host, api.base_url.port or 80)
    with socket.create_connection(address, 5) as connection:  # httpx would tidy the path up
        connection.sendall(f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n".encode())
        answer = b"".join(iter(lambda: connection.recv(65536), b""))
    assert answer.startswith(b"HTTP/1.1 404")


def test_our_own_failure_is_a_problem_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from drydown_api import app

    def fail(_site: object) -> str:
        raise RuntimeError("secret")

    monkeypatch.setattr(app, "store_trouble", fail)
    with served(write_site(tmp_path, "boathouse", ["heron"], 1)) as client:
        answer = client.get("/api/v1/health")
        assert "secret" not in check_problem(answer, 500, "a fault of drydown itself", "Try again")
        assert answer.headers["content-security-policy"]
        assert client.get("/static/live.js").status_code == 200
