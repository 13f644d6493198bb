"""Whether to drain again: each colour, litres, and what people told beside what the level lost."""

from datetime import UTC

import pytest

from drydown.batches.batch import Drained, Moved
from drydown.estimate.result import Spread
from drydown.run.movement import LevelKind
from drydown.settling.drains import LATER, SOON, Counsel, Drainage, advice, drainages
from drydown.texts.settling import drain_again

HOUR = 3600.0
BATCH = 0.17  # m³


def drained(*colours: str | None, volume: float | None = None) -> list[Drainage]:
    return [Drainage(i * 6 * HOUR, seen, volume) for i, seen in enumerate(colours)]


@pytest.mark.parametrize(
    ("found", "counsel", "wait"),
    # common practice, no source
    [
        (drained("dark"), Counsel.AGAIN, SOON),
        (drained("clear", "dark"), Counsel.AGAIN, SOON),
        (drained("milky"), Counsel.WAIT, LATER),
        (drained("milky", volume=0.003), Counsel.MUCH, SOON),
        (drained(None, volume=0.003), Counsel.MUCH, SOON),
        (drained(None, volume=0.001), Counsel.ONCE_MORE, SOON),
        (drained("dark", "clear"), Counsel.ONCE_MORE, SOON),
        (drained("clear", "milky", "clear"), Counsel.ONCE_MORE, SOON),
        (drained("dark", "clear", "clear"), Counsel.ENOUGH, None),
        (
            drained("clear", "clear", volume=0.003),
            Counsel.ENOUGH,
            None,
        ),  # clear fuel may be as much as it likes
    ],
)
def test_what_to_do(found: list[Drainage], counsel: Counsel, wait: float | None) -> None:
    told = advice(found, BATCH)
    assert told is not None
    assert (told.counsel, told.last) == (counsel, found[-1])
    assert told.at == (None if wait is None else found[-1].time + wait)
    early, late = (drain_again(told, found[-1].time + hours * HOUR, UTC) for hours in (1, 20))
    assert "{" not in early + late
    assert (" now" in early, " now" in late) == (False, wait is not None)


def test_before_the_first_there_is_nothing_to_say() -> None:
    assert advice([], BATCH) is None


def test_a_volume_says_nothing_where_the_batch_is_not_known() -> None:
    told = advice(drained("milky", volume=0.003), None)
    assert told is not None
    assert told.counsel is Counsel.WAIT


def test_what_people_told_and_what_the_level_lost_is_one_drain() -> None:
    lost = [
        Moved(time, kind, Spread(volume, volume, volume))
        for time, kind, volume in (
            (1000.0, LevelKind.DRAIN, 0.002),
            (9 * HOUR, LevelKind.DRAIN, 0.004),
            (9.5 * HOUR, LevelKind.DRAW, 0.02),
        )
    ]
    told = [
        Drained(1200.0, "dark", None, "Wren"),
        Drained(1500.0, "milky", None, "Wren"),  # the last colour counts
        Drained(20 * HOUR, "clear", 0.0005, "Wren"),
    ]
    assert drainages(told, lost) == [
        Drainage(1500.0, "milky", 0.002),
        Drainage(9 * HOUR, None, 0.004),
        Drainage(20 * HOUR, "clear", 0.0005),
    ]


def test_told_in_words() -> None:
    told = advice(drained(None, volume=0.003), BATCH)
    assert told is not None
    expected = "Drain again at about 04:00: 3.0 L came at 00:00, so that more will follow."
    assert drain_again(told, HOUR, UTC) == expected
