"""Who gets in from elsewhere: a real server on another address of this machine, with and without tokens."""

import subprocess
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from drydown_api.attempts import FREE
from drydown_api.tokens import Right, TokenFile
from support.broker import free_port
from support.demo_place import serving
from support.problem import check_problem
from support.processes import DRYDOWN
from support.site_file import write_site

ELSEWHERE = (
    "127.0.0.2"  # loopback to the kernel, but not an address by which drydown takes a visitor for the board
)
HEALTH, SEEN = "/api/v1/health", "/api/v1/tanks/heron/alarms/vent-closed/acknowledge"
WREN = {"who": "Wren"}


class Place:
    """A site served beyond loopback."""

    def __init__(self, folder: Path) -> None:
        self.config = write_site(folder, "boathouse", ["heron"], 1)
        port = free_port()
        served = f'[serve]\nhost = "{ELSEWHERE}"\nport = {port}\n\n[broker]'
        self.config.write_text(self.config.read_text().replace("[broker]", served))
        (folder / "boathouse").mkdir()
        self.tokens = TokenFile(folder / "boathouse" / "tokens.json")
        self.address = f"http://{ELSEWHERE}:{port}"

    def client(self, token: str = "") -> httpx.Client:
        """A visitor from elsewhere, who shows a token or none."""
        headers = {"Authorization": f"Bearer {token}"} if token else {}
        transport = httpx.HTTPTransport(local_address=ELSEWHERE, trust_env=False)
        return httpx.Client(base_url=self.address, headers=headers, transport=transport)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    place = Place(tmp_path_factory.mktemp("elsewhere"))
    place.tokens.make("first", Right.VIEW)
    with serving(place.config):
        yield place


def test_without_any_token_it_does_not_begin(tmp_path: Path) -> None:
    place = Place(tmp_path)
    done = subprocess.run(
        [DRYDOWN, "serve", "--config", place.config], capture_output=True, text=True, timeout=30, check=False
    )
    assert done.returncode == 2
    assert "nobody has a token" in done.stderr
    assert "drydown token make NAME" in done.stderr


def test_a_stranger_is_told_how_to_get_in(place: Place) -> None:
    with place.client() as stranger:
        answer = stranger.get(HEALTH)
        check_problem(answer, 401, "drydown token make NAME", "/enter")
        assert answer.headers["www-authenticate"].startswith("Bearer")
        check_problem(stranger.post(SEEN, json=WREN), 401, "A token is needed")
        page = stranger.get("/tanks/heron")
        assert (page.status_code, page.headers["location"]) == (303, "/enter?to=/tanks/heron")


def test_a_stranger_sees_the_door_and_its_looks(place: Place) -> None:
    with place.client() as stranger:
        for path in ("/enter", "/static/look.css", "/static/enter.js"):
            assert stranger.get(path).status_code == 200
        assert "Who is there?" in stranger.get("/enter").text
        for path in ("/enterprise", "/openapi.json", "/"):
            assert stranger.get(path).status_code in (303, 401)


def test_to_look_is_not_to_operate(place: Place) -> None:
    looks, operates = place.tokens.make("looks", Right.VIEW), place.tokens.make("operates", Right.OPERATE)
    with place.client(looks) as visitor:
        assert visitor.get(HEALTH).status_code == 200
        check_problem(visitor.post(SEEN, json=WREN), 403, "may only look", "--may operate")
        asked = visitor.post("/api/v1/tanks/heron/outlook", json={"table": "14:00,8,70"})
        check_problem(asked, 503, "The watcher")
    with place.client(operates) as visitor:
        check_problem(visitor.post(SEEN, json=WREN), 503, "The watcher")


def test_a_cookie_is_as_good_and_no_script_can_read_it(place: Place) -> None:
    secret = place.tokens.make("phone", Right.OPERATE)
    with place.client() as phone:
        answer = phone.post("/enter", data={"token": f" {secret}\n", "to": "/tanks/heron"})
        assert (answer.status_code, answer.headers["location"]) == (303, "/tanks/heron")
        cookie = answer.headers["set-cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=lax" in cookie
        assert phone.get(HEALTH).status_code == 200
        # OWASP, "Cross-Site Request Forgery Prevention" (from memory): a cookie alone must not command
        for headers in ({"Sec-Fetch-Site": "cross-site"}, {"Origin": "http://evil.example"}):
            check_problem(phone.post(SEEN, json=WREN, headers=headers), 403, "not from other sites")


@pytest.mark.parametrize("to", ["//evil.example", "https://evil.example/", "/\\evil.example", "", "x", "/\n"])
def test_the_door_leads_nowhere_else(place: Place, to: str) -> None:
    secret = place.tokens.make(f"leads {to!r}", Right.VIEW)
    with place.client() as phone:
        assert phone.post("/enter", data={"token": secret, "to": to}).headers["location"] == "/"


def test_a_wrong_token_is_told_so_on_the_page(place: Place) -> None:
    with place.client() as stranger:
        answer = stranger.post("/enter", data={"token": "guess", "to": "/tanks/heron"})
        assert answer.status_code == 401
        assert "mistyped or revoked" in answer.text
        assert 'value="/tanks/heron"' in answer.text
        assert "set-cookie" not in answer.headers


def test_revoking_counts_at_once_and_ends_open_streams(place: Place) -> None:
    secret = place.tokens.make("lost phone", Right.VIEW)
    with place.client(secret) as phone, phone.stream("GET", "/api/v1/events") as answer:
        lines = answer.iter_lines()
        next(lines)
        place.tokens.revoke("lost phone")
        assert len(list(lines)) < 20  # it ends
        check_problem(phone.get(HEALTH), 401, "revoked")


def test_guessing_is_slowed_down_even_for_the_right_one(tmp_path: Path) -> None:
    place = Place(tmp_path)
    secret = place.tokens.make("Wren", Right.VIEW)
    with serving(place.config), place.client() as stranger:
        for i in range(FREE):
            assert stranger.get(HEALTH, headers={"Authorization": f"Bearer guess{i}"}).status_code == 401
        answer = stranger.get(HEALTH, headers={"Authorization": f"Bearer {secret}"})
        check_problem(answer, 429, "Wait", "then try again")
        assert 1 <= int(answer.headers["retry-after"]) <= 4


def test_who_comes_through_a_program_on_the_board_is_not_the_board(place: Place, tmp_path: Path) -> None:
    place = Place(tmp_path)
    place.config.write_text(place.config.read_text().replace(ELSEWHERE, "127.0.0.1"))
    address = place.address.replace(ELSEWHERE, "127.0.0.1")
    with serving(place.config), httpx.Client(base_url=address, trust_env=False) as client:
        assert client.get(HEALTH).status_code == 200
        for headers in (
            {"X-Forwarded-For": "192.0.2.7"},
            {"Forwarded": "for=192.0.2.7"},
            {"Via": "1.1 front"},
        ):
            check_problem(client.get(HEALTH, headers=headers), 401, "A token is needed")


def test_a_damaged_file_of_tokens_refuses_all_and_says_so(tmp_path: Path) -> None:
    place = Place(tmp_path)
    secret = place.tokens.make("Wren", Right.VIEW)
    with serving(place.config), place.client(secret) as visitor:
        (tmp_path / "boathouse" / "tokens.json").write_text("{")
        check_problem(visitor.get(HEALTH), 503, "it is damaged", "make new tokens")
