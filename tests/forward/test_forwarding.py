"""What is in the store comes to a real server whole and in order, whatever fails on the way."""

import itertools
import json
import signal
import subprocess
from pathlib import Path

import pytest

from drydown.bus.intake import Happening
from drydown.forward.progress import forward_trouble, progress_path, read_progress, refused_path
from drydown.forward.source import Source
from drydown.store.arrived import Row
from drydown.store.copy import back_up, restore
from support.broker import until
from support.forwarding import DAY, START, TOKEN, Shed, forwarding, row, stage, value_at
from support.gate import Answer, Gate, own_certificate
from support.processes import DRYDOWN, Running, running
from support.victoria import Victoria

METHANOL = {"name": "methanol", "site": "boathouse", "tank": "heron"}
FUEL = {"name": "fuel/temperature", "site": "boathouse", "tank": "heron"}


def has_come(server: Victoria, *moments: tuple[int, float]) -> bool:
    return set(moments) <= set(server.series("drydown_reading_value", **FUEL))


def test_three_days_come_in_order_through_a_restart_of_the_server_and_a_kill_of_the_sender(
    tmp_path: Path, server: Victoria
) -> None:
    with Gate(server.url) as gate:
        shed = Shed(tmp_path, gate.url)
        shed.writer.list_arrivals()
        told = shed.record_days(3)
        sender: list[Running] = []
        batches = itertools.count(1)

        def disturb(_body: str, token: str) -> Answer | None:
            assert token == f"Token {TOKEN}"
            number = next(batches)
            if number == 2:
                server.stop()
                server.start()
                return 503, "restarting"
            if number == 4:
                sender[0].signal(signal.SIGKILL)
            return None

        gate.judge = disturb
        with running("forward", "--config", shed.config, log=tmp_path / "first.log") as first:
            sender.append(first)
            assert first.wait(60) == -signal.SIGKILL
        with running("forward", "--config", shed.config, log=tmp_path / "second.log") as second:
            until(lambda: has_come(server, told[-1]), 60)
            second.check()
    assert server.series("drydown_reading_value", **FUEL) == told
    assert server.series("drydown_estimate_value", **METHANOL) == told
    assert server.series("drydown_estimate_low", **METHANOL) == told
    happened = server.series("drydown_event_happened", stage="bubbling")
    assert happened == [(START + hour * 3_600_000, 1.0) for hour in range(72)]
    assert all("bucket=fuel" in path and "org=co-op" in path for path in gate.paths)
    starts = [int(body.partition(" value=")[2].split()[1].partition("\n")[0]) for body in gate.bodies]
    begun = [at for at in range(len(starts)) if starts[at] // 1_000_000 == START]
    for some in (starts[: begun[-1]], starts[begun[-1] :]):
        assert some == sorted(some)
    assert read_progress(shed.site.folder) is not None


def listed(shed: Shed) -> list[Row]:
    source = Source(shed.site.store_path, "boathouse")
    rows = source.rows_after(0, 100)
    source.close()
    return rows


@pytest.mark.usefixtures("hasty")
def test_what_comes_later_late_or_judged_follows_and_what_was_sent_is_let_go(
    tmp_path: Path, server: Victoria
) -> None:
    shed = Shed(tmp_path, server.url)
    shed.writer.list_arrivals()
    shed.record([row("fuel/temperature", START + DAY, 20.5)])
    with forwarding(shed.site):
        until(lambda: has_come(server, (START + DAY, 20.5)))
        shed.record([row("fuel/temperature", START, 20.25)])  # from a watcher that was cut off
        until(lambda: has_come(server, (START, 20.25)))
        shed.judge("fuel/temperature", START, "no answer")
        bad = (START, 2.0)
        until(lambda: bad in server.series("drydown_reading_quality", **FUEL))
        shed.record([], [stage(START + 2 * DAY, "resting")])
        until(lambda: server.series("drydown_event_happened", stage="resting"))
    progress = read_progress(shed.site.folder)
    assert progress and progress.place
    assert (progress.place.row[1:], progress.place.ahead) == (("heron", START + 2 * DAY, START + 2 * DAY), ())
    before = len(listed(shed))
    shed.writer.forget_arrivals(progress.place.row)
    shed.writer.commit({})
    assert (before, listed(shed)) == (5, [progress.place.row])


@pytest.mark.usefixtures("hasty")
def test_switched_on_later_it_sends_what_is_there_already(tmp_path: Path, server: Victoria) -> None:
    shed = Shed(tmp_path, server.url)
    told = shed.record_days(0.25)
    with forwarding(shed.site) as service:
        until(lambda: "does not list yet" in service._told)
        shed.writer.list_arrivals()
        until(lambda: has_come(server, told[-1]))
    assert server.series("drydown_reading_value", **FUEL) == told


@pytest.mark.usefixtures("hasty")
def test_a_restored_copy_and_another_bucket_are_sent_from_the_beginning(
    tmp_path: Path, server: Victoria
) -> None:
    with Gate(server.url) as gate:
        shed = Shed(tmp_path, gate.url)
        shed.writer.list_arrivals()
        shed.record([row("fuel/temperature", START, 1.5)])
        back_up(shed.site.store_path, tmp_path / "copy")
        for time in range(5):
            shed.record([row("fuel/temperature", START + DAY + time, 2.5)])
        with forwarding(shed.site):
            until(lambda: has_come(server, (START + DAY + 4, 2.5)))
            shed.writer.close()
            restore(tmp_path / "copy", shed.site.store_path)
            again = Shed(tmp_path, gate.url)
            again.writer.list_arrivals()
            again.record([row("fuel/temperature", START + 2, 3.5)])
            until(lambda: has_come(server, (START + 2, 3.5)))
        gate.bodies.clear()
        other = Shed(tmp_path, gate.url, bucket="other")
        with forwarding(other.site):
            until(lambda: sum(body.count("fuel/temperature") for body in gate.bodies) == 2)
    assert all("bucket=other" in path for path in gate.paths[-len(gate.bodies) :])


@pytest.mark.usefixtures("hasty")
def test_bad_points_are_set_aside_and_everything_else_arrives(tmp_path: Path, server: Victoria) -> None:
    bad = (f"{value_at(START + 60_000 * minute)!r} " for minute in (7, 200))
    marks = [f"name=fuel/temperature,site=boathouse,tank=heron,unit=Cel value={value}" for value in bad]

    def judge(body: str, _token: str) -> Answer | None:
        if any(mark in body for mark in marks):
            return 400, json.dumps({"code": "invalid", "message": "that is no point of mine"})
        return None

    with Gate(server.url) as gate:
        gate.judge = judge
        shed = Shed(tmp_path, gate.url)
        shed.writer.list_arrivals()
        told = shed.record_days(0.25)
        with forwarding(shed.site):
            until(lambda: has_come(server, told[-1]))
            until(lambda: "refused points" in getattr(read_progress(shed.site.folder), "trouble", ""))
    left = [moment for at, moment in enumerate(told) if at not in (7, 200)]
    assert server.series("drydown_reading_value", **FUEL) == left
    assert server.series("drydown_estimate_value", **METHANOL) == told
    said = refused_path(shed.site.folder).read_text().splitlines()
    assert [any(mark in line for mark in marks) for line in said[1::2]] == [True, True]
    assert all("that is no point of mine" in line for line in said[0::2])


@pytest.mark.usefixtures("hasty")
def test_what_the_server_itself_refuses_holds_nothing_up(tmp_path: Path, server: Victoria) -> None:
    """It takes no line of more than 256 KiB (its option -influx.maxLineSize)."""
    shed = Shed(tmp_path, server.url)
    shed.writer.list_arrivals()
    long = Happening(0, 0, "note", START + 1, "heron/long", json.dumps({"text": "x" * 1_000_000}))
    shed.record([row("fuel/temperature", START + 2, 20.5)], [stage(START, "bubbling"), long])
    with forwarding(shed.site):
        until(lambda: refused_path(shed.site.folder).exists() and has_come(server, (START + 2, 20.5)))
        until(lambda: server.series("drydown_event_happened", stage="bubbling"))
    said, line = refused_path(shed.site.folder).read_text().splitlines()
    assert "too long line: more than 262144 bytes" in said
    assert line.startswith("drydown_event,kind=note,")


@pytest.mark.usefixtures("hasty")
def test_a_certificate_of_somebody_else_is_told_once_and_all_goes_on_when_it_is_mended(
    tmp_path: Path, server: Victoria, caplog: pytest.LogCaptureFixture
) -> None:
    theirs, others = (own_certificate(folder(tmp_path, name)) for name in ("theirs", "others"))
    with Gate(server.url, theirs) as gate:
        shed = Shed(tmp_path, gate.url, f'ca_file = "{others}"')
        shed.writer.list_arrivals()
        shed.record([row("fuel/temperature", START, 20.5)])
        with forwarding(shed.site) as service:
            until(lambda: service._attempts >= 3)
            until(lambda: "can't be trusted" in forward_trouble(shed.site.folder, shed.site.forward))
            assert forward_trouble(shed.site.folder, None) == ""
            elsewhere = Shed(tmp_path, gate.url, bucket="other").site
            assert forward_trouble(elsewhere.folder, elsewhere.forward) == ""
            assert gate.bodies == []
            others.write_bytes(theirs.read_bytes())
            until(lambda: has_come(server, (START, 20.5)))
    (warned,) = [one.getMessage() for one in caplog.records if one.levelname == "WARNING"]
    assert warned.startswith(f"{gate.url} can't be trusted (")
    assert warned.endswith("as ca_file under [forward], or mend url.")


def folder(place: Path, name: str) -> Path:
    (place / name).mkdir()
    return place / name


@pytest.mark.usefixtures("hasty")
def test_a_wrong_token_or_bucket_is_told_once_and_all_goes_on_when_it_is_mended(
    tmp_path: Path, server: Victoria, caplog: pytest.LogCaptureFixture
) -> None:
    def judge(_body: str, token: str) -> Answer | None:
        if token != "Token right":
            return 401, json.dumps({"code": "unauthorized", "message": "unauthorized access"})
        return (404, "bucket not found") if len(gate.bodies) < 6 else None

    with Gate(server.url) as gate:
        gate.judge = judge
        shed = Shed(tmp_path, gate.url)
        shed.writer.list_arrivals()
        shed.record([row("fuel/temperature", START, 20.5)])
        with forwarding(shed.site):
            until(lambda: len(gate.bodies) >= 3)
            until(lambda: "refuses the token" in getattr(read_progress(shed.site.folder), "trouble", ""))
            gate.bodies.clear()
            shed.token.write_text("right")
            until(lambda: has_come(server, (START, 20.5)))
            until(lambda: getattr(read_progress(shed.site.folder), "trouble", "?") == "")
    warned = [one.getMessage() for one in caplog.records if one.levelname == "WARNING"]
    assert warned[0] == (
        f"{gate.url} refuses the token in {shed.token} (unauthorized access): put one there that may write"
        " the bucket fuel."
    )
    assert "knows no bucket fuel of co-op" in warned[-1]
    assert len(warned) == 2
    assert TOKEN not in caplog.text


@pytest.mark.usefixtures("hasty")
def test_a_server_that_is_away_or_busy_is_tried_again(tmp_path: Path, server: Victoria) -> None:
    with Gate(server.url) as gate:
        gate.judge = lambda _body, _token: (429, "too much") if len(gate.bodies) < 4 else None
        shed = Shed(tmp_path, gate.url)
        shed.writer.list_arrivals()
        server.stop()
        shed.record([row("fuel/temperature", START, 20.5)])
        with forwarding(shed.site) as service:
            until(lambda: "takes nothing just now (too much)" in service._told)
            until(lambda: "the server beyond is away" in service._told)
            server.start()
            until(lambda: has_come(server, (START, 20.5)))


def test_without_a_server_in_the_configuration_there_is_nothing_to_do(tmp_path: Path) -> None:
    shed = Shed(tmp_path, "http://127.0.0.1:1")
    text = shed.config.read_text()
    shed.config.write_text(text[: text.index("[forward]")])
    done = subprocess.run([DRYDOWN, "forward", "--config", shed.config], capture_output=True, text=True)
    assert done.returncode == 2
    assert done.stderr.startswith("There is no [forward] in the configuration")
    assert not progress_path(shed.site.folder).exists()
