"""The page that says what a vehicle's tank takes in the cold: read in liked units, faults told by field."""

import pytest

from drydown.texts.liking import LIKING, Liking
from drydown_pages.blend import blend_page

GIVEN = {
    "size": "60",
    "holds": "20",
    "share": "30",
    "low": "0",
    "cloud": "6",
    "diesel": "-15",
    "up_to": "83,3",
}


def troubles(given: dict[str, str]) -> dict[str, str]:
    page = blend_page("used-cooking-oil", given)
    assert page.answer is None
    return {one.name: one.trouble for one in page.questions if one.trouble}


def test_before_anything_is_answered_nothing_is_wrong() -> None:
    assert troubles({}) == {}


def test_what_to_add_and_why() -> None:
    answer = blend_page("used-cooking-oil", GIVEN).answer
    assert answer is not None
    assert answer.sentence == "Add 27 L of diesel and 2.6 L of your own fuel."
    outcome, room, energy, now = answer.told
    assert outcome.startswith("The tank then holds 50 L, 17 % of it your own fuel.")
    assert room == (
        "If it turns colder, fill the 10 L of room that are left with diesel: the blend then bears −8 °C."
    )
    assert energy == "A litre of it gives about 1.5 % less than one of diesel."
    assert now == "What is in it now clouds at about −9 °C (−13 to −5 °C): it bears 0 °C as it is."


def test_a_range_of_the_oil_stands_for_a_cloud_point_that_nobody_measured() -> None:
    answer = blend_page("used-cooking-oil", {**GIVEN, "cloud": ""}).answer
    assert answer is not None
    assert answer.sentence == "Add 30 L of diesel, and none of your own fuel."


def test_too_much_own_fuel_for_the_cold_is_thinned() -> None:
    answer = blend_page("used-cooking-oil", {**GIVEN, "holds": "60", "share": "50", "low": "-5"}).answer
    assert answer is not None
    assert answer.sentence == "Take out 43 L, then fill up with 43 L of diesel."
    assert "it does not bear −5 °C" in answer.told[-1] or "it may not bear −5 °C" in answer.told[-1]


def test_where_diesel_itself_clouds_no_blend_is_told() -> None:
    answer = blend_page("used-cooking-oil", {**GIVEN, "low": "-20"}).answer
    assert answer is not None
    assert not answer.is_possible
    assert "ask for diesel made for colder weather" in answer.told[0]


@pytest.mark.parametrize(
    ("name", "given", "told"),
    [
        ("size", "many", "from 0.1 to 1000"),
        ("holds", "70", "from 0 to 60"),
        ("share", "101", "from 0 to 100"),
        ("low", "", "from −60 to 50"),
        ("margin", "nan", "from 0 to 30"),
        ("cloud", "1e99", "from −60 to 50"),
    ],
)
def test_what_is_wrong_is_told_where_it_stands(name: str, given: str, told: str) -> None:
    found = troubles({**GIVEN, name: given})
    assert found.keys() == {name}
    assert told in found[name]


def test_answers_are_read_in_the_units_that_are_liked() -> None:
    metric = blend_page("soy", GIVEN).answer
    token = LIKING.set(Liking(temperature="fahrenheit", volume="gallons"))
    try:
        given = {"size": "15.8503", "holds": "5.28344", "low": "32", "cloud": "42.8", "diesel": "5"}
        page = blend_page("soy", {**GIVEN, **given})
        assert page.answer is not None
        assert page.answer.sentence == "Add 7.2 gal of diesel and 0.68 gal of your own fuel."
        assert "32 °F" in page.answer.told[0]
    finally:
        LIKING.reset(token)
    assert metric is not None
