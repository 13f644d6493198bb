"""From the configuration of a tank to its probes, ready to be read."""

import os
from dataclasses import dataclass, field
from pathlib import Path

from drydown.bus.recorded import RecordedError
from drydown.config import model
from drydown.errors import UserError
from drydown.probes.calibration import CalibrationError, scaling_of
from drydown.probes.gpio import PinProbe
from drydown.probes.mqtt_in import BoardProbe, Boards
from drydown.probes.probe import Probe
from drydown.probes.recorded import Player, RecordedProbe
from drydown.probes.simulated import LiveTank, SimulatedProbe, scenario_of
from drydown.probes.sysfs import HWMON, IIO, ChannelError, ChannelProbe, Family, Scaling
from drydown.probes.w1 import OneWire, OneWireProbe
from drydown.quantities import MEASURED


class UnfitProbeError(UserError):
    """A probe that can never work as it is configured; the text names its key and says what would do."""


def default_sysfs() -> Path:
    """/sys, or the tree that the environment variable DRYDOWN_SYSFS names: a copy to try things on."""
    return Path(os.environ.get("DRYDOWN_SYSFS", "/sys"))


@dataclass(slots=True)
class Attachments:
    """What probes hang on, shared by all tanks of a site.

    `sysfs` is the kernel's tree, `pins` a gpiozero pin factory (None: the board's own). `boards` wants to be
    told of messages from other boards (`Boards.receive`). `simulations` holds the simulated tank of a name,
    made when a probe first asks for it unless it has been put there before.
    """

    site: str
    sysfs: Path = field(default_factory=default_sysfs)
    pins: object | None = None
    boards: Boards = field(init=False)
    simulations: dict[str, LiveTank] = field(default_factory=dict)
    wire: OneWire = field(init=False)
    players: dict[tuple[Path, str], Player] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.boards = Boards(self.site)
        self.wire = OneWire(self.sysfs / "bus/w1/devices")


def find_probes(tank: model.Tank, attachments: Attachments) -> list[Probe]:
    """A probe for each of the tank's configured ones. None is read yet, so a missing one is no error here.

    Raises UnfitProbeError for a probe that can never work as configured.
    """
    return [_probe(tank, name, config, attachments) for name, config in tank.probes.items()]


def _probe(tank: model.Tank, name: str, config: model.Probe, attachments: Attachments) -> Probe:
    _check_kind(name, config)
    match config:
        case model.OneWireProbe():
            return OneWireProbe(name, config.w1, attachments.wire)
        case model.PinProbe():
            return PinProbe(name, config.gpio, config.active, config.bounce, attachments.pins)
        case model.IioProbe():
            return ChannelProbe(
                name, attachments.sysfs, IIO, config.iio, config.channel, _scaling(name, IIO, config)
            )
        case model.HwmonProbe():
            return ChannelProbe(
                name, attachments.sysfs, HWMON, config.hwmon, config.channel, _scaling(name, HWMON, config)
            )
        case model.BoardProbe():
            return BoardProbe(name, tank.name, config.mqtt, config.max_age, attachments.boards)
        case model.RecordedProbe():
            return RecordedProbe(name, _player(tank, name, config.recorded, attachments))
        case model.SimulatedProbe():
            return SimulatedProbe(name, _simulation(tank, name, attachments))


def _scaling(name: str, family: Family, config: model.IioProbe | model.HwmonProbe) -> Scaling:
    shunt = config.shunt if isinstance(config, model.IioProbe) else None
    if config.calibration is None:
        return Scaling(config.gain, config.zero, shunt)
    try:
        return scaling_of(name, family, config.channel, config.calibration, shunt)
    except CalibrationError as error:
        raise UnfitProbeError(f'probes."{name}": calibration: {error}') from error
    except ChannelError as error:
        raise UnfitProbeError(f'probes."{name}": {error}') from error


def _player(tank: model.Tank, name: str, path: Path, attachments: Attachments) -> Player:
    key = (path, tank.name)
    if key not in attachments.players:
        try:
            attachments.players[key] = Player(path, f"{attachments.site}/{tank.name}/")
        except RecordedError as error:
            raise UnfitProbeError(f'probes."{name}": {error}') from error
    return attachments.players[key]


def _simulation(tank: model.Tank, name: str, attachments: Attachments) -> LiveTank:
    if tank.name not in attachments.simulations:
        try:
            attachments.simulations[tank.name] = LiveTank(scenario_of(tank))
        except ValueError as error:
            raise UnfitProbeError(f'probes."{name}": {error}') from error
    return attachments.simulations[tank.name]


def _check_kind(name: str, config: model.Probe) -> None:
    quantity = MEASURED[name]
    if isinstance(config, model.PinProbe) and not quantity.is_boolean:
        raise UnfitProbeError(
            f'probes."{name}" is a number, which a pin cannot give: use w1, iio, hwmon or mqtt'
        )
    if isinstance(config, model.OneWireProbe) and quantity.unit != "Cel":
        raise UnfitProbeError(f'probes."{name}" is no temperature, which is all that w1 gives')
    if isinstance(config, model.IioProbe | model.HwmonProbe) and quantity.is_boolean:
        raise UnfitProbeError(f'probes."{name}" is yes or no, which a channel cannot say: use gpio or mqtt')
