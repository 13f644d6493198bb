"""Who is touched is told once, and nobody is who is not."""

from hypothesis import given
from hypothesis import strategies as st

from drydown.check.warming import Warming

DIGIT = 0.0625  # °C


def named(warming: Warming, rounds: list[dict[str, float]]) -> list[str]:
    """Who is named over rounds one second apart."""
    return [serial for now, each in enumerate(rounds) if (serial := warming.observe(float(now), each))]


def test_a_hand_is_noticed_once_and_again_after_a_rest() -> None:
    touch = [20.0, 20.0, 20.5, 21.2, 22.0, 22.8, 23.5, 24.0]
    rest = [24.0 - 0.2 * second for second in range(15)]
    rounds = [{"a": value, "b": 20.0} for value in [*touch, *rest, *(value + 1.2 for value in touch)]]
    assert named(Warming(), rounds) == ["a", "a"]


def test_the_next_is_named_while_the_first_still_cools() -> None:
    first = [20.0, 21.0, 22.0, 23.0, 24.0, 23.5, 23.0, 22.7, 22.4, 22.2]
    second = [20.0] * 6 + [20.5, 21.0, 21.6, 22.2]
    rounds = [{"a": a, "b": b} for a, b in zip(first, second, strict=True)]
    assert named(Warming(), rounds) == ["a", "b"]


def test_two_that_warm_alike_are_in_doubt() -> None:
    rounds = [{"a": 20.0 + second, "b": 20.0 + 0.7 * second} for second in range(10)]
    assert named(Warming(), rounds) == []


def test_one_that_falls_silent_is_forgotten() -> None:
    warming = Warming()
    named(warming, [{"a": 20.0}, {"a": 20.3}])
    assert warming.observe(60.0, {"a": 25.0}) is None
    assert warming.rises() == {"a": 0.0}


@given(
    st.lists(st.lists(st.integers(-2, 2), min_size=3, max_size=3), min_size=5, max_size=40),
    st.floats(-0.04, 0.04),
)
def test_a_room_that_drifts_and_digits_that_flicker_are_no_hand(
    flicker: list[list[int]], drift: float
) -> None:
    # two digits are more than a DS18B20 flickers (0.0625 °C), and 0.04 K/s is a door opened on frost
    rounds = [
        {str(probe): 18.0 + drift * second + DIGIT * digits for probe, digits in enumerate(each)}
        for second, each in enumerate(flicker)
    ]
    assert named(Warming(), rounds) == []


@given(st.floats(0.25, 2.0), st.lists(st.integers(-1, 1), min_size=12, max_size=12), st.floats(-10, 35))
def test_a_probe_that_warms_by_a_quarter_kelvin_a_second_is_named(
    rate: float, flicker: list[int], room: float
) -> None:
    rounds = [
        {"a": room + rate * second, "b": room + DIGIT * digits} for second, digits in enumerate(flicker)
    ]
    assert named(Warming(), rounds) == ["a"]
