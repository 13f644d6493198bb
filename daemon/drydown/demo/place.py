"""Where the demo lives: a folder that goes with it, the boathouse's configuration, and free ports."""

import socket
from pathlib import Path

from drydown.errors import UserError

SITE = """\
site = "boathouse"
folder = "{folder}"
[tank]
name = "heron"
shape = "cone-bottom"
diameter = 0.60
height = 0.66
cone_height = 0.25
standpipe = 0.152
[fuel]
feedstock = "used-cooking-oil"
[blower]
rated_flow = 0.015
[room]
volume = 60.0
fresh_air = 0.9
mixing_factor = 2
[probes]
{probes}
[broker]
port = {broker_port}
[serve]
port = {serve_port}
"""

PROBES = (
    "fuel/temperature",
    "fuel/level",
    "blower/running",
    "blower/discharge_temperature",
    "blower/motor_temperature",
    "air/temperature",
    "air/humidity",
    "vent/open",
    "vapour/methanol",
)


def write_site(folder: Path, broker_port: int, serve_port: int) -> Path:
    """Write the demo's configuration into `folder`; returns its path."""
    path = folder / "site.toml"
    probes = "\n".join(f'"{name}" = {{ simulated = true }}' for name in PROBES)
    path.write_text(SITE.format(folder=folder, probes=probes, broker_port=broker_port, serve_port=serve_port))
    return path


def claim(port: int) -> int:
    """The port, if nobody holds it. Raises UserError."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise UserError(
                f"The pages can't be served at 127.0.0.1 port {port} ({error.strerror}): end the program that"
                " holds it, or choose another with --port."
            ) from error
    return port


def free_port() -> int:
    """A port of the loopback interface that nobody holds now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
