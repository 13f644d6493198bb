"""What is due to be looked after: by the blower's hours and by days, since it was last done."""

import pytest

from drydown.drawing.upkeep import DAY, HOUR, INTERVALS, Done, Upkeep, last_done
from drydown.logbook.kinds import KINDS, Choice

MOMENT = 1_790_000_000.0


def entered(after: float, part: str, who: str = "Ash") -> dict[str, object]:
    return {"entry": "upkeep", "time": MOMENT + after, "values": {"part": part}, "who": who}


def test_every_part_of_the_logbook_has_an_interval() -> None:
    field = KINDS["upkeep"]["part"]
    assert isinstance(field, Choice)
    assert set(field.allowed) == set(INTERVALS)
    assert all(one.blown or one.lasted for one in INTERVALS.values())


def test_the_last_entry_of_a_part_counts() -> None:
    drained: dict[str, object] = {
        "entry": "drained",
        "time": MOMENT,
        "values": {"seen": "dark"},
        "who": "Ash",
    }
    done = last_done(
        [entered(0, "hoses"), drained, entered(DAY, "filter"), entered(2 * DAY, "hoses", "Wren")]
    )
    assert done == {"hoses": Done(MOMENT + 2 * DAY, "Wren"), "filter": Done(MOMENT + DAY, "Ash")}


@pytest.mark.parametrize(
    ("part", "blown", "lasted", "due"),
    [
        ("cover-cloth", 19 * HOUR, 30 * DAY, False),
        ("cover-cloth", 21 * HOUR, 30 * DAY, True),
        ("cover-cloth", 1 * HOUR, 181 * DAY, True),
        ("hoses", 900 * HOUR, 30 * DAY, False),
        ("hoses", 0.0, 180 * DAY, True),
    ],
)
def test_whatever_comes_first_makes_it_due(part: str, blown: float, lasted: float, due: bool) -> None:
    assert Upkeep(part, None, blown, lasted).is_due is due


def test_how_much_of_the_interval_is_over() -> None:
    assert Upkeep("air-filter", None, 5 * HOUR, 45 * DAY).used == pytest.approx(0.5)
