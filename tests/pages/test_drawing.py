"""The drawn tank: true to shape and level."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drydown.config.model import Tank
from drydown_pages.drawing import TOP, draw
from support.boathouse import heron

TANKS = {
    "upright": heron(),
    "cone": heron(shape="cone-bottom", height=0.66, cone_height=0.25),
    "lying": heron(shape="horizontal-cylinder", diameter=0.60, height=None, length=1.0),
    "table": heron(shape="table", table=((0.0, 0.0), (0.5, 0.1), (0.8, 0.2)), diameter=None, height=None),
    "slim": heron(diameter=0.10, height=2.0),
    "flat": heron(diameter=3.0, height=0.4),
}
HEIGHTS = {"upright": 0.90, "cone": 0.91, "lying": 0.60, "table": 0.80, "slim": 2.0, "flat": 0.4}


@pytest.mark.parametrize("name", TANKS)
def test_empty_half_and_full_stand_where_they_should(name: str) -> None:
    full = HEIGHTS[name]
    assert draw(TANKS[name], full).surface == TOP
    assert draw(TANKS[name], 0.0).surface == pytest.approx(draw(TANKS[name], 0.0).bottom, abs=0.1)
    half = draw(TANKS[name], full / 2)
    assert half.surface == pytest.approx((TOP + half.bottom) / 2, abs=0.1)


@pytest.mark.parametrize("name", TANKS)
def test_it_lies_in_its_picture(name: str) -> None:
    drawing = draw(TANKS[name], 0.1)
    _, top, width, height = map(float, drawing.view_box.split())
    assert width > 0
    assert top < TOP < drawing.bottom < top + height
    assert re.fullmatch(r"M[-\dMLHVAQZ. ]+ Z", drawing.outline)
    assert TOP < drawing.text < drawing.bottom


def test_proportions_are_true() -> None:
    # a tank 0.60 m wide and 0.91 m high
    _, _, width, height = map(float, draw(TANKS["cone"], None).view_box.split())
    assert (width - 8) / (height - 8) == pytest.approx(0.60 / 0.91, rel=0.01)


def test_a_level_that_nobody_knows_is_not_drawn_as_empty() -> None:
    assert draw(heron(), None).surface is None


@given(st.sampled_from(sorted(TANKS)), st.floats(-1, 5), st.floats(-1, 5))
def test_more_fuel_never_stands_lower(name: str, one: float, other: float) -> None:
    low, high = sorted((one, other))
    lower, higher = draw(TANKS[name], low), draw(TANKS[name], high)
    assert lower.surface is not None
    assert higher.surface is not None
    assert TOP <= higher.surface <= lower.surface <= lower.bottom


def test_a_standpipe_above_the_rim_ends_at_it() -> None:
    tank: Tank = heron().model_copy(update={"standpipe": 2.0})  # which no configuration may say
    assert draw(tank, 0.5).standpipe == TOP
