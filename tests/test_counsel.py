"""Advice and plan through the core, whatever the probes say: finite, in their place, and never while dry."""

import json
from collections.abc import Iterator
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.core import Core
from drydown.effects import Estimated
from drydown.lines import effect_of, line_of
from drydown.reading import Reading
from support.boathouse import heron

REACH = {
    "fuel/temperature": (240.0, 345.0),
    "fuel/level": (0.0, 0.9),
    "air/temperature": (250.0, 325.0),
    "air/humidity": (0.0, 1.0),
    "blower/discharge_temperature": (260.0, 360.0),
}
OPTIONAL = ("air/temperature", "air/humidity", "blower/discharge_temperature")


def restless(seed: int, steps: int = 250) -> Iterator[tuple[float, list[Reading]]]:
    """Readings that wander, jump, come and go, with a blower that is switched at random; SI units."""
    dice, now, running = Random(seed), 0.0, False
    values = {name: dice.uniform(*ends) for name, ends in REACH.items()}
    fitted = {"fuel/temperature", "fuel/level", *dice.sample(OPTIONAL, dice.randrange(4))}
    for _ in range(steps):
        now += dice.choice((5.0, 10.0, 10.0, 30.0, 60.0, 300.0)) if dice.random() < 0.98 else 4000.0
        running ^= dice.random() < 0.02
        for name, (low, high) in REACH.items():
            pace = 0.05 if "temperature" in name else 0.002
            values[name] = min(max(values[name] + dice.gauss(0.0, pace), low), high)
            if dice.random() < 0.005:
                values[name] = dice.uniform(low, high)
        fitted ^= {dice.choice(OPTIONAL)} if dice.random() < 0.05 else set()
        told = [Reading(name, now, values[name]) for name in sorted(fitted)]
        yield now, [*told, Reading("blower/running", now, running)] if dice.random() < 0.98 else []


def estimates(seed: int) -> Iterator[tuple[Core, dict[str, Any]]]:
    core = Core(heron())
    for now, readings in restless(seed):
        for effect in core.step(now, readings, ()):
            if isinstance(effect, Estimated):
                yield core, line_of(effect, float)


@settings(max_examples=12)
@given(st.integers(0, 10**6))
def test_whatever_is_read_the_counsel_is_finite_and_in_its_place(seed: int) -> None:
    for core, line in estimates(seed):
        said = json.dumps(line, allow_nan=False)
        assert line_of(effect_of(json.loads(said), float), float) == json.loads(said)
        if core.scene.running:
            assert line["plan"] == []
        if line["verdict"] == "dry":
            assert line["advice"] == line["plan"] == []
        for advice in line["advice"]:
            if advice["kind"] == "warm-fuel":
                assert advice["temperature"] <= core.tank.limits.fuel_temperature - 5.0


def test_the_same_readings_give_the_same_counsel() -> None:
    first, second = ([json.dumps(line) for _, line in estimates(11)] for _ in range(2))
    assert first == second
    assert any('"plan": [{' in line for line in first)
