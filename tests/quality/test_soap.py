"""Soap from a titration, against the method's arithmetic worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.quality.soap import soap

ML, GRAM = 1e-6, 1e-3


def test_by_hand() -> None:
    # AOCS Cc 17-95 (from memory): ppm as sodium oleate = (B − A)·N·304.4·1000/g; 1.2 mL of 0.01 N for 12 g:
    # 1.2·0.01·304.4·1000/12 = 304.4 ppm
    assert soap(1.2 * ML, 12 * GRAM) == pytest.approx(304.4e-6)
    assert soap(1.4 * ML, 12 * GRAM, blank=0.2 * ML) == pytest.approx(304.4e-6)


def test_a_blank_that_takes_more_than_the_sample_is_no_soap() -> None:
    assert soap(0.1 * ML, 12 * GRAM, blank=0.2 * ML) == 0.0


def test_no_fuel_is_refused() -> None:
    with pytest.raises(ValueError, match="fuel"):
        soap(1.0 * ML, 0.0)


@given(acid=st.floats(0, 1e-4), fuel=st.floats(1e-3, 1.0), times=st.floats(1.1, 10.0))
def test_in_proportion_to_acid_and_against_fuel(acid: float, fuel: float, times: float) -> None:
    assert soap(acid * times, fuel) == pytest.approx(soap(acid, fuel) * times)
    assert soap(acid, fuel * times) == pytest.approx(soap(acid, fuel) / times)
