"""A pasted table: what is read, however it is written; what is refused, and where it says so."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.outlook.air import HOURS, Hour
from drydown.outlook.table import Line, TableError, air_of_table, read_table
from drydown.quantities import ZERO_CELSIUS

NOW = datetime(2026, 11, 26, 13, 40, tzinfo=UTC).timestamp()
TWO = datetime(2026, 11, 26, 14, tzinfo=UTC).timestamp()
MIDDAY = Hour(8.5 + ZERO_CELSIUS, 0.71), Hour(-0.5 + ZERO_CELSIUS, 0.8)


@pytest.mark.parametrize(
    "text",
    [
        "time,temperature,humidity\n2026-11-26 14:00,8.5,71\n2026-11-26 15:00,-0.5,80",
        "2026-11-26T14:00Z;8,5;71\r\n2026-11-26T15:00Z;\N{MINUS SIGN}0,5;80,0\r\n",
        "\ufeffZeit;°C;%\n26.11.2026 14:00;8,5 °C;71 %;\n\n26.11.2026 15:00;-0,5 °C;80 %;",
        "26.11.2026, 14:00\t8,5\t71\n26.11.2026, 15:00\t-0,5\t80",
        '14:00, "8,5", 71\n15:00, "-0,5", 80',
        "2026-11-26T15:00+01:00,8.5,71\n2026-11-26T16:00+01:00,-0.5,80",
    ],
)
def test_the_same_table_in_many_hands(text: str) -> None:
    first, second = read_table(text, NOW, UTC)
    assert (first.time, second.time) == (TWO, TWO + 3600.0)
    for line, air in zip((first, second), MIDDAY, strict=True):
        assert line.air == pytest.approx(air)


HEAD = "time,temp,rh\n2026-11-26 14:00,8.5,71\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "There is no table here"),
        (HEAD, "There is no table here"),
        (HEAD + "2026-11-26 15:00,8.5", "Line 3 has 2 columns; it needs three"),
        ("14:00,8,5,71\n", "Line 1 has 4 columns.*semicolons"),
        (
            HEAD + "2026-11-26 15:00,warm,71",
            r"Line 3, column 2 \(temperature\): “warm” is no number from −40",
        ),
        (HEAD + "2026-11-26 15:00,nan,71", "column 2"),
        (HEAD + "2026-11-26 15:00,61,71", "“61” is no number from −40 to 60 °C"),
        (
            HEAD + "2026-11-26 15:00,8,0.71",
            r"Line 3, column 3 \(humidity\): “0.71” is no number from 2 to 100 %",
        ),
        (HEAD + "soon,8,71", "Line 3, column 1 .*“soon” is no time"),
        (HEAD + "2026-11-26 25:00,8,71", "Line 3, column 1"),
        (HEAD + "31.02.2026 12:00,8,71", "Line 3, column 1"),
        (HEAD + "11/26/2026 15:00,8,71", "“11/26/2026 15:00” is no time such as"),
        (HEAD + "2026-11-26 14:00,8,71", "Line 3, column 1 .*not later than the line before"),
        (HEAD + "\n2026-11-26 17:30,8,71", "Line 4, column 1 .*more than 3 hours after the line before"),
        ("x14:00,8.5,71\n15:00,8.5,71", "Line 1, column 1"),
        ("time," * 9 + "\n14:00,8.5,71\n" + "z" * 300 + ",8,71", "“zzzzzzzzzzzzzzzzzzzzzzz…”"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(text: str, said: str) -> None:
    with pytest.raises(TableError, match=said):
        read_table(text, NOW, UTC)


@given(
    st.one_of(
        st.text(max_size=200),
        st.lists(st.lists(st.sampled_from(["14:00", "8.5", "71", "", '"', "-", "9" * 20, "0000-00-00 00:00",
                                           "9999-12-31 23:00", "0001-01-01 00:00", "\x00"]),
                          max_size=4).map(";".join), max_size=5).map("\n".join),
    )
)  # fmt: skip
def test_whatever_is_pasted_is_read_or_refused_in_a_sentence(text: str) -> None:
    try:
        lines = read_table(text, NOW, UTC)
        air_of_table(lines, NOW, UTC)
    except TableError as error:
        assert str(error).endswith((".", "”."))
        assert len(str(error)) < 300


hours = st.lists(st.tuples(st.integers(-400, 600), st.integers(20, 1000)), min_size=6, max_size=48)


@given(
    hours,
    st.sampled_from([",", ";", "\t"]),
    st.booleans(),
    st.sampled_from(["%Y-%m-%d %H:%M", "%d.%m.%Y %H:%M"]),
)
def test_what_is_written_is_read(
    told: list[tuple[int, int]], separator: str, comma: bool, style: str
) -> None:
    def number(tenths: int) -> str:
        text = f"{tenths / 10:.1f}"
        return text.replace(".", ",") if comma and separator != "," else text

    begin = datetime(2026, 11, 26, 14)
    text = "\n".join(
        separator.join(((begin + timedelta(hours=k)).strftime(style), number(warm), number(damp)))
        for k, (warm, damp) in enumerate(told)
    )
    lines = read_table(text, NOW, UTC)
    assert [line.time for line in lines] == [TWO + 3600.0 * k for k in range(len(told))]
    for line, (warm, damp) in zip(lines, told, strict=True):
        assert line.air == pytest.approx((warm / 10 + ZERO_CELSIUS, damp / 1000))
    found = air_of_table(lines, NOW, UTC)
    assert found.air.first == pytest.approx(1200.0)
    assert found.air.courses == (tuple(line.air for line in lines[:HOURS]),)


def test_hours_are_worked_out_between_three_hourly_lines() -> None:
    lines = [Line(TWO - 1800.0 + 3 * 3600.0 * k, Hour(280.0 + 3 * k, 0.9 - 0.03 * k)) for k in range(4)]
    found = air_of_table(lines, NOW, UTC)
    assert (found.first, found.last) == (TWO, TWO + 8 * 3600.0)
    assert found.air.courses[0][2] == pytest.approx((282.5, 0.875))


def test_a_table_of_another_day_is_refused() -> None:
    for start, said in ((TWO - 86_400.0, "ends too soon"), (TWO + 2 * 86_400.0, "begins more than a day")):
        lines = [Line(start + 3600.0 * k, MIDDAY[0]) for k in range(12)]
        with pytest.raises(TableError, match=said):
            air_of_table(lines, NOW, UTC)


def test_times_without_a_day_go_round_midnight_and_past_the_end_of_summer_time() -> None:
    """Berlin's clocks go back from 3:00 to 2:00 on 25 October 2026: EU Directive 2000/84/EC."""
    berlin = ZoneInfo("Europe/Berlin")
    now = datetime(2026, 10, 24, 22, 50, tzinfo=berlin).timestamp()
    clock = ("23:00", "0:00", "1:00", "2:00", "2:00", "3:00")
    lines = read_table("\n".join(f"{one},8,80" for one in clock), now, berlin)
    assert [line.time for line in lines] == [now + 600.0 + 3600.0 * k for k in range(6)]
