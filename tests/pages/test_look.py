"""The look, held against what the Web Content Accessibility Guidelines ask of colours and sizes."""

import re

import pytest

from drydown_pages.render import STATIC
from drydown_pages.scale import LIMIT_AT

LOOK = (STATIC / "look.css").read_text()


def colours(dark: bool) -> dict[str, str]:
    bright, dim = re.findall(r":root \{(.*?)\}", LOOK, re.DOTALL)
    found = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", bright))
    return found | dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", dim)) if dark else found


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definitions)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_guidelines_figures() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known grey of 4.54:1 (from memory)
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


TEXTS = [
    ("ink", "paper"),
    ("ink", "card"),
    ("soft", "paper"),
    ("soft", "card"),
    ("air", "card"),
    ("air", "paper"),
    ("ink", "bad-paper"),
    ("bad", "bad-paper"),
    ("ink", "warn-paper"),
    ("card", "ink"),
    ("bad-paper", "bad"),
]


@pytest.mark.parametrize("dark", [False, True], ids=["bright", "dark"])
@pytest.mark.parametrize("pair", TEXTS, ids=" on ".join)
def test_text_can_be_read(pair: tuple[str, str], dark: bool) -> None:
    palette = colours(dark)
    assert contrast(palette[pair[0]], palette[pair[1]]) >= 4.5  # WCAG 2.2, 1.4.3


SHAPES = [("ink", "air-soft"), ("ink", "fuel-soft"), ("air", "card"), ("bad", "paper"), ("ink", "card")]


@pytest.mark.parametrize("dark", [False, True], ids=["bright", "dark"])
@pytest.mark.parametrize("pair", SHAPES, ids=" on ".join)
def test_what_means_something_can_be_seen(pair: tuple[str, str], dark: bool) -> None:
    palette = colours(dark)
    assert contrast(palette[pair[0]], palette[pair[1]]) >= 3.0  # WCAG 2.2, 1.4.11


def test_numbers_in_the_tank_can_be_read_on_the_fuel() -> None:
    (ink,) = re.findall(r"\.tank text \{[^}]*fill: (#[0-9a-f]{6})", LOOK)
    for dark in (False, True):
        assert contrast(ink, colours(dark)["fuel-light"]) >= 4.5


def test_the_limit_is_written_where_the_step_is_drawn() -> None:
    assert f".limit {{ padding-left: {LIMIT_AT:.0f}%" in LOOK


def test_nothing_comes_from_elsewhere() -> None:
    for file in STATIC.glob("*.*"):
        if file.suffix in (".css", ".js", ".svg"):
            assert not re.search(
                r"(https?:)?//(?!www\.w3\.org/)[a-z]", file.read_text().replace("// ", "")
            ), file
