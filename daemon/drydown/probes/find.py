"""From the configuration of a tank to its probes, ready to be read."""

import os
from dataclasses import dataclass, field
from pathlib import Path

from drydown.config import model
from drydown.probes.gpio import PinProbe
from drydown.probes.probe import Probe
from drydown.probes.sysfs import HWMON, IIO, ChannelProbe, Scaling
from drydown.probes.w1 import Bus, OneWireProbe, bus_folder
from drydown.quantities import MEASURED


class UnfitProbeError(Exception):
    """A probe that can never work as it is configured; the text names its key and says what would do."""


def default_sysfs() -> Path:
    """/sys, or the tree that the environment variable DRYDOWN_SYSFS names: a copy to try things on."""
    return Path(os.environ.get("DRYDOWN_SYSFS", "/sys"))


@dataclass(slots=True)
class Attachments:
    """What probes hang on, shared by all tanks of a site.

    `sysfs` is the kernel's tree, `pins` a gpiozero pin factory (None: the board's own).
    """

    sysfs: Path = field(default_factory=default_sysfs)
    pins: object | None = None
    buses: dict[Path, Bus] = field(default_factory=dict)


def find_probes(tank: model.Tank, attachments: Attachments) -> list[Probe]:
    """A probe for each of the tank's configured ones. None is read yet, so a missing one is no error here.

    Raises UnfitProbeError for a probe that can never work as configured.
    """
    return [_probe(name, config, attachments) for name, config in tank.probes.items()]


def _probe(name: str, config: model.Probe, attachments: Attachments) -> Probe:
    _check_kind(name, config)
    match config:
        case model.OneWireProbe():
            devices = attachments.sysfs / "bus/w1/devices"
            folder = bus_folder(devices, config.w1)
            return OneWireProbe(name, config.w1, devices, attachments.buses.setdefault(folder, Bus(folder)))
        case model.PinProbe():
            return PinProbe(name, config.gpio, config.active, config.bounce, attachments.pins)
        case model.IioProbe():
            scaling = Scaling(config.gain, config.zero)
            return ChannelProbe(name, attachments.sysfs, IIO, config.iio, config.channel, scaling)
        case model.HwmonProbe():
            scaling = Scaling(config.gain, config.zero)
            return ChannelProbe(name, attachments.sysfs, HWMON, config.hwmon, config.channel, scaling)
        case _:
            raise UnfitProbeError(f'probes."{name}": this kind is not built yet')


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
