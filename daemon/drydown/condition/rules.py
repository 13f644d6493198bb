"""The rules that a value is held against, one by one: each finds a fault, or nothing."""

from collections.abc import Callable

from drydown.condition import kinds, table
from drydown.condition.kinds import Verdict
from drydown.condition.track import State, Track
from drydown.condition.words import said
from drydown.quantities import MEASURED


def _power_on(value: float, _time: float, track: Track, _state: State) -> Verdict | None:
    held = track.sensor.power_on
    if held is None or MEASURED[track.name].unit != "Cel" or abs(value - held) > 1e-6:
        return None
    if track.value is not None and abs(track.value - held) <= table.NEAR_POWER_ON:
        return None
    return kinds.POWER_ON.found(now=said(track.name, held), sensor=table.DS18B20.title)


def _out_of_range(value: float, _time: float, track: Track, _state: State) -> Verdict | None:
    bounds = track.range
    if bounds is None or bounds.low <= value <= bounds.high:
        return None
    is_far = not bounds.low - bounds.slack <= value <= bounds.high + bounds.slack
    return (kinds.FAR_OUT if is_far else kinds.JUST_OUT).found(
        now=said(track.name, value),
        sensor=track.sensor.title,
        low=said(track.name, bounds.low),
        high=said(track.name, bounds.high),
    )


def _rate(value: float, time: float, track: Track, _state: State) -> Verdict | None:
    """Whatever the steps: how far it has come from what it was within the last minute."""
    usual, most = track.habit.usual, track.habit.in_a_minute
    if usual is None:
        return None
    found = None
    for then, before in track.past:
        took, change = time - then, abs(value - before)
        if took > table.MINUTE or change <= usual.within(took):
            continue
        is_impossible = most is not None and change > most
        found = (kinds.RUNAWAY if is_impossible else kinds.CREEPING).found(
            before=said(track.name, before), now=said(track.name, value), seconds=took
        )
        if is_impossible:
            break
    return found


def _jump(value: float, time: float, track: Track, _state: State) -> Verdict | None:
    usual, possible = track.habit.usual, track.habit.possible
    if usual is None or possible is None or track.value is None:
        return None
    change, took = abs(value - track.value), time - track.believed
    if change <= usual.within(took):
        track.doubted = None
        return None
    if change <= possible.within(took):
        return _changed(kinds.FAST, value, took, track)
    agrees = track.doubted is not None and abs(value - track.doubted) <= usual.within(took)
    track.doubted, track.confirmed_by = value, track.confirmed_by + 1 if agrees else 1
    if track.confirmed_by < table.CONFIRMED_BY:
        return _changed(kinds.LEAP, value, took, track)
    track.past.clear()  # it is somewhere else now, and what it was says no more
    return _changed(kinds.MOVED, value, took, track)


def _changed(kind: kinds.Fault, value: float, took: float, track: Track) -> Verdict:
    before = said(track.name, track.value or 0.0)
    return kind.found(before=before, now=said(track.name, value), seconds=took)


def _empty(value: float, _time: float, track: Track, _state: State) -> Verdict | None:
    if track.name != "fuel/level" or value >= table.EMPTY:
        return None
    return kinds.EMPTY.found(now=said(track.name, value))


def _stuck(value: float, time: float, track: Track, state: State) -> Verdict | None:
    if value != track.value or value == track.habit.stop or track.habit.still is None:
        return None
    still = still_for(time, track, state)
    if still < table.STUCK_AFTER or state.moves - track.moves_then < table.OTHERS_MOVED:
        return None
    if still < allowed_stillness(track):
        return None
    return kinds.STUCK.found(now=said(track.name, value), minutes=still / 60)


RULES: tuple[Callable[[float, float, Track, State], Verdict | None], ...] = (
    _power_on,
    _out_of_range,
    _rate,
    _jump,
    _empty,
    _stuck,
)
"""In the order in which they are asked; the first that says bad has the last word."""


def allowed_stillness(track: Track) -> float:
    """For how long (s) it may show the same digits, by what it has shown so far."""
    if track.changes < table.LIVELY_AFTER or track.digit > track.habit.fine:
        return track.habit.still or 0.0
    return table.STUCK_FACTOR * track.usual_stillness


def still_for(time: float, track: Track, state: State) -> float:
    """For how long it has shown the same digits though it ought to move."""
    if not track.habit.moves_only_while_blowing:
        return time - track.changed
    return 0.0 if state.blowing_since is None else time - max(track.changed, state.blowing_since)
