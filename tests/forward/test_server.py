"""What a server answers becomes one of three failures, each with a sentence for a person; TLS is for real."""

from pathlib import Path

import pytest

from drydown.check.forward import forward_findings
from drydown.config.load import ConfigError, load
from drydown.config.services import Forward
from drydown.forward.progress import refused_path
from drydown.forward.server import AwayError, RefusedError, RejectedError, Server
from drydown.forward.service import delay
from support.broker import free_port, until
from support.forwarding import START, Shed, forwarding, row
from support.gate import Gate, own_certificate
from support.victoria import Victoria

LINE = "drydown_reading,name=x value=1.0 1789200000000000000"
NOWHERE = "http://127.0.0.1:1"


def forward(folder: Path, url: str, ca_file: Path | None = None) -> Forward:
    (folder / "token").write_text("secret")
    return Forward(url=url, org="co-op", bucket="fuel", token_file=folder / "token", ca_file=ca_file)


@pytest.mark.parametrize(
    ("status", "kind", "says"),
    [
        (400, RejectedError, "its words"),
        (413, RejectedError, "its words"),
        (422, RejectedError, "its words"),
        (401, RefusedError, "refuses the token"),
        (403, RefusedError, "refuses the token"),
        (404, RefusedError, "knows no bucket fuel of co-op"),
        (302, RefusedError, "answers 302"),
        (405, RefusedError, "must name a server with the InfluxDB v2 write interface"),
        (429, AwayError, "takes nothing just now"),
        (500, AwayError, "takes nothing just now"),
        (503, AwayError, "takes nothing just now"),
    ],
)
def test_each_answer_is_one_kind_of_failure(
    tmp_path: Path, status: int, kind: type[Exception], says: str
) -> None:
    with Gate(NOWHERE) as gate:
        gate.judge = lambda _body, _token: (status, '{"message": "its\\nwords"}')
        server = Server(forward(tmp_path, gate.url))
        with pytest.raises(kind, match=says) as found:
            server.write([LINE])
        server.close()
    assert type(found.value) is kind
    assert "its words" in str(found.value)
    assert "secret" not in str(found.value)


def test_one_that_is_not_there_is_away(tmp_path: Path) -> None:
    server = Server(forward(tmp_path, f"http://127.0.0.1:{free_port()}"))
    with pytest.raises(AwayError, match=r"can't be reached \(Failed .*refused\): check that it runs"):
        server.write([LINE])


def test_a_certificate_that_nobody_signed_is_not_trusted_until_it_is_named(
    tmp_path: Path, server: Victoria
) -> None:
    certificate = own_certificate(tmp_path)
    with Gate(server.url, certificate) as gate:
        with pytest.raises(RefusedError, match=r"self-signed certificate.*as ca_file under") as found:
            Server(forward(tmp_path, gate.url)).write([LINE])
        assert gate.bodies == []
        assert "\n" not in str(found.value)
        Server(forward(tmp_path, gate.url, certificate)).write([LINE])
        with pytest.raises(RefusedError, match="can't be trusted"):
            elsewhere = gate.url.replace("127.0.0.1", "localhost")
            Server(forward(tmp_path, elsewhere, certificate)).write([LINE])
    assert server.series("drydown_reading_value") == [(START, 1.0)]


def test_a_plain_server_behind_https_is_told_in_a_sentence(tmp_path: Path) -> None:
    with Gate(NOWHERE) as gate, pytest.raises(RefusedError, match="can't be trusted"):
        Server(forward(tmp_path, gate.url.replace("http:", "https:"))).write([LINE])


def test_files_that_do_not_hold_what_they_should(tmp_path: Path) -> None:
    bad = tmp_path / "bad.pem"
    bad.write_text("no certificate")
    with pytest.raises(RefusedError, match=r"\[forward\] ca_file .*bad.pem can't be used"):
        Server(forward(tmp_path, NOWHERE, bad))
    given = forward(tmp_path, NOWHERE)
    given.token_file.write_text("two\nlines")
    with pytest.raises(RefusedError, match="must hold the token alone"):
        Server(given)
    given.token_file.unlink()
    with pytest.raises(RefusedError, match=r"token_file .* can't be read"):
        Server(given)


def test_an_address_that_is_none_is_refused_with_the_configuration(tmp_path: Path) -> None:
    shed = Shed(tmp_path, "http://127.0.0.1:1")
    shed.config.write_text(shed.config.read_text().replace("http://127.0.0.1:1", "harbour.local:8086"))
    with pytest.raises(ConfigError, match="where the server is, like"):
        load(shed.config)


def test_waits_grow_to_a_limit_and_differ() -> None:
    waits = [[delay(attempt, 1.0, 300.0) for _ in range(50)] for attempt in range(2000)]
    for attempt, some in enumerate(waits):
        longest = min(2.0 ** min(attempt, 30), 300.0)
        assert longest / 2 <= min(some) <= max(some) <= longest
    assert len(set(waits[5])) > 40


@pytest.mark.usefixtures("hasty")
def test_check_says_what_to_mend_and_how_far_it_has_come(tmp_path: Path, server: Victoria) -> None:
    with Gate(server.url) as gate:
        shed = Shed(tmp_path, gate.url)
        shed.writer.list_arrivals()
        shed.record([row("fuel/temperature", START, 20.5)])
        (found,) = forward_findings(shed.site)
        assert (found.works, gate.bodies) == (True, ["# drydown check"])
        assert "Nothing was sent there yet" in found.message
        with forwarding(shed.site):
            until(lambda: server.series("drydown_reading_value"))
        (found,) = forward_findings(shed.site)
        assert "has sent what was before 2026-09-12" in found.message
        gate.judge = lambda _body, _token: (400, "no points")  # as servers do that want one at least
        assert [one.works for one in forward_findings(shed.site)] == [True]
        gate.judge = lambda _body, _token: (401, "unauthorized")
        refused_path(shed.site.folder).write_text("# bad\nline\n")
        found, aside = forward_findings(shed.site)
        assert (found.works, aside.works) == (False, False)
        assert "refuses the token" in found.message
        assert "forward-refused.txt" in aside.message
    (found, _) = forward_findings(shed.site)
    assert (found.works, "can't be reached" in found.message) == (False, True)
