"""SVG as text: what is written is XML, and says what was meant."""

import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.plot import svg

printable = st.text(st.characters(min_codepoint=32, blacklist_categories=["Cs", "Cn", "Cc"]), max_size=40)


@given(printable, printable)
def test_whatever_is_said_comes_back(said: str, name: str) -> None:
    found = ET.fromstring(svg.text((1.0, 2.0), said, id=name))
    assert (found.text or "") == said
    assert found.get("id") == name


def test_names_of_attributes() -> None:
    assert svg.line((0, 0), (10, 0.25), stroke_width=2, class_="a") == (
        '<line x1="0" y1="0" x2="10" y2="0.2" stroke-width="2" class="a"/>'
    )


@pytest.mark.parametrize(
    ("value", "expected"), [(0.04, "0"), (-0.04, "0"), (12.345, "12.3"), (1200.0, "1200"), (-7.0, "-7")]
)
def test_numbers_are_short(value: float, expected: str) -> None:
    assert svg.number(value) == expected


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_no_place_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="no place in a picture"):
        svg.number(value)


def test_paths() -> None:
    assert svg.path([(0, 0), (1, 2)]) == "M0 0L1 2"
    assert svg.path([(0, 0), (1, 2)], closed=True) == "M0 0L1 2Z"
    assert svg.path([]) == ""
