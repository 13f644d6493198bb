"""The demo's broker: mosquitto where it is installed, else a small one in Python; on loopback alone."""

import asyncio
import importlib.util
import logging
import shutil
import sys
from pathlib import Path

from drydown.errors import UserError

MOSQUITTO_PATH = "/usr/sbin:/usr/local/sbin"  # where Debian puts it, which is not on everybody's PATH


def broker_command(folder: Path, port: int) -> list[str]:
    """How to start a broker on loopback. Raises UserError where there is none to start."""
    mosquitto = shutil.which("mosquitto") or shutil.which("mosquitto", path=MOSQUITTO_PATH)
    if mosquitto:
        settings = folder / "mosquitto.conf"
        settings.write_text(f"listener {port} 127.0.0.1\nallow_anonymous true\nlog_dest none\n")
        return [mosquitto, "-c", str(settings)]
    if importlib.util.find_spec("amqtt"):
        return [sys.executable, "-m", __name__, str(port)]
    raise UserError(
        "The demo needs an MQTT broker and found none. Install mosquitto (Debian, Ubuntu: apt install "
        "mosquitto), or drydown with its demo group: pip install 'drydown[demo]'."
    )


async def _serve(port: int) -> None:
    from amqtt.broker import Broker  # type: ignore[import-untyped]

    logging.disable(logging.CRITICAL)  # it tells of every dropped connection
    broker = Broker(
        {
            "listeners": {"default": {"type": "tcp", "bind": f"127.0.0.1:{port}"}},
            "plugins": {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}},
        }
    )
    await broker.start()
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(_serve(int(sys.argv[1])))
