"""`drydown serve` as a process: it starts small, refuses clearly, and stops at once."""

import asyncio
import signal
import socket
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

from drydown.config.load import load
from drydown_api.serve import listen
from support.broker import free_port
from support.demo_place import serving
from support.processes import DRYDOWN, wait_until_said
from support.site_file import write_site


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = write_site(tmp_path, "boathouse", ["heron"], 1)
    path.write_text(path.read_text().replace("[broker]", f"[serve]\nport = {free_port()}\n\n[broker]"))
    return path


def refused(*arguments: str | Path) -> str:
    done = subprocess.run(
        [DRYDOWN, "serve", *arguments], capture_output=True, text=True, timeout=30, check=False
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    return done.stderr


def test_a_port_in_use_is_one_clear_sentence(config: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        said = refused("--config", config, "--port", str(port))
    assert f"can't be served at 127.0.0.1 port {port}" in said
    assert "end it, or choose another port" in said


def test_no_part_of_an_answer_waits_for_the_one_before() -> None:
    """RFC 9293, 3.7.4: Nagle's algorithm holds the second back, unless it is switched off."""

    async def delayed() -> int:
        listener = listen("127.0.0.1", free_port())
        switched = asyncio.get_running_loop().create_future()

        def connected(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            accepted = writer.get_extra_info("socket")
            switched.set_result(accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        async with await asyncio.start_server(connected, sock=listener):
            with socket.create_connection(listener.getsockname()):
                return int(await switched)

    assert asyncio.run(delayed())


@pytest.mark.parametrize("host", ["0.0.0.0", "192.168.1.5", "example.org", "::"])
def test_beyond_this_board_it_does_not_serve(config: Path, host: str) -> None:
    said = refused("--config", config, "--host", host)
    assert f"not served at {host} yet" in said
    assert "allowed" in said


def test_a_configuration_that_is_not_there(tmp_path: Path) -> None:
    assert str(tmp_path / "none.toml") in refused("--config", tmp_path / "none.toml")


def test_a_store_that_is_none_is_told_of_and_the_live_pages_stay(config: Path) -> None:
    site = load(config)
    site.store_path.parent.mkdir(parents=True, exist_ok=True)
    site.store_path.write_bytes(b"no database" * 1000)
    with serving(config) as process:
        said = wait_until_said(process, "not a drydown store")
        assert str(site.store_path) in said
        assert "name another file under [store] path" in said
        assert httpx.get(f"http://127.0.0.1:{site.serve.port}/api/v1/health", trust_env=False).json()["store"]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_it_stops_at_once_though_a_page_is_open(config: Path, number: signal.Signals) -> None:
    address = f"http://127.0.0.1:{load(config).serve.port}"
    with (
        serving(config) as process,
        httpx.Client(trust_env=False) as client,
        client.stream("GET", f"{address}/api/v1/tanks/heron/events") as answer,
    ):
        next(answer.iter_lines())
        process.signal(number)
        assert process.wait(2.0) in (-signal.SIGTERM, 130, 0)
        assert process.log.read_text().splitlines() == [f"{address}/"]


def test_it_serves_on_the_other_loopback_too(config: Path) -> None:
    if not socket.has_ipv6:
        pytest.skip("this machine has no IPv6")
    config.write_text(config.read_text().replace("[serve]", '[serve]\nhost = "::1"'))
    with serving(config) as process:
        port = load(config).serve.port
        assert f"http://[::1]:{port}/" in process.log.read_text()
        assert httpx.get(f"http://[::1]:{port}/api/v1/health", trust_env=False).status_code == 200


def test_it_is_small(config: Path) -> None:
    with serving(config) as process:
        address = f"http://127.0.0.1:{load(config).serve.port}"
        for path in ("/api/v1/health", "/openapi.json", "/", "/static/live.js"):
            httpx.get(address + path, trust_env=False)
        assert process.resident < 80e6


def test_it_needs_no_numpy() -> None:
    asked = "import sys, drydown_api.serve; print('numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
