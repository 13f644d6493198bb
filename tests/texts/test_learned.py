"""What was learned, in words a person can check."""

from datetime import UTC

import numpy as np

from drydown.estimate.learned import learned_of
from drydown.estimate.lesson import Lesson, owner_of
from drydown.estimate.lesson_use import UNKNOWNS
from drydown.estimate.parameters import NAMES
from drydown.estimate.unknowns import COUNT, INDEX
from drydown.texts.learned import NAMES as WORDS_OF
from drydown.texts.learned import WORDS, forgotten, outgrown, source, told
from support.boathouse import heron


def lesson(**narrow: tuple[float, float]) -> Lesson:
    """Of nothing but these unknowns: mean and σ in standard coordinates."""
    mean, covariance = np.zeros(COUNT), np.eye(COUNT)
    for name, (middle, sigma) in narrow.items():
        mean[INDEX[name]], covariance[INDEX[name], INDEX[name]] = middle, sigma**2
    return Lesson(learned_of(mean, covariance), owner_of(heron()), UNKNOWNS, 3, 1_767_268_800.0)


def test_what_was_learned_is_told_with_its_range_and_the_rest_as_not_learned() -> None:
    # ln 0.81 / 0.25 = −0.843: a flow of 0.81 times the rated 0.015 m³/s is 0.01215 m³/s
    first, second, rest = told(lesson(flow=(-0.843, 0.2), fuel_offset=(1.0, 0.3)), heron())
    assert first == "Air flow 0.0121 m³/s (0.0112 to 0.0132 m³/s), 19 % below rated."
    # σ 0.2 K: 1 ± 1.645 · 0.3 of it
    assert second == "By how much the fuel's probe reads too high: 0.20 °C (0.10 to 0.30 °C)."
    assert rest.startswith("Not learned yet: ")
    assert "heat lost to the room" in rest
    assert "air flow" not in rest


def test_everything_can_be_told() -> None:
    everything = told(lesson(**dict.fromkeys(NAMES, (0.1, 0.1))), heron())
    assert len(everything) == len(NAMES)
    assert set(WORDS_OF) == set(NAMES) == {*WORDS, "flow"}


def test_where_it_comes_from_and_why_it_is_not_used() -> None:
    found = lesson()
    assert source(found, UTC) == "Learned from 3 runs since 1 January 2026."
    assert outgrown(found, heron(blower={"rated_flow": 0.02})) == (
        "What 3 runs taught is no longer used, because it was learned of another tank or blower (the "
        "blower's rated_flow was 0.015, is 0.02): it begins anew."
    )
    assert forgotten(1, 1_767_268_800.0, "Wren", UTC) == (
        "What 1 run taught was forgotten on 1 January 2026 by Wren: the next run begins anew."
    )
