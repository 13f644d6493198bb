"""`drydown token` as people use it."""

import subprocess
from pathlib import Path

import pytest

from drydown_api.tokens import TokenFile
from support.processes import DRYDOWN
from support.site_file import write_site


@pytest.fixture
def config(tmp_path: Path) -> Path:
    (tmp_path / "boathouse").mkdir()
    return write_site(tmp_path, "boathouse", ["heron"], 1)


def token(config: Path, *arguments: str, code: int = 0) -> str:
    done = subprocess.run(
        [DRYDOWN, "token", *arguments, "--config", config],
        capture_output=True,
        text=True,
        timeout=30,
        check=False,
    )
    assert done.returncode == code, done.stderr
    return done.stdout if code == 0 else done.stderr


def test_it_is_made_shown_once_listed_and_revoked(config: Path) -> None:
    said = token(config, "make", "Wren's phone", "--may", "operate")
    secret = said.split("\n    ")[1].split("\n")[0]
    assert TokenFile(config.parent / "boathouse" / "tokens.json").match(secret)
    assert "not encrypted" in said
    listed = token(config, "list")
    assert listed.startswith("Wren's phone: may look and give commands; since ")
    assert secret not in listed
    assert "let in no more" in token(config, "revoke", "Wren's phone")
    assert token(config, "list") == "Nobody: only this board sees the pages.\n"


def test_the_code_leads_a_phone_to_the_door(config: Path) -> None:
    serve = '[serve]\nhost = "0.0.0.0"\naddress = "https://boathouse.example/"\n\n[broker]'
    config.write_text(config.read_text().replace("[broker]", serve))
    said = token(config, "make", "Wren")
    assert "Type it at https://boathouse.example/enter," in said
    assert said.count("█") > 50
    assert "not encrypted" not in said


def test_without_an_address_it_says_how_to_get_a_code(config: Path) -> None:
    assert 'address = "http://NAME:8470" under [serve]' in token(config, "make", "Wren")


def test_mistakes_are_told(config: Path) -> None:
    assert "There are: none" in token(config, "revoke", "Wren", code=2)
    assert "needs a name" in token(config, "make", "", code=2)
    assert "invalid choice" in token(config, "make", "Wren", "--may", "rule", code=2)
