"""Quiet hours are local: through midnight, and through the nights on which the clocks change."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from drydown.config.services import Route
from drydown.notices.routes import is_quiet

ZURICH = ZoneInfo("Europe/Zurich")


def route(quiet: str | None) -> Route:
    return Route.model_validate({"name": "phone", "address": "json://x", "quiet": quiet})


@pytest.mark.parametrize(
    ("quiet", "local", "expected"),
    [
        ("22:00-07:00", "21:59", False),
        ("22:00-07:00", "22:00", True),
        ("22:00-07:00", "00:00", True),
        ("22:00-07:00", "06:59", True),
        ("22:00-07:00", "07:00", False),
        ("13:00-15:00", "12:59", False),
        ("13:00-15:00", "13:00", True),
        ("13:00-15:00", "15:00", False),
        ("00:00-00:00", "12:00", False),
        (None, "03:00", False),
    ],
)
def test_the_hours(quiet: str | None, local: str, expected: bool) -> None:
    assert is_quiet(route(quiet), datetime.fromisoformat(f"2026-11-25T{local}")) is expected


@pytest.mark.parametrize(
    ("utc", "expected"),
    [
        ("2026-07-01T20:00", True),  # 22:00 in summer
        ("2026-01-10T20:59", False),  # 21:59 in winter
        ("2026-01-10T21:00", True),
        # 2026-03-29, 01:00 UTC: 02:00 becomes 03:00 (tzdata, Europe/Zurich)
        ("2026-03-29T00:59", True),  # 01:59
        ("2026-03-29T01:00", True),  # 03:00
        ("2026-03-29T04:59", True),  # 06:59
        ("2026-03-29T05:00", False),  # 07:00
        # 2026-10-25, 01:00 UTC: 03:00 becomes 02:00
        ("2026-10-25T05:59", True),  # 06:59
        ("2026-10-25T06:00", False),  # 07:00
    ],
)
def test_the_nights_on_which_the_clocks_change(utc: str, expected: bool) -> None:
    local = datetime.fromisoformat(utc).replace(tzinfo=UTC).astimezone(ZURICH)
    assert is_quiet(route("22:00-07:00"), local) is expected


def test_an_hour_that_comes_twice_is_quiet_or_not_both_times() -> None:
    for utc in ("2026-10-25T00:30", "2026-10-25T01:30"):  # 02:30 both times
        local = datetime.fromisoformat(utc).replace(tzinfo=UTC).astimezone(ZURICH)
        assert is_quiet(route("02:00-03:00"), local)
