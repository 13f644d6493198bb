"""Numbers as people read them."""

from datetime import UTC

import pytest

from drydown.estimate.result import Spread
from drydown.texts import amounts


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        (amounts.celsius(333.15), "60 °C"),
        (amounts.celsius(272.85), "0 °C"),
        (amounts.celsius(268.15), "−5 °C"),
        (amounts.degrees_a_minute(0.025), "1.5 °C a minute"),
        (amounts.share(0.118), "12 %"),
        (amounts.share(0.0), "0 %"),
        (amounts.share(1.234), "120 %"),
        (amounts.methanol_content(0.00183), "0.18 %"),
        (amounts.methanol_content(0.00002), "less than 0.01 %"),
        (amounts.water_content(0.000468), "470 mg/kg"),
        (amounts.duration(44.6), "45 s"),
        (amounts.duration(719), "12 min"),
        (amounts.duration(14400), "4 h"),
        (amounts.duration(15000), "4 h 10 min"),
        (amounts.significant(0.0437, 1), "0.04"),
        (amounts.significant(0.009997, 3), "0.0100"),
        (amounts.significant(99.97, 3), "100"),
        (amounts.significant(float("nan"), 2), "0"),
    ],
)
def test_amounts(written: str, expected: str) -> None:
    assert written == expected


@pytest.mark.parametrize(
    ("hours", "expected"),
    [
        (3, "15:00"),
        (-11, "01:00"),
        (14, "02:00 tomorrow"),
        (-14, "22:00 yesterday"),
        (48, "12:00 on 3 January"),
    ],
)
def test_a_time_seen_from_now(hours: float, expected: str) -> None:
    noon = 1_767_268_800.0  # 1 January 2026, 12:00 UTC
    assert amounts.when(noon + hours * 3600.0, noon, UTC) == expected


def test_a_time_of_what_began_earlier() -> None:
    noon = 1_767_268_800.0  # 1 January 2026, 12:00 UTC
    assert amounts.moment(noon + 3 * 3600.0, noon, UTC) == "15:00"
    assert amounts.moment(noon + 14 * 3600.0, noon, UTC) == "02:00 on 2 January"


def test_a_range_names_its_unit_once() -> None:
    assert amounts.ranged(Spread(5.8, 4.1, 8.25), amounts.air_flow) == "6 m³/s (4 to 8 m³/s)"
    assert [amounts.air_flow_at_least(flow) for flow in (0.0, 0.041, 0.5, 1.2, 9.1)] == [
        "0 m³/s",
        "0.05 m³/s",
        "0.5 m³/s",
        "2 m³/s",
        "10 m³/s",
    ]
    assert amounts.ranged(Spread(600, 30, 7200), amounts.duration) == "10 min (30 s to 2 h)"
    assert amounts.ranged(Spread(0.0, 0.0, 2e-4), amounts.methanol_content) == (
        "less than 0.01 % (less than 0.01 % to 0.020 %)"
    )
