"""Numbers as somebody likes them: units, decimal mark, clock; and what keeps the choice."""

import contextvars
from collections.abc import Callable
from datetime import UTC

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.estimate.result import Advice, Spread
from drydown.texts import advice, amounts
from drydown.texts.liking import CHOICES, LIKING, Liking, chosen, read, written

AMERICAN = Liking("fahrenheit", "gallons", "point", "12")
GERMAN = Liking(decimal="comma")
AFTERNOON = 1_767_285_600.0 - 1200  # 1 January 2026, 16:20 UTC


def told(liking: Liking, text: Callable[[], str]) -> str:
    def within() -> str:
        LIKING.set(liking)
        return text()

    return contextvars.copy_context().run(within)


@pytest.mark.parametrize(
    ("text", "usual", "american"),
    [
        # NIST SP 811, appendix B.8: t/°F = 1.8 t/°C + 32, and 1 gal (US) = 3.785412 L
        (lambda: amounts.celsius(273.15), "0 °C", "32 °F"),
        (lambda: amounts.celsius(373.15), "100 °C", "212 °F"),
        (lambda: amounts.celsius(233.15), "−40 °C", "−40 °F"),
        (lambda: amounts.degrees_a_minute(1 / 60), "1.0 °C a minute", "1.8 °F a minute"),
        (lambda: amounts.litres(0.210), "210 L", "55 gal"),
        (lambda: amounts.litres(0.003785412), "3.8 L", "1.0 gal"),
        (lambda: amounts.litres_a_minute(0.003785412 / 60), "3.8 L a minute", "1.0 gal a minute"),
        (lambda: amounts.clock(AFTERNOON, UTC), "16:20", "4:20 pm"),
        (lambda: amounts.clock(AFTERNOON - 16 * 3600, UTC), "00:20", "12:20 am"),
        (lambda: amounts.methanol_content(0.0042), "0.42 %", "0.42 %"),
    ],
)
def test_the_same_amount_in_other_units(text: Callable[[], str], usual: str, american: str) -> None:
    assert (told(Liking(), text), told(AMERICAN, text)) == (usual, american)


def test_a_comma_where_a_comma_is_liked() -> None:
    assert told(GERMAN, lambda: amounts.methanol_content(0.0042)) == "0,42 %"
    assert told(GERMAN, lambda: amounts.methanol_content(0.0)) == "less than 0,01 %"
    flow = Spread(0.58, 0.41, 0.83)
    assert told(GERMAN, lambda: amounts.ranged(flow, amounts.air_flow)) == "0,6 m³/s (0,4 to 0,8 m³/s)"


def test_advice_stays_on_the_safe_side_in_every_unit() -> None:
    warm = Advice("warm-fuel", {"temperature": 273.15 + 37.4, "likely": 273.15 + 35.1})
    assert told(AMERICAN, lambda: advice.sentence(warm, 0.0, UTC)) == (
        "Warm the fuel to 100 °F (96 °F may do) and keep it so."  # 99.3 and 95.2 by the formula above
    )


def test_nobody_else_reads_it_so() -> None:
    told(AMERICAN, lambda: "")
    assert amounts.celsius(273.15) == "0 °C"


@given(st.builds(Liking, **{name: st.sampled_from(allowed) for name, allowed in CHOICES.items()}))
def test_a_choice_is_kept(liking: Liking) -> None:
    assert read(written(liking)) == liking


@given(st.text())
def test_whatever_stands_in_a_cookie_is_some_liking(word: str) -> None:
    assert read(written(read(word))) == read(word)


def test_what_is_no_choice_is_the_usual() -> None:
    assert chosen({"temperature": "kelvin", "clock": "12", "x": "y"}) == Liking(clock="12")
    assert read("fahrenheit") == Liking("fahrenheit")
