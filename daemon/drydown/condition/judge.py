"""Judges readings: good, doubtful or bad, and why. Pure: the same readings always get the same judgement.

Nothing is smoothed or delayed: a reading leaves with the value and the time that it came with. A bad one is
recorded but never used; a doubtful one may be wrong, so alarms heed it and an estimate had better not.
"""

import math
from collections.abc import Iterable
from dataclasses import replace

from drydown.condition import kinds, table
from drydown.condition.kinds import Verdict
from drydown.condition.rules import RULES, allowed_stillness, still_for
from drydown.condition.track import State, Track, new_state, new_track
from drydown.quantities import MEASURED
from drydown.reading import Quality, Reading

__all__ = ["State", "condition", "new_state"]


def condition(now: float, readings: Iterable[Reading], state: State) -> list[Reading]:
    """The same readings, judged; and a reading of None for each probe that has fallen silent.

    `now` and the readings' times are s on the core's clock; values are in SI units. `state` is updated. A
    silent probe is told of when it falls silent and again every `table.SILENCE` s.
    """
    judged = [_condition_one(now, reading, state) for reading in readings]
    judged += [reading for track in state.tracks.values() if (reading := _silent(now, track)) is not None]
    return judged


def _condition_one(now: float, reading: Reading, state: State) -> Reading:
    track = state.tracks.get(reading.name)
    if track is None:
        track = state.tracks[reading.name] = new_track(reading.name, None)
    quality, reason = _judge(now, reading, track, state)
    if quality is Quality.BAD:
        if track.name == "blower/running":
            state.blowing_since = None
            state.pairs.switched(now, None)
    else:
        _believe(reading, track, state)
        if quality is Quality.GOOD:
            quality, reason = _compare(reading, track, state)
    if quality is reading.quality and reason == reading.reason:
        return reading
    return replace(reading, quality=quality, reason=reason)


def _judge(now: float, reading: Reading, track: Track, state: State) -> Verdict:
    verdict = _judge_time(now, reading.time, track)
    if verdict is not None:
        return verdict
    _heard(reading.time, track)
    if reading.quality is Quality.BAD or reading.value is None:
        quality, reason = kinds.NOTHING.found()
        return quality, reading.reason or reason
    given: Verdict = (reading.quality, reading.reason)
    wrong_kind = _judge_kind(reading.value, track)
    if wrong_kind is not None or isinstance(reading.value, bool):
        return wrong_kind or given
    worst = given
    for rule in RULES:
        found = rule(float(reading.value), reading.time, track, state)
        if found is not None and found[0] is Quality.BAD:
            return found
        worst = found or worst
    return worst


def _judge_time(now: float, time: float, track: Track) -> Verdict | None:
    if not time <= now + table.EARLY:
        return kinds.FUTURE.found(seconds=time - now)
    if track.time is None or time > track.time:
        return None
    return kinds.TWICE.found() if time == track.time else kinds.LATE.found(seconds=track.time - time)


def _judge_kind(value: float | bool, track: Track) -> Verdict | None:
    is_switch = MEASURED[track.name].is_boolean
    if is_switch is not isinstance(value, bool):
        return (kinds.NOT_A_SWITCH if is_switch else kinds.NOT_A_NUMBER).found()
    return None if math.isfinite(value) else kinds.NOT_FINITE.found()


def _compare(reading: Reading, track: Track, state: State) -> Verdict:
    """A value that nothing else speaks against, held against those of other probes."""
    value = reading.value
    if track.name == "blower/running":
        state.pairs.switched(reading.time, bool(value))
    elif value is not None:
        state.pairs.observe(track.name, reading.time, float(value))
    return state.pairs.doubt(track.name) or (reading.quality, reading.reason)


def _heard(time: float, track: Track) -> None:
    if track.time is not None:
        gap = time - track.time
        track.interval = gap if track.interval == 0.0 else 0.8 * track.interval + 0.2 * gap
    track.time, track.told_silent = time, None


def _believe(reading: Reading, track: Track, state: State) -> None:
    value, time = reading.value, reading.time
    if value != track.value:
        if value is not None and track.value is not None and not isinstance(value, bool):
            _note_change(abs(value - track.value), time, track, state)
        track.changed, track.moves_then = time, state.moves
    if track.name == "blower/running":
        state.blowing_since = (
            None if not value else time if state.blowing_since is None else state.blowing_since
        )
    track.value, track.believed, track.doubted, track.confirmed_by = value, time, None, 0
    if value is not None and track.habit.usual is not None:
        _remember(track, time, float(value))


def _remember(track: Track, time: float, value: float) -> None:
    """Keep a value every few seconds for a minute: bounded, and enough to see a rate by."""
    past = track.past
    if past and time - past[-1][0] < table.MINUTE / table.PAST_KEPT:
        return
    past.append((time, value))
    while time - past[0][0] > table.MINUTE:
        past.popleft()


def _note_change(change: float, time: float, track: Track, state: State) -> None:
    state.moves += 1
    lasted = still_for(time, track, state)
    if 0.0 < lasted < max(allowed_stillness(track), table.STUCK_AFTER):
        track.digit = min(track.digit, change)
        track.changes += 1
        track.usual_stillness += (lasted - track.usual_stillness) / min(track.changes, table.LIVELY_AFTER)


def _silent(now: float, track: Track) -> Reading | None:
    if track.time is None:
        return None
    last = track.time if track.told_silent is None else track.told_silent
    if now - last <= max(track.patience, 3.5 * track.interval):
        return None
    track.told_silent = now
    return Reading(track.name, now, None, *kinds.ABSENT.found(seconds=now - track.time))
