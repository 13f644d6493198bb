"""The draws of a tank, by the record: how much came out when, and the levels meanwhile."""

from collections.abc import Iterable

from drydown.drawing.draws import Draw, draw_of
from drydown.run.movement import LevelKind
from drydown.store.read import EVER, StoreReader

LATEST, ALL = 1e11, 1_000_000  # Unix s, later than anything; events


def recorded_draws(reader: StoreReader, tank: str) -> list[Draw]:
    """All of them in order of time, without what their levels tell."""
    lines = (one.body for one in reader.events(tank, EVER, LATEST, ("level",), ALL))
    return [
        Draw(line["start"], line["time"], line["volume"]["median"])
        for line in lines
        if line["level"] == LevelKind.DRAW
    ]


def with_levels(reader: StoreReader, tank: str, draws: Iterable[Draw]) -> list[Draw]:
    """The same with what their levels tell."""
    found = []
    for draw in draws:
        samples = reader.samples(tank, draw.start, draw.end, ("fuel/level",))
        readings = [
            (one.time, one.value)
            for one in samples
            if one.quality == "good" and isinstance(one.value, int | float)
        ]
        found.append(draw_of(draw.start, draw.end, draw.volume, readings))
    return found
