"""Writes the configuration of a plain site, for processes that read it from a file."""

from collections.abc import Iterable
from pathlib import Path

SITE = """\
site = "{site}"
folder = "{folder}"

[broker]
port = {broker}
"""
TANK = """
[[tank]]
name = "{name}"
shape = "vertical-cylinder"
diameter = 0.60
height = 0.90
standpipe = 0.152
fuel = {{ feedstock = "used-cooking-oil" }}
blower = {{ rated_flow = 0.015 }}
room = {{ volume = 60.0, fresh_air = 0.5 }}

[tank.probes]
"""


def write_site(
    folder: Path, site: str, tanks: Iterable[str], broker_port: int, probes: Iterable[str] = ()
) -> Path:
    """`folder/SITE.toml` with tanks like `heron`, whose `probes` another board sends as `board`.

    What the processes keep goes into `folder/SITE`.
    """
    text = SITE.format(site=site, folder=folder / site, broker=broker_port)
    for name in tanks:
        text += TANK.format(name=name) + "".join(f'"{probe}" = {{ mqtt = "board" }}\n' for probe in probes)
    path = folder / f"{site}.toml"
    path.write_text(text)
    return path
