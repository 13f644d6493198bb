"""What is configured in vain is told, key by key."""

from pathlib import Path

from drydown.config.load import parse
from drydown.config.unbuilt import unbuilt

PLAIN = (Path(__file__).parents[2] / "deploy" / "boathouse.toml").read_text()
VAIN = """
[forward]
url = "http://127.0.0.1:8428"
org = "o"
bucket = "b"
token_file = "t"
"""


def test_a_plain_site_has_nothing_in_vain() -> None:
    assert list(unbuilt(parse(PLAIN, "site.toml"))) == []


def test_every_key_that_nothing_heeds_is_named() -> None:
    found = unbuilt(parse(PLAIN + VAIN, "site.toml"))
    assert [key for key, _ in found] == ["[forward]"]
