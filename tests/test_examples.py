"""What the documentation shows exists: the example configuration loads, and its commands are real."""

import re
from pathlib import Path

import pytest

from drydown.cli import COMMANDS
from drydown.config.load import load
from drydown.quantities import MEASURED

ROOT = Path(__file__).parents[1]


def test_the_example_configuration_is_right_and_shows_both_tanks() -> None:
    site = load(ROOT / "deploy" / "boathouse.toml")
    assert [tank.name for tank in site.tank] == ["heron", "plover"]
    assert set(site.tank[0].probes) <= set(MEASURED)


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md"])
def test_every_command_in_the_documents_exists(document: str) -> None:
    text = (ROOT / document).read_text()
    commands = re.findall(r"\bdrydown (check|watch|record|serve|replay|demo|token)\b", text)
    assert commands
    assert set(commands) <= set(COMMANDS)
    for script in re.findall(r"\bdeploy/(\w+)", text):
        assert list((ROOT / "deploy").glob(f"{script}*")), script


def test_every_picture_and_file_that_the_readme_links_to_is_there() -> None:
    links = re.findall(r"\]\(([^):]+)\)", (ROOT / "README.md").read_text())
    assert links
    assert [link for link in links if not (ROOT / link).exists()] == []
