"""The lock of what a board installs holds every dependency as it is asked for, with hashes and no address."""

import re
import tomllib
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
LOCK = (ROOT / "deploy" / "board.lock").read_text()
PACKAGES = re.findall(
    r"^([\w.-]+)==([\w.]+)[^\n]*\\\n((?:    --hash=sha256:[0-9a-f]{64}[ \\]*\n?)+)", LOCK, re.MULTILINE
)


def test_every_dependency_stands_in_it_as_it_is_asked_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    pinned: dict[str, list[str]] = {}
    for name, version, _ in PACKAGES:
        pinned.setdefault(canonicalize_name(name), []).append(version)
    for text in (*project["dependencies"], *project["optional-dependencies"]["board"]):
        wanted = Requirement(text)
        versions = pinned.get(canonicalize_name(wanted.name), [])
        assert versions, f"{wanted.name} is missing: run deploy/lock"
        assert all(version in wanted.specifier for version in versions), f"{wanted}: run deploy/lock"


def test_every_line_has_a_hash_and_none_an_address() -> None:
    assert len(PACKAGES) == len(re.findall(r"^[\w.-]+==", LOCK, re.MULTILINE)) > 30
    assert "://" not in LOCK
