"""A day of mixed faults, reading by reading: each that is bad is judged so in time, and no other is.

The list of everything that was not judged good is kept as tests/output/day-of-faults.txt.
"""

import re
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from drydown.condition import kinds, table
from drydown.core import Core
from drydown.effects import Conditioned
from drydown.probes import kinds as probe_kinds
from drydown.reading import Quality, Reading
from support import faulty_day
from support.faulty_day import AIR, DISCHARGE, EVERY, HOUR, MOTOR, RESTS, Episode

OUTPUT = Path(__file__).parents[1] / "output/day-of-faults.txt"
ALL = (*kinds.FAULTS, *probe_kinds.FAULTS)
PATTERNS = {fault: re.compile(re.sub(r"\\{[^}]*\\}", ".*", re.escape(fault.told))) for fault in ALL}


@dataclass(frozen=True)
class Judged:
    """A reading as it was given, as it was judged, and the fault that was put into it."""

    now: float
    given: Reading | None
    judged: Reading
    episode: Episode | None

    @property
    def kind(self) -> kinds.Fault | None:
        """By the words that were told."""
        return _kind_told(self.judged.reason)

    @property
    def line(self) -> str:
        injected = self.episode.fault.title if self.episode else "-"
        value = self.judged.value
        told = f"{value:.4g}" if isinstance(value, float) else str(value)
        time = f"{int(self.now // 3600):02}:{int(self.now % 3600 // 60):02}:{int(self.now % 60):02}"
        return (
            f"{time}  {self.judged.name:29} {told:>8}  {self.judged.quality:8}  "
            f"put in: {injected:24} {self.judged.reason}"
        )


@cache  # most of two hundred thousand readings tell the same: nothing
def _kind_told(reason: str) -> kinds.Fault | None:
    fits = [fault for fault in ALL if PATTERNS[fault].fullmatch(reason)]
    return max(fits, key=lambda fault: len(fault.told), default=None)


@pytest.fixture(scope="module", params=[3])
def day(request: pytest.FixtureRequest) -> list[Judged]:
    """Every reading of the day, through the whole core."""
    core, judged = Core(faulty_day.tank()), []
    for now, given in faulty_day.with_faults(request.param):
        effects = core.step(now, [reading for reading, _ in given], ())
        found = [effect.reading for effect in effects if isinstance(effect, Conditioned)]
        pairs = [*given, *((None, None) for _ in range(len(found) - len(given)))]
        judged += [
            Judged(now, reading, result, episode)
            for (reading, episode), result in zip(pairs, found, strict=True)
        ]
    OUTPUT.parent.mkdir(exist_ok=True)
    OUTPUT.write_text("\n".join(one.line for one in judged if one.judged.quality is not Quality.GOOD) + "\n")
    return judged


def test_no_reading_with_a_fault_is_missed_beyond_its_time(day: list[Judged]) -> None:
    missed = [
        one.line
        for one in day
        if one.episode
        and one.now - one.episode.begins >= one.episode.by
        and one.judged.quality is not one.episode.fault.quality
        and one.episode.fault is not kinds.MOVED
        and one.episode.fault is not kinds.CREEPING
    ]
    assert missed == []


def test_no_sound_reading_is_judged_bad(day: list[Judged]) -> None:
    wrong = [
        one.line
        for one in day
        if one.judged.quality is Quality.BAD
        and one.episode is None
        and not (one.given is None and _is_silent(one))
        and not _is_on_its_way_back(one)
    ]
    assert wrong == []


def _is_silent(one: Judged) -> bool:
    return any(
        episode.fault is kinds.ABSENT
        and episode.name == one.judged.name
        and episode.begins < one.now < episode.until
        for episode in faulty_day.episodes(3)
    )


def _is_on_its_way_back(one: Judged) -> bool:
    """A probe that was believed elsewhere leaps when it comes back: three readings, as on its way there."""
    return one.kind in (kinds.LEAP, kinds.MOVED) and any(
        episode.fault is kinds.MOVED and 0 <= one.now - episode.until < table.CONFIRMED_BY * EVERY
        for episode in faulty_day.episodes(3)
    )


def test_no_sound_reading_is_doubted_but_right_after_a_fault_and_beside_the_probe_that_lies(
    day: list[Judged],
) -> None:
    wrong = [
        one.line
        for one in day
        if one.judged.quality is Quality.DOUBTFUL and one.episode is None and not _may_be_doubted(one)
    ]
    assert wrong == []


def _may_be_doubted(one: Judged) -> bool:
    if one.kind is kinds.APART:
        return one.now > RESTS and one.judged.name in (DISCHARGE, AIR)
    return any(
        one.judged.name in {episode.name, *episode.names}
        and episode.begins <= one.now <= episode.until + episode.after
        for episode in faulty_day.episodes(3)
    )


def test_the_probe_that_lies_is_named_at_rest_and_alone_once_a_third_can_tell(day: list[Judged]) -> None:
    pair = next(pair for pair in table.PAIRS if (pair.slow, pair.other) == (DISCHARGE, AIR))
    third = next(pair for pair in table.PAIRS if (pair.slow, pair.other) == (MOTOR, AIR))
    slack = 2 * HOUR  # what the faults of the night cost
    by = RESTS + pair.settles + pair.window + slack
    late = [one for one in day if one.judged.name == DISCHARGE and one.now > by and one.episode is None]
    assert late and {one.judged.quality for one in late} == {Quality.DOUBTFUL}
    alone = RESTS + third.settles + third.window + slack
    air = [one for one in day if one.judged.name == AIR and one.now > alone and one.episode is None]
    assert air and kinds.APART not in {one.kind for one in air}
    assert "4.0 K above" in late[-1].judged.reason


def test_every_kind_of_fault_is_found_by_its_name(day: list[Judged]) -> None:
    found = Counter(one.kind for one in day if one.judged.quality is not Quality.GOOD)
    loops = {probe_kinds.LOOP_DEAD, probe_kinds.LOOP_SHORTED, probe_kinds.LOOP_BEYOND}
    assert {fault.title for fault in {*kinds.FAULTS, *loops} - found.keys()} == set()


def test_what_is_judged_has_its_value_and_its_time_unless_that_cannot_stand(day: list[Judged]) -> None:
    for one in day:
        if one.given:
            assert one.judged.value is one.given.value
            is_displaced = one.kind in (kinds.FUTURE, kinds.TWICE, kinds.LATE)
            assert one.judged.time == pytest.approx(one.now if is_displaced else one.given.time, abs=0.01)
