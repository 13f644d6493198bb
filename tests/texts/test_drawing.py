"""Drawing and upkeep as people read them: what is not known is said to be so."""

from datetime import UTC

import pytest

from drydown.drawing.filter import Element
from drydown.drawing.outlook import Outlook, Stood
from drydown.drawing.upkeep import DAY, HOUR, INTERVALS, Done, Upkeep
from drydown.estimate.result import Spread
from drydown.texts import drawing as texts

STOOD = Stood(1_790_000_000.0, 0.060, 1.0)
WHOLE, TWENTY = Spread(300.0, 240.0, 360.0), Spread(100.0, 80.0, 130.0)
FLOW = Spread(2e-4, 1.6e-4, 2.5e-4)


@pytest.mark.parametrize(
    ("outlook", "headline", "answer"),
    [
        (Outlook(None, 0), "Nobody knows yet how much can be drawn.", "The level has not been recorded."),
        (Outlook(Stood(0.0, 0.0, 1.0), 0), "Nothing stands above the standpipe.", "Fill the tank first"),
        (
            Outlook(STOOD, 0),
            "About 60 L can be drawn.",
            "How long that takes shows after the next draw of 5.0 L",
        ),
        (
            Outlook(STOOD, 3, FLOW, WHOLE),
            "About 60 L can be drawn, in 5 min (4 to 6 min).",
            "12 L (9.6 to 15 L) a minute would run now.",
        ),
        (
            Outlook(STOOD, 3, FLOW, WHOLE, 0.02, TWENTY),
            "About 60 L can be drawn, in 5 min (4 to 6 min).",
            "20 L take 2 min (80 s to 2 min).",
        ),
        (
            Outlook(STOOD, 3, FLOW, WHOLE, 0.1, WHOLE),
            "About 60 L can be drawn, in 5 min (4 to 6 min).",
            "There are not 100 L: all 60 L take 5 min (4 to 6 min).",
        ),
    ],
)
def test_what_can_be_drawn(outlook: Outlook, headline: str, answer: str) -> None:
    assert texts.headline(outlook) == headline
    assert texts.answer(outlook).startswith(answer)


@pytest.mark.parametrize(
    ("element", "advice"),
    [
        (Element(0.0, 0.0, 0, None), "Nothing has been drawn through it yet."),
        (Element(0.1, 600.0, 2, None), "Whether its flow fades can't be told yet."),
        (Element(0.1, 600.0, 2, Spread(0.95, 0.85, 1.05)), "Its flow is no reason to change it yet."),
        (Element(0.1, 600.0, 2, Spread(0.65, 0.55, 0.75)), "Watch it: "),
        (Element(0.1, 600.0, 2, Spread(0.5, 0.4, 0.62)), "Change the element: fuel runs much more slowly"),
        (Element(1.2, 9e3, 60, None), "Change the element: it has let 1200 L through."),
    ],
)
def test_the_filter(element: Element, advice: str) -> None:
    assert texts.advice(element).startswith(advice)


def test_upkeep() -> None:
    done = Upkeep("cover-cloth", Done(1_790_000_000.0, "Wren"), 5 * HOUR, 9 * DAY)
    said = texts.part_state(done, UTC)
    assert said == "Last on 21 September 2026 (Wren). Since then: 9 days, blower 5 h."
    never = texts.part_state(Upkeep("hoses", None, 0.0, 9 * DAY), UTC)
    assert never == "Nobody noted when. Since the first run on record: 9 days, blower 0 s."
    assert texts.usual(INTERVALS["hoses"]) == "Usual: after 180 days."
    assert set(texts.PARTS) == set(texts.TO_DO) == set(INTERVALS)
