"""A tank that is written down again, as for a run's archive, is the same tank when it is read."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.config.model import Tank
from support.boathouse import heron

LIMITS = ("fuel_temperature", "discharge_temperature", "motor_temperature")


@settings(max_examples=30)
@given(st.dictionaries(st.sampled_from(LIMITS), st.floats(40, 120).map(lambda celsius: round(celsius, 2))))
def test_limits_are_written_as_they_are_read(limits: dict[str, Any]) -> None:
    tank = heron(limits=limits)
    again = Tank.model_validate(tank.model_dump(mode="json", exclude_none=True, exclude_defaults=True))
    assert all(abs(getattr(again.limits, name) - getattr(tank.limits, name)) < 1e-6 for name in LIMITS)
