"""Every physics function takes arrays or scalars that broadcast, and gives finite numbers of their shape."""

import inspect
from collections.abc import Callable
from dataclasses import dataclass
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drydown.physics import bubbling, fuel, humid_air, methanol, room, settling, solution, vessel, water

MODULES = (bubbling, fuel, humid_air, methanol, room, settling, solution, vessel, water)
SCALAR_ONLY = {
    vessel.vertical_cylinder,
    vessel.cone_bottom,
    vessel.horizontal_cylinder,
    vessel.strapping_table,
    vessel.of_shape,
}

RANGES = {  # by the name of the argument, SI
    "temperature": (253.15, 363.15),
    "flow_temperature": (253.15, 323.15),
    "intake_temperature": (253.15, 323.15),
    "pressure": (85e3, 110e3),
    "intake_pressure": (85e3, 103e3),
    "discharge_pressure": (103e3, 120e3),
    "vapour_pressure": (100.0, 20e3),
    "partial_pressure": (100.0, 20e3),
    "mole_fraction": (0.0, 0.9),
    "off_gas_mole_fraction": (0.0, 0.9),
    "mass_fraction": (0.0, 0.2),
    "concentration": (1e-6, 1.0),
    "x": (0.0, 1.0),
    "mixing": (-0.5, 1.5),
    "line": (0.0, 1.0),
    "exponent": (0.9, 1.15),
    "approach": (0.5, 1.0),
    "humidity": (0.01, 1.0),
    "humidity_ratio": (0.0, 0.1),
    "density": (840.0, 900.0),
    "standard_density": (860.0, 900.0),
    "ester_molar_mass": (0.27, 0.30),
    "kinematic_at_40": (3.5e-6, 6e-6),
    "at_reference": (1900.0, 2100.0),
    "flow": (0.001, 0.1),
    "area": (0.05, 1.0),
    "superficial_velocity": (0.0, 0.3),
    "holdup": (0.0, 0.4),
    "efficiency": (0.2, 1.0),
    "fuel_volume": (0.01, 1.0),
    "partition": (0.003, 0.1),
    "methanol_lost": (0.0, 0.1),
    "heat_of_desorption": (0.8e6, 1.3e6),
    "heat_capacity": (1900.0, 2200.0),
    "start": (1e-6, 1e-2),
    "end": (1e-6, 1e-2),
    "time": (1.0, 1e5),
    "decay_time": (100.0, 1e5),
    "decay": (0.0, 1e-2),
    "fresh_air": (0.0, 10.0),
    "effective_air": (0.01, 10.0),
    "mixing_factor": (1.0, 10.0),
    "emission": (0.0, 5e-3),
    "volume": (10.0, 1000.0),
    "diameter": (1e-6, 3e-4),
    "density_difference": (10.0, 400.0),
    "viscosity": (1e-3, 2e-2),
    "velocity": (-1e-2, 1e-2),
    "height": (0.01, 2.0),
    "level": (0.0, 2.0),
    "flight_time": (1e-4, 1e-2),
}


@dataclass(frozen=True)
class Case:
    function: Callable[..., Any]
    arguments: tuple[str, ...]


def functions_of(module: ModuleType) -> list[Case]:
    return [
        Case(function, tuple(inspect.signature(function).parameters))
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_") and function not in SCALAR_ONLY
    ]


EVERY = [case for module in MODULES for case in functions_of(module)]
CASES = [
    pytest.param(case, id=f"{case.function.__module__.rsplit('.', 1)[1]}.{case.function.__name__}")
    for case in EVERY
]


def test_the_list_is_whole() -> None:
    assert len(CASES) >= 50
    assert {argument for case in EVERY for argument in case.arguments} == set(RANGES)


@pytest.mark.parametrize("case", CASES)
@settings(max_examples=10)
@given(seed=st.integers(0, 2**32 - 1), rows=st.integers(1, 4))
def test_arrays_scalars_and_broadcasting_agree(case: Case, seed: int, rows: int) -> None:
    random = np.random.default_rng(seed)
    columns = random.integers(1, 5)
    values = [random.uniform(*RANGES[argument], size=(rows, columns)) for argument in case.arguments]
    whole = np.asarray(case.function(*values))
    assert whole.shape == (rows, columns)
    assert np.isfinite(whole).all()
    alone = case.function(*(float(value[-1, 0]) for value in values))
    assert np.shape(alone) == ()
    assert isinstance(float(alone), float)
    assert alone == pytest.approx(whole[-1, 0], rel=1e-9, abs=1e-12)
    last_varies = case.function(*(float(value[0, 0]) for value in values[:-1]), values[-1])
    first_row = case.function(*(np.full((rows, columns), value[0, 0]) for value in values[:-1]), values[-1])
    assert np.shape(last_varies) == (rows, columns)
    assert np.asarray(last_varies) == pytest.approx(np.asarray(first_row), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("case", CASES)
def test_arguments_are_left_as_they_were(case: Case) -> None:
    random = np.random.default_rng(7)
    values = [random.uniform(*RANGES[argument], size=5) for argument in case.arguments]
    for value in values:
        value.flags.writeable = False
    before = [value.copy() for value in values]
    case.function(*values)
    assert all((value == old).all() for value, old in zip(values, before, strict=True))


DEFAULTS = {
    "decay": 0.0,  # an emission that lasts
    "mixing": 0.5,  # the middle of both models
    "line": 0.5,  # the middle of both saturation lines
    "exponent": 1.0,  # content in proportion to humidity
    "approach": 1.0,  # gas leaves saturated
    "pressure": 101325.0,  # ISO 2533
    "vapour_pressure": 0.0,  # dry air
    "ester_molar_mass": 0.29649,  # methyl oleate
    "standard_density": 880.0,  # typical of methyl esters, from memory
    "kinematic_at_40": 4.5e-6,  # likewise
    "at_reference": 2000.0,  # likewise
}


def test_an_argument_left_out_means_the_same_everywhere() -> None:
    found = {
        (name, parameter.default)
        for case in EVERY
        for name, parameter in inspect.signature(case.function).parameters.items()
        if parameter.default is not inspect.Parameter.empty
    }
    assert found == set(DEFAULTS.items())
