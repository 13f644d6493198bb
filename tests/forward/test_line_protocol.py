"""Lines held against those of the client library (influxdb-client's Point), and what each kind carries."""

import json

from hypothesis import given
from hypothesis import strategies as st
from influxdb_client.client.write.point import Point
from influxdb_client.domain.write_precision import WritePrecision

from drydown.forward.line_protocol import Series, event_line, series_lines

TIME = 1_789_200_000_123
NAMES = st.text(st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]), min_size=1, max_size=20)
NUMBERS = st.floats(allow_nan=False, allow_infinity=False)


def lines(name: str, *rows: object, unit: str | None = "Cel", is_sure: bool = True) -> list[str]:
    return list(series_lines(Series("boathouse", "heron", name, unit), rows, is_sure=is_sure))  # type: ignore[arg-type]


def librarys(measurement: str, tags: dict[str, str], fields: dict[str, object], time: int) -> str:
    told = {"measurement": measurement, "tags": tags, "fields": fields, "time": time}
    point = Point.from_dict(told, WritePrecision.NS)  # type: ignore[arg-type]
    return str(point.to_line_protocol())


def number_apart(line: str) -> tuple[str, float, str]:
    """A line with its value read, as the library writes numbers otherwise (21 for 21.0)."""
    head, _, rest = line.rpartition("value=")
    value, _, time = rest.partition(" ")
    return head, float(value), time


@given(NAMES, NAMES, NUMBERS)
def test_a_reading_is_the_point_that_the_library_makes(tank: str, name: str, value: float) -> None:
    name = f"x/{name}"
    (line,) = series_lines(
        Series("boathouse", tank, name, "%RH"), [(TIME, value, None, None, None)], is_sure=True
    )
    tags = {"site": "boathouse", "tank": tank, "name": name, "unit": "%RH"}
    theirs = librarys("drydown_reading", tags, {"value": value}, TIME * 1_000_000)
    if name.endswith(("/low", "/high")):
        return
    assert number_apart(line) == number_apart(theirs)


@given(st.text(st.characters(exclude_characters="\n\r", exclude_categories=["Cs"]), max_size=40))
def test_text_is_the_field_that_the_library_makes(text: str) -> None:
    (line,) = lines("note", (TIME, None, text, None, None), unit=None)
    tags = {"site": "boathouse", "tank": "heron", "name": "note"}
    assert line == librarys("drydown_reading", tags, {"text": text}, TIME * 1_000_000)


def test_what_is_doubted_says_so_beside_its_value() -> None:
    (line,) = lines("fuel/level", (TIME, 0.5, None, 1, 'jumps, or\n"so"'), unit="m")
    assert line == (
        "drydown_reading,name=fuel/level,site=boathouse,tank=heron,unit=m "
        'value=0.5,quality=1.0,reason="jumps, or \\"so\\"" 1789200000123000000'
    )
    (line,) = lines("fuel/level", (TIME, None, None, 2, "no answer"), unit="m")
    assert ' quality=2.0,reason="no answer" ' in line
    assert lines("fuel/level", (TIME, None, None, None, None)) == []


def test_ends_of_a_range_are_fields_of_the_same_point() -> None:
    told = [
        lines(f"estimate/methanol{end}", (TIME, 0.25, None, None, None), unit="/")[0]
        for end in ("", "/low", "/high")
    ]
    points = {(line.split()[0], line.split()[2]) for line in told}
    assert points == {
        ("drydown_estimate,name=methanol,site=boathouse,tank=heron,unit=/", "1789200000123000000")
    }
    assert [line.split()[1] for line in told] == ["value=0.25", "low=0.25", "high=0.25"]


def test_what_a_clock_labelled_that_nobody_had_set_is_another_series() -> None:
    (line,) = lines("fuel/level", (TIME, 0.5, None, None, None), is_sure=False)
    assert line.startswith("drydown_reading,clock=unsure,name=fuel/level,")


def test_an_event_carries_its_body_and_what_it_is_about() -> None:
    told = {"kind": "alarm", "alarm": "fuel-hot", "change": "raised", "priority": "high", "message": 'a "b"'}
    body = json.dumps(told)
    line = event_line("boathouse", "heron", "alarm", TIME, "a", body, is_sure=True)
    tags = {name: told[name] for name in ("alarm", "change", "kind", "priority")}
    tags |= {"site": "boathouse", "tank": "heron"}
    time = int(line.rpartition(" ")[2])
    assert line.replace("happened=1.0,", "") == librarys("drydown_event", tags, {"body": body}, time)


def test_two_events_of_one_millisecond_are_two_points_and_each_stays_one() -> None:
    def times(key: str) -> str:
        return event_line("b", "heron", "notice", TIME, key, "{}", is_sure=True).rpartition(" ")[2]

    assert times("one") != times("two")
    assert times("one") == times("one")
    assert int(times("one")) // 1_000_000 == TIME
