"""Readings and estimates become records and come back as they were."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.bus.records import estimate_of, readings_of, records_of_estimate, records_of_reading
from drydown.bus.senml import Record, SenmlError
from drydown.bus.senml_json import decode, encode
from drydown.estimate.result import Estimate, Spread, Verdict
from drydown.quantities import DERIVED, MEASURED
from drydown.reading import Quality, Reading

BASE = "boathouse/heron/"
BOOT = 1789200000.0  # Unix time of the core's time 0


def to_unix(time: float) -> float:
    return time + BOOT


def to_core(time: float) -> float:
    return time - BOOT


def sent(readings: list[Reading]) -> list[Record]:
    """Over the wire and back, as another process would see them."""
    records = [
        Record(BASE + r.name, r.time, r.value, r.unit)
        for x in readings
        for r in records_of_reading(x, to_unix)
    ]
    return decode(encode(records, BASE), now=math.nan)


quantities = st.sampled_from(list((MEASURED | DERIVED).values()))
readings = quantities.flatmap(
    lambda quantity: st.builds(
        Reading,
        name=st.just(quantity.name),
        time=st.integers(0, 100_000).map(lambda eighths: eighths / 8),
        value=st.booleans() if quantity.is_boolean else st.floats(-1e6, 1e6),
        quality=st.sampled_from(Quality),
        reason=st.text("abc: é", max_size=20),
    )
)


@given(st.lists(readings, min_size=1, unique_by=lambda reading: (reading.name, reading.time)))
def test_readings_come_back_to_nine_digits(originals: list[Reading]) -> None:
    again = readings_of(sent(originals), BASE, to_core)
    assert [r.time for r in again] == sorted(r.time for r in again)
    found = {(r.name, r.time): r for r in again}
    assert len(found) == len(originals)
    for original in originals:
        reading = found[original.name, original.time]
        quantity = (MEASURED | DERIVED)[original.name]
        assert original.value is not None
        size = max(abs(original.value), abs(quantity.offset), 1e-9)
        assert reading.value == pytest.approx(original.value, abs=1e-8 * size)
        assert isinstance(reading.value, bool) == quantity.is_boolean
        assert reading.quality is original.quality
        assert reading.reason == ("" if original.quality is Quality.GOOD else original.reason)


@pytest.mark.parametrize("value", [None, math.nan, math.inf])
def test_a_reading_without_a_value_keeps_its_reason(value: float | None) -> None:
    absent = Reading("fuel/level", 12.5, value, Quality.BAD, "no answer from the gauge: look at its plug")
    assert readings_of(sent([absent]), BASE, to_core) == [
        Reading("fuel/level", 12.5, None, Quality.BAD, "no answer from the gauge: look at its plug")
    ]


def test_units_on_the_wire_are_those_of_the_design() -> None:
    readings = [
        Reading("fuel/temperature", 0.0, 306.4625),
        Reading("air/humidity", 0.0, 0.671),
        Reading("blower/running", 0.0, True),
        Reading("vapour/methanol", 0.0, 0.0002),
    ]
    assert [(r.name, r.value, r.unit) for r in sent(readings)] == [
        ("boathouse/heron/fuel/temperature", 33.3125, "Cel"),
        ("boathouse/heron/air/humidity", 67.1, "%RH"),
        ("boathouse/heron/blower/running", True, None),
        ("boathouse/heron/vapour/methanol", 0.0002, "/"),
    ]


def test_what_is_not_the_tanks_is_passed_over() -> None:
    records = [
        Record("boathouse/plover/fuel/level", BOOT, 0.5, "m"),
        Record("fuel/level", BOOT, 0.5, "m"),
        Record(BASE + "batch", BOOT, 7.0),
        Record(BASE + "weather", BOOT, "rain"),
        Record(BASE + "fuel/level", BOOT, 0.25, "m"),
    ]
    assert readings_of(records, BASE, to_core) == [Reading("fuel/level", 0.0, 0.25)]


@pytest.mark.parametrize(
    ("record", "told"),
    [
        (Record(BASE + "fuel/temperature", BOOT, 306.4, "K"), "u is 'K'; allowed is 'Cel'"),
        (Record(BASE + "fuel/temperature", BOOT, 33.3), "u is null; allowed is 'Cel'"),
        (Record(BASE + "fuel/temperature", BOOT, True, "Cel"), "its value is true; allowed is v, a number"),
        (Record(BASE + "fuel/temperature", BOOT, "33", "Cel"), "its value is '33'; allowed is v, a number"),
        (Record(BASE + "blower/running", BOOT, 1.0), "its value is 1.0; allowed is vb, true or false"),
        (Record(BASE + "fuel/level/quality", BOOT, "fine: x"), "vs begins with 'fine'; allowed are good, "),
    ],
)
def test_a_wrong_unit_or_kind_names_the_record_and_what_is_allowed(record: Record, told: str) -> None:
    with pytest.raises(SenmlError) as error:
        readings_of([record], BASE, to_core)
    assert str(error.value).startswith(f"{record.name} at 1789200000.000: ")
    assert told in str(error.value)


numbers = st.floats(1e-9, 1.0).map(lambda value: float(f"{value:.9g}"))
moments = st.integers(0, 1_000_000).map(lambda eighths: eighths / 8)
estimates = st.builds(
    Estimate,
    time=moments,
    run_time=moments,
    methanol=st.none() | st.builds(Spread, numbers, numbers, numbers),
    water=st.none() | st.builds(Spread, numbers, numbers, numbers),
    water_floor=st.none() | st.builds(Spread, numbers, numbers, numbers),
    emission=st.none() | st.builds(Spread, numbers, numbers, numbers),
    methanol_done_at=st.none() | st.builds(Spread, moments, moments, moments),
    dry_at=st.none() | st.builds(Spread, moments, moments, moments),
    methanol_done=st.booleans(),
    verdict=st.sampled_from(Verdict),
)


@given(estimates)
def test_an_estimate_comes_back_as_it_was(belief: Estimate) -> None:
    records = decode(encode(records_of_estimate(belief, to_unix)), now=math.nan)
    assert estimate_of(records, "", to_core) == belief


def test_an_estimate_is_named_as_the_design_says() -> None:
    spread = Spread(0.004, 0.002, 0.009)
    when = Spread(3600.0, 3000.0, 5000.0)
    belief = Estimate(60.0, 60.0, spread, None, None, spread, when, None, False, Verdict.DRYING)
    assert [(r.name, r.value, r.unit) for r in records_of_estimate(belief, to_unix)] == [
        ("estimate/verdict", "drying", None),
        ("estimate/methanol_done", False, None),
        ("estimate/run_time", 60.0, "s"),
        ("estimate/methanol", 0.004, "/"),
        ("estimate/methanol/low", 0.002, "/"),
        ("estimate/methanol/high", 0.009, "/"),
        ("estimate/emission", 0.004, None),
        ("estimate/emission/low", 0.002, None),
        ("estimate/emission/high", 0.009, None),
        ("estimate/methanol_done_at", BOOT + 3600, "s"),
        ("estimate/methanol_done_at/low", BOOT + 3000, "s"),
        ("estimate/methanol_done_at/high", BOOT + 5000, "s"),
    ]


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"estimate/verdict": None}, "estimate/verdict is null; allowed are unknown, drying, dry, "),
        ({"estimate/verdict": "done"}, "estimate/verdict is 'done'; allowed are unknown, drying, dry, "),
        ({"estimate/run_time": None}, "estimate/run_time is missing"),
        ({"estimate/methanol/low": None}, "estimate/methanol/low is missing"),
        ({"estimate/methanol/high": "much"}, "estimate/methanol/high at 1789200060.000: allowed is a number"),
    ],
)
def test_half_an_estimate_is_refused(changed: dict[str, str | None], told: str) -> None:
    spread = Spread(0.004, 0.002, 0.009)
    belief = Estimate(60.0, 60.0, spread, None, None, None, None, None, False, Verdict.DRYING)
    records = {r.name: r for r in records_of_estimate(belief, to_unix)}
    for name, value in changed.items():
        records[name] = Record(name, BOOT + 60, value)
    kept = [record for record in records.values() if record.value is not None]
    with pytest.raises(SenmlError, match=told):
        estimate_of(kept, "", to_core)
