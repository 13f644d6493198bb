"""Tokens in their file: shown once, kept as hashes, counted and revoked at once."""

import json
import os
import stat
from pathlib import Path

import pytest

from drydown.errors import UserError
from drydown_api.tokens import LONGEST_NAME, MOST, Right, TokenFile


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "tokens.json"


def test_a_token_lets_in_whom_it_was_made_for(path: Path) -> None:
    tokens = TokenFile(path)
    secret = tokens.make("Wren's phone", Right.OPERATE)
    found = tokens.match(secret)
    assert found is not None
    assert (found.name, found.right) == ("Wren's phone", Right.OPERATE)
    for wrong in ("", secret[:-1], secret + "x", secret.swapcase(), "\udcff"):
        assert tokens.match(wrong) is None


def test_the_secret_is_nowhere_and_nobody_else_reads_the_file(path: Path) -> None:
    secret = TokenFile(path).make("Wren", Right.VIEW)
    assert secret not in path.read_text()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert (
        len(secret) >= 32
    )  # 24 random bytes: more than the 128 bits of OWASP's session identifiers (from memory)
    assert list(path.parent.iterdir()) == [path]


def test_another_process_sees_what_was_made_and_revoked(path: Path) -> None:
    here, there = TokenFile(path), TokenFile(path)
    assert there.tokens() == ()
    secret = here.make("Wren", Right.VIEW)
    assert there.match(secret)
    here.revoke("Wren")
    assert there.match(secret) is None


def test_names_are_taken_once_and_can_be_printed(path: Path) -> None:
    tokens = TokenFile(path)
    tokens.make("Wren", Right.VIEW)
    with pytest.raises(UserError, match="'Wren' already: revoke it first"):
        tokens.make("Wren", Right.VIEW)
    for name in ("", " ", "a\nb", "x" * (LONGEST_NAME + 1)):
        with pytest.raises(UserError, match=f"1 to {LONGEST_NAME} characters"):
            tokens.make(name, Right.VIEW)


def test_what_is_not_there_cannot_be_revoked(path: Path) -> None:
    tokens = TokenFile(path)
    with pytest.raises(UserError, match="There are: none"):
        tokens.revoke("Wren")
    tokens.make("Finch", Right.VIEW)
    with pytest.raises(UserError, match="There are: 'Finch'"):
        tokens.revoke("Wren")


def test_there_are_not_endlessly_many(path: Path) -> None:
    tokens = TokenFile(path)
    tokens.make("first", Right.VIEW)
    entry = json.loads(path.read_text())[0]
    path.write_text(json.dumps([entry | {"name": str(i)} for i in range(MOST)]))
    with pytest.raises(UserError, match="revoke one that nobody uses"):
        tokens.make("one more", Right.VIEW)


@pytest.mark.parametrize(
    "text", ["", "{}x", "[1]", '[{"name": "x"}]', '[{"name":"x","right":"rule","hash":"","made":0}]']
)
def test_a_damaged_file_lets_nobody_in_and_says_what_to_do(path: Path, text: str) -> None:
    path.write_text(text)
    with pytest.raises(UserError, match=r"tokens.json: .*it is damaged.*make new tokens") as caught:
        TokenFile(path).match("x")
    assert "\n" not in str(caught.value)


def test_a_folder_that_takes_nothing_changes_nothing(path: Path) -> None:
    path.with_suffix(".new").mkdir()
    with pytest.raises(UserError, match="nothing was changed"):
        TokenFile(path).make("Wren", Right.VIEW)
    assert TokenFile(path).tokens() == ()


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give a file to somebody else")
def test_what_root_makes_belongs_to_who_owns_the_folder(path: Path) -> None:
    os.chown(path.parent, 1234, 1235)
    TokenFile(path).make("Wren", Right.VIEW)
    assert (path.stat().st_uid, path.stat().st_gid) == (1234, 1235)
