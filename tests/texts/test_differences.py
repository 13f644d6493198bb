"""What made one run take longer, as a person reads it."""

from drydown.estimate.result import Spread
from drydown.explained import Explained
from drydown.texts.differences import Share, difference, most, shares

NOTHING = Spread(0.0, -60.0, 60.0)
FOUND = Explained(
    methanol=Spread(300.0, -660.0, 1200.0),
    fuel_temperature=Spread(610.0, 540.0, 660.0),
    volume=Spread(-170.0, -230.0, -110.0),
    flow=None,
    rest=NOTHING,
)


def test_how_two_runs_compare() -> None:
    assert difference(780.0, "B", "A") == "B took 13 min longer than A until the methanol was gone."
    assert difference(-4000.0, "B", "A") == "B took 1 h 7 min less than A until the methanol was gone."
    assert difference(20.0, "B", "A") == "B took as long as A until the methanol was gone."


def test_each_cause_has_its_range_and_only_what_is_beyond_doubt_is_sure() -> None:
    assert list(shares(FOUND)) == [
        Share("Methanol at the start", "5 min longer", "−11 min to +20 min", False),
        Share("Warmth of the fuel", "10 min longer", "+9 min to +11 min", True),
        Share("Amount of fuel", "3 min shorter", "−4 min to −2 min", True),
        Share("Air of the blower", "cannot be told", "", False),
        Share("Not explained by these", "no different", "−1 min to +1 min", False),
    ]


def test_what_did_most() -> None:
    assert most(FOUND) == "Most of what can be told for sure: warmth of the fuel made it 10 min longer."
    unsure = Explained(NOTHING, NOTHING, NOTHING, NOTHING, NOTHING)
    assert most(unsure) == "No single change is sure to have made the difference."
