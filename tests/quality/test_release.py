"""A release says what was measured, what was only worked out and what nobody looked at; never more."""

from typing import Any

import pytest

from drydown.config.model import Fuel
from drydown.estimate.result import Spread
from drydown.logbook.kinds import KINDS, Choice, Number
from drydown.quality.kinds import TESTS, limits_of
from drydown.quality.release import Estimated, release
from drydown.quality.results import Result, latest, results_of

LIMITS = limits_of(Fuel(feedstock="used-cooking-oil"))
DRY = (Estimated("methanol", Spread(0.001, 0.0005, 0.0015)), Estimated("water", Spread(3e-4, 2e-4, 4e-4)))
NOW = 1_790_000_000.0


def entered(kind: str, time: float = NOW, **values: Any) -> dict[str, Any]:
    return {
        "kind": "command",
        "time": time,
        "command": "entry",
        "entry": kind,
        "values": values,
        "who": "Ash",
    }


def bench(quantity: str, value: float, **more: Any) -> dict[str, Any]:
    told = {"kind": "command", "time": NOW, "command": "bench-test", "quantity": quantity}
    return told | {"value": value, "sigma": value / 10, "who": "Wren"} | more


ALL_WELL = [
    entered("appearance-test", result="bright"),
    entered("solubility-test", result="clear"),
    entered("soap-test", value=40e-6, method="titration"),
    bench("water", 0.0004, method="karl-fischer"),
]


def test_every_kind_but_the_contents_is_a_kind_of_the_logbook() -> None:
    entries = {kind for kind in TESTS if not TESTS[kind].feeds}
    assert entries == {kind for kind in KINDS if kind.endswith("-test")}
    for kind in entries:
        result = KINDS[kind].get("result")
        if isinstance(result, Choice):
            assert set(TESTS[kind].good) <= set(result.allowed)
        else:
            value, limit = KINDS[kind]["value"], TESTS[kind].limit
            assert isinstance(value, Number)
            assert limit is None or limit.unit == value.unit


def test_nothing_tested_means_nothing_measured() -> None:
    found = release((), DRY, LIMITS)
    assert not found.is_clear
    assert found.measured == ()
    assert found.estimated == DRY
    assert found.missing == ("appearance-test", "water", "solubility-test", "soap-test")
    assert "methanol" not in found.unlooked
    assert "flash-point-test" in found.unlooked


def test_all_that_is_due_and_well_is_clear() -> None:
    found = release(results_of(ALL_WELL), DRY, LIMITS)
    assert found.is_clear
    assert [one.kind for one in found.estimated] == ["methanol"]


def test_a_measured_content_stands_before_an_estimated_one() -> None:
    found = release(results_of([*ALL_WELL, bench("methanol", 0.004)]), DRY, LIMITS)
    assert found.against == ("methanol",)
    assert found.estimated == ()


@pytest.mark.parametrize(
    "bad",
    [
        entered("appearance-test", result="hazy"),
        entered("solubility-test", result="drops"),
        entered("soap-test", value=200e-6),
        entered("flash-point-test", value=273.15 + 90),
        entered("ph-test", value=9.5),
        bench("water", 0.0007),
    ],
)
def test_each_bad_result_speaks_against_it(bad: dict[str, Any]) -> None:
    found = release(results_of([*ALL_WELL, bad]), DRY, LIMITS)
    assert found.against == (bad.get("entry") or bad["quantity"],)


def test_a_limit_within_the_estimates_range_is_not_spoken_against() -> None:
    either = Estimated("methanol", Spread(0.002, 0.001, 0.004))
    assert either.is_within(LIMITS) is None
    assert release((), (either,), LIMITS).against == ()
    above = Estimated("methanol", Spread(0.004, 0.003, 0.006))
    assert release((), (above,), LIMITS).against == ("methanol",)


def test_results_stand_in_the_order_in_which_samples_were_taken() -> None:
    late = entered("soap-test", value=40e-6, method="titration")
    early = entered("soap-test", time=NOW + 60, value=90e-6, method="titration", ago=7200)
    first, second = results_of([late, early])
    assert (first.value, second.value) == (90e-6, 40e-6)
    assert latest((first, second))["soap-test"].value == 40e-6
    assert second.sigma == pytest.approx(5e-6)


def test_own_limits_of_the_configuration_count() -> None:
    strict = limits_of(Fuel(feedstock="soy", water_limit=0.0003))
    assert release(results_of([bench("water", 0.0004)]), (), strict).against == ("water",)
    assert isinstance(results_of([bench("water", 0.0004)])[0], Result)
