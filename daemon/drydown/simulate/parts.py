"""What a simulated tank is made of, what changes in it, and what the world does to it, in SI units."""

from dataclasses import dataclass

from drydown.simulate.fuel import Fuel
from drydown.simulate.vessel import Vessel


@dataclass(frozen=True, slots=True)
class Blower:
    """What the blower really gives: flow at its intake, warming, cooling, and what the hose loses."""

    flow: float = 0.015  # m³/s at the room's temperature and pressure
    rise: float = 10.0  # K, of the discharge above the room, once warm
    warm_up: float = 600.0  # s
    cool_down: float = 1500.0  # s
    hose_loss: float = 0.05  # share of the rise lost on the way to the fuel
    motor_rise: float = 40.0  # K
    motor_time: float = 1400.0  # s


@dataclass(frozen=True, slots=True)
class Transfer:
    """Transfer units of a bubble at the blower's flow and `depth` m of fuel; approach = 1 − exp(−units)."""

    methanol: float = 2.5
    water: float = 3.0
    heat: float = 4.0
    flow_exponent: float = -0.3
    depth: float = 0.7


@dataclass(frozen=True, slots=True)
class Heat:
    """Where heat goes: conductances in W/K, capacities in J/K."""

    direct: float = 3.0  # fuel to room
    fuel_to_wall: float = 30.0
    wall_to_room: float = 4.0
    wall_capacity: float = 8000.0
    gas_to_lid: float = 4.0  # off-gas to the wall above the fuel, while it bubbles
    lid_to_room: float = 1.5
    wall_to_lid: float = 1.0
    lid_capacity: float = 5000.0


@dataclass(frozen=True, slots=True)
class TankTruth:
    """All that stays the same of one tank."""

    vessel: Vessel
    fuel: Fuel
    blower: Blower = Blower()
    transfer: Transfer = Transfer()
    heat: Heat = Heat()
    condensing: float = 0.0005  # m³/s, vapour exchange of the off-gas with the lid
    leak: float = 5e-7  # kg/s a unit of mole fraction: vapour that escapes while the blower rests
    mixing_time: float = 40.0  # s, in which bubbles undo the layers
    layering: float = -0.03  # share of (fuel − room) by which the probe's layer differs after long rest
    layering_time: float = 9000.0  # s
    hold_up: float = 1.0  # against the correlation


@dataclass(frozen=True, slots=True)
class Ledger:
    """What has passed the boundary of tank and walls since the start: kg of vapour, J of heat."""

    methanol: float = 0.0
    water: float = 0.0
    carried: float = 0.0  # by vapour, counted from liquids at 25 °C
    supplied: float = 0.0  # by air, heater and condensing vapour
    lost: float = 0.0  # to the room


@dataclass(frozen=True, slots=True)
class TankState:
    """What changes: masses in kg, temperatures in K. `layer` is the probe's layer minus the mean, K."""

    esters: float
    methanol: float
    water: float
    temperature: float
    wall: float
    lid: float
    discharge_rise: float = 0.0
    motor_rise: float = 0.0
    layer: float = 0.0
    ledger: Ledger = Ledger()


@dataclass(frozen=True, slots=True)
class Inputs:
    """The world for one step: blower, air, and what people do to the tank."""

    blower_running: bool
    room_temperature: float  # K
    room_humidity: float  # fraction of saturation
    pressure: float = 101325.0  # Pa
    flow_factor: float = 1.0  # surges, a clogged filter, a squeezed hose
    heater: float = 0.0  # W into the fuel
    drawing: float = 0.0  # m³/s out of the tank
    fresh_air: float = 0.5  # m³/s through the room
    vent_open: bool = True


@dataclass(frozen=True, slots=True)
class Truth:
    """What nobody can see: the state in the terms of an estimate."""

    methanol: float  # mass fraction
    water: float  # mass fraction, dissolved and free
    fuel_temperature: float  # K
    probe_layer_temperature: float  # K
    emission: float  # kg/s of methanol into the room
    offgas_mole_fraction: float
    water_equilibrium: float  # mass fraction that the room's air would leave at last
    volume: float  # m³ of fuel without gas
    level: float  # m, with the gas that it holds
    gas_hold_up: float  # fraction of the swollen volume
    air_flow: float  # m³/s
    discharge_temperature: float  # K
    motor_temperature: float  # K
