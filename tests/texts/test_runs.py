"""What runs are called."""

from datetime import UTC, datetime, timedelta, timezone

from drydown.texts.runs import names

EVENING = datetime(2026, 5, 14, 21, 30, tzinfo=UTC).timestamp()


def test_a_run_is_called_by_its_tank_and_day_and_the_second_is_counted() -> None:
    starts = [EVENING - 7200, EVENING, EVENING + 86400]
    first, second, other = names("heron", starts, UTC)
    assert first == "heron, 14 May 2026"
    assert second == "heron, 14 May 2026, second run"
    assert other == "heron, 15 May 2026"
    assert names("heron", starts[:1], UTC) == [first]


def test_the_day_is_that_of_the_place() -> None:
    assert names("heron", [EVENING], timezone(timedelta(hours=3))) == ["heron, 15 May 2026"]


def test_a_long_day_has_no_two_runs_of_one_name() -> None:
    found = names("heron", [EVENING + i for i in range(30)], UTC)
    assert len(set(found)) == 30
    assert found[9].endswith("tenth run")
    assert found[10].endswith("run 11")
