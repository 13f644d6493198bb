"""A batch's file adds up what was recorded between its filling and the next one's."""

from typing import Any

import pytest

from drydown.batches.batch import Batch, batch_of, spans
from drydown.logbook.entry import entry_of
from drydown.orders import order_of
from drydown.run.movement import LevelKind

START = 1_790_000_000.0
HOUR = 3600.0


def moved(after: float, kind: str, litres: float) -> dict[str, Any]:
    volume = {"median": litres / 1000, "low": litres * 0.9 / 1000, "high": litres * 1.1 / 1000}
    return {"kind": "level", "time": START + after, "level": kind, "volume": volume}


def entered(after: float, kind: str, **values: Any) -> dict[str, Any]:
    return {"kind": "command", "time": START + after} | (order_of(entry_of(kind, values, "Ash")) or {})


EVENING = [
    moved(0, "filling", 160),
    moved(HOUR, "drain", 6),
    entered(HOUR, "drained", seen="dark", volume=0.006),
    entered(30 * HOUR, "soap-test", value=40e-6, method="titration"),
    entered(31 * HOUR, "released"),
    moved(32 * HOUR, "draw", 60),
    moved(40 * HOUR, "draw", 50),
    entered(32 * HOUR, "sent", volume=0.06, to="the launch"),
]


def batch(power: float | None = 750.0) -> Batch:
    return batch_of(START, None, EVENING, 2 * HOUR, power)


def test_what_came_in_and_went_out() -> None:
    found = batch()
    assert found.volume(LevelKind.FILLING).median == pytest.approx(0.160)
    assert found.volume(LevelKind.DRAW).median == pytest.approx(0.110)
    assert found.volume(LevelKind.DRAW).high == pytest.approx(0.121)
    assert found.sent_volume == pytest.approx(0.06)
    assert found.unaccounted == pytest.approx(0.05)
    assert [one.seen for one in found.drained] == ["dark"]
    assert [one.kind for one in found.tests] == ["soap-test"]
    assert found.released == ((START + 31 * HOUR, "Ash"),)


def test_electricity_is_power_over_the_blowers_time() -> None:
    assert batch().energy == pytest.approx(1.5 * 3.6e6)  # 750 W for two hours: 1.5 kWh
    assert batch().cost(0.30) == pytest.approx(0.45)
    assert batch(None).cost(0.30) is None


def test_where_nothing_was_drawn_nothing_is_missing() -> None:
    assert batch_of(START, None, EVENING[:2], 0.0, None).unaccounted is None


def test_a_batch_lasts_until_the_next_one_begins() -> None:
    assert spans([1.0, 2.0, 5.0]) == [(1.0, 2.0), (2.0, 5.0), (5.0, None)]
    assert spans([]) == []
