"""What another probe would bring, as it is read."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.texts.worth import narrower, told, wider
from drydown.worth.gain import AIR, DISCHARGE, METHANOL_TEST, WATER_TEST, Gain, Worth, line_of, worth_of

FOUND = Worth(
    1.78e9,
    (
        Gain(AIR, False, 0.66, 0.23),
        Gain(DISCHARGE, True, 0.7, 1.02),
        Gain(METHANOL_TEST, False, 0.95, None),
        Gain(WATER_TEST, False, None, 0.5),
    ),
)


def test_the_most_useful_first_and_nothing_of_what_changes_little() -> None:
    assert told(FOUND, ()) == (
        "Probes of the air’s temperature and humidity would make the range of water at the end of bubbling"
        " about 80 % narrower.",
        "Probes of the air’s temperature and humidity would make the range of methanol after 20 min of"
        " bubbling about 30 % narrower.",
        "A water test with a pressure kit, of a sample taken after 20 min of bubbling, would make the range"
        " of water at the end of bubbling about half as wide.",
        "Without the probe of the temperature at the blower’s outlet the range of methanol after 20 min of"
        " bubbling would be about 40 % wider.",
    )


def test_a_probe_that_was_fitted_since_is_not_recommended() -> None:
    said = told(FOUND, {"air/temperature", "air/humidity"})
    assert not any(sentence.startswith("Probes of the air") for sentence in said)
    said = told(Worth(0.0, (Gain(AIR, False, 0.95, None),)), ())
    assert said == (
        "Neither another probe nor a test would have made the ranges of this run narrower by a tenth.",
    )


@given(st.floats(0.01, 0.9))
def test_one_digit(ratio: float) -> None:
    for text in (narrower(ratio), wider(ratio)):
        digits = [character for character in text if character.isdigit()]
        assert len([one for one in digits if one != "0"]) <= 1 or 1 / ratio > 10


def test_what_is_wider_is_said_in_order() -> None:
    said = [wider(ratio) for ratio in (0.9, 0.7, 0.6, 0.5, 0.2)]
    assert all(one != other for one, other in pairwise(said))
    assert (said[0], said[-1]) == ("about 10 % wider", "about 5 times as wide")


@pytest.mark.parametrize("worth", [FOUND, Worth(0.0, ())])
def test_it_goes_through_json_unchanged(worth: Worth) -> None:
    assert worth_of(line_of(worth)) == worth
