"""A short row of wrong inputs for every target, and each that ever failed; `deploy/soak` has a million."""

from pathlib import Path

import pytest

from fuzz.course import Outcome, feed_all, fuzz
from fuzz.registry import TARGETS

KEPT = Path(__file__).with_name("kept")


@pytest.mark.parametrize("name", TARGETS)
def test_wrong_input_does_no_harm(name: str, tmp_path: Path) -> None:
    target = TARGETS[name]
    _check(fuzz(target, tmp_path / "fuzzed", target.few))
    kept = [path.read_bytes() for path in sorted((KEPT / name).glob("*"))]
    if kept:
        _check(feed_all(target, tmp_path / "kept", kept))


def test_every_kept_input_has_a_target() -> None:
    assert {path.name for path in KEPT.iterdir()} <= set(TARGETS)


def _check(outcome: Outcome) -> None:
    told = "\n\n".join(f"{payload[:500]!r}\n{fault[-2000:]}" for payload, fault in outcome.faults)
    assert not outcome.crashes, ascii(told)
