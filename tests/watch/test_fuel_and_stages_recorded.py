"""What comes and goes, and the stage that a person said, are recorded and outlive the watcher."""

from pathlib import Path
from typing import Any

import httpx
import pytest

from drydown.bus.local_client import ask
from drydown.store.read import StoreReader
from drydown.store.schema import StoreError
from support.broker import Mosquitto, until
from support.demo_place import demo_place
from support.watched_place import Place, place

pytestmark = pytest.mark.broker


def test_the_canister_of_the_demo_is_told_with_its_litres(tmp_path: Path) -> None:
    with demo_place(tmp_path) as boathouse:
        boathouse.play(310)
        with StoreReader(boathouse.site.store_path) as reader:

            def changes() -> list[dict[str, Any]]:
                return [event.body for event in reader.events("heron", 0, 1e12, ["level"])]

            until(changes, 20)
            (draw,) = changes()
        assert draw["level"] == "draw"
        told = draw["volume"]
        assert told["low"] <= 0.020 <= told["high"]  # what the simulated tank lets out, near 15 °C
        assert told["high"] - told["low"] < 0.004
        assert draw["time"] - draw["start"] == pytest.approx(300, abs=60)
        run = httpx.get(f"{boathouse.address}/api/v1/tanks/heron/runs").json()[0]
        assert run["moved"] == {"draw": told}
        assert run["run_time"] == pytest.approx((45 + 103) * 60, abs=60)


def test_a_stage_that_was_corrected_is_kept_through_a_restart(tmp_path: Path, broker: Mosquitto) -> None:
    with place(tmp_path, broker.port) as made, made.command("record"):
        with made.command("watch"):
            made.wait_for_readings()
            made.switch(False)
            order = {"command": "correct-stage", "stage": "ready", "who": "Wren"}
            until(lambda: made.state()["stage"] == "settling", 20)
            ask(made.site.socket_path, "command", tank="heron", command=order)
            assert made.state()["stage"] == "ready"
            until(lambda: _recorded(made) == ("ready", "Wren"), 20)
        with made.command("watch"):
            until(lambda: made.state().get("stage") == "ready", 20)
            made.switch(False)
            made.wait_for_readings()
            assert made.state()["stage"] == "ready"


def _recorded(made: Place) -> tuple[str, str] | None:
    """The last stage in the store, and who said so."""
    try:
        with StoreReader(made.site.store_path) as reader:
            events = reader.events("heron", 0, 1e12, ["stage"])
    except StoreError:
        return None
    return (events[-1].body["stage"], events[-1].body["by"]) if events else None
