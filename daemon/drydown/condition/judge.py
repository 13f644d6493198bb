"""Judges readings: good, doubtful or bad, and why. Pure: the same readings always get the same judgement.

Nothing is smoothed or delayed: a reading leaves with the value and the time that it came with. A bad one is
recorded but never used; a doubtful one may be wrong, so alarms heed it and an estimate had better not.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

from drydown.condition import table
from drydown.condition.words import said
from drydown.config import model
from drydown.quantities import MEASURED
from drydown.reading import Quality, Reading

Verdict = tuple[Quality, str]
GOOD: Verdict = (Quality.GOOD, "")


@dataclass(slots=True)
class Track:
    """What is remembered of one quantity. Times are on the core's clock, in s."""

    name: str
    sensor: table.Sensor
    habit: table.Habit
    range: table.Range | None
    time: float | None = None  # of the latest reading
    interval: float = 0.0  # that readings usually keep
    told_silent: float | None = None
    value: float | bool | None = None  # the latest that was believed
    believed: float = 0.0  # when that was
    doubted: float | None = None  # a value that changed by more than is possible
    confirmed_by: int = 0
    changed: float = 0.0  # when its digits last changed
    changes: int = 0
    digit: float = math.inf  # the smallest change so far
    usual_stillness: float = 0.0  # s between two changes, a running mean
    moves_then: int = 0  # of all probes, when it last changed


@dataclass(slots=True)
class State:
    """What conditioning remembers of one tank from step to step."""

    tracks: dict[str, Track] = field(default_factory=dict)
    moves: int = 0  # changes of digits of all probes so far
    blowing_since: float | None = None


def new_state(probes: Mapping[str, model.Probe]) -> State:
    """Nothing remembered yet. `probes` are the tank's configured ones; others count as of unknown kind."""
    return State({name: _track(name, config) for name, config in probes.items()})


def condition(now: float, readings: Iterable[Reading], state: State) -> list[Reading]:
    """The same readings, judged; and a reading of None for each probe that has fallen silent.

    `now` and the readings' times are s on the core's clock; values are in SI units. `state` is updated. A
    silent probe is told of when it falls silent and again every `table.SILENCE` s.
    """
    judged = [_condition_one(now, reading, state) for reading in readings]
    judged += [reading for track in state.tracks.values() if (reading := _silent(now, track)) is not None]
    return judged


def _track(name: str, config: model.Probe | None) -> Track:
    sensor = table.sensor_of(config)
    return Track(name, sensor, table.HABITS.get(name, table.Habit()), table.range_of(name, sensor))


def _condition_one(now: float, reading: Reading, state: State) -> Reading:
    track = state.tracks.get(reading.name)
    if track is None:
        track = state.tracks[reading.name] = _track(reading.name, None)
    quality, reason = _judge(now, reading, track, state)
    if quality is not Quality.BAD:
        _believe(reading, track, state)
    elif track.name == "blower/running":
        state.blowing_since = None
    if quality is reading.quality and reason == reading.reason:
        return reading
    return replace(reading, quality=quality, reason=reason)


def _judge(now: float, reading: Reading, track: Track, state: State) -> Verdict:
    verdict = _judge_time(now, reading.time, track)
    if verdict is not None:
        return verdict
    _heard(reading.time, track)
    if reading.quality is Quality.BAD or reading.value is None:
        return Quality.BAD, reading.reason or "the probe gave no value"
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
        return Quality.BAD, f"stamped {time - now:.0f} s in the future: check the clock of whoever sent it"
    if track.time is None or time > track.time:
        return None
    if time == track.time:
        return Quality.BAD, "a second reading of the same moment: is the probe read, or sent, twice?"
    return Quality.BAD, f"stamped {track.time - time:.0f} s before the reading that came ahead of it"


def _judge_kind(value: float | bool, track: Track) -> Verdict | None:
    is_switch = MEASURED[track.name].is_boolean
    if is_switch is not isinstance(value, bool):
        return (
            Quality.BAD,
            "a number where yes or no is wanted" if is_switch else "yes or no where a number is wanted",
        )
    if not math.isfinite(value):
        return Quality.BAD, "not a finite number"
    return None


def _power_on(value: float, _time: float, track: Track, _state: State) -> Verdict | None:
    held = track.sensor.power_on
    if held is None or MEASURED[track.name].unit != "Cel" or abs(value - held) > 1e-6:
        return None
    if track.value is not None and abs(track.value - held) <= table.NEAR_POWER_ON:
        return None
    return Quality.BAD, (
        f"exactly {said(track.name, held)}, the value that a {table.DS18B20.title} holds "
        "when it has just been powered: check its supply and its plug"
    )


def _out_of_range(value: float, _time: float, track: Track, _state: State) -> Verdict | None:
    bounds = track.range
    if bounds is None or bounds.low <= value <= bounds.high:
        return None
    is_far = not bounds.low - bounds.slack <= value <= bounds.high + bounds.slack
    return Quality.BAD if is_far else Quality.DOUBTFUL, (
        f"{said(track.name, value)} is outside what a {track.sensor.title} can read ("
        f"{said(track.name, bounds.low)} to {said(track.name, bounds.high)}): "
        "check its wiring and calibration"
    )


def _jump(value: float, time: float, track: Track, _state: State) -> Verdict | None:
    usual, possible = track.habit.usual, track.habit.possible
    if usual is None or possible is None or track.value is None:
        return None
    change, took = abs(value - track.value), time - track.believed
    if change <= usual.within(took):
        track.doubted = None
        return None
    words = f"{said(track.name, track.value)} to {said(track.name, value)} within {took:.0f} s"
    if change <= possible.within(took):
        return Quality.DOUBTFUL, f"from {words}, which is faster than usual"
    agrees = track.doubted is not None and abs(value - track.doubted) <= usual.within(took)
    track.doubted, track.confirmed_by = value, track.confirmed_by + 1 if agrees else 1
    if track.confirmed_by >= table.CONFIRMED_BY:
        return Quality.DOUBTFUL, f"from {words}, and it stays there"
    return Quality.BAD, f"from {words}, faster than it can change: check the probe's plug and place"


def _empty(value: float, _time: float, track: Track, _state: State) -> Verdict | None:
    if track.name != "fuel/level" or value >= table.EMPTY:
        return None
    seen = said(track.name, value)
    return Quality.DOUBTFUL, f"{seen} means that the tank is empty, or the level probe wrong"


def _stuck(value: float, time: float, track: Track, state: State) -> Verdict | None:
    if value != track.value or value == track.habit.stop or track.habit.still is None:
        return None
    still = _still_for(time, track, state)
    if still < table.STUCK_AFTER or state.moves - track.moves_then < table.OTHERS_MOVED:
        return None
    if still < _allowed_stillness(track):
        return None
    return Quality.BAD, (
        f"stuck at {said(track.name, value)} for {still / 60:.0f} min while others move: check that probe"
    )


RULES: tuple[Callable[[float, float, Track, State], Verdict | None], ...] = (
    _power_on,
    _out_of_range,
    _jump,
    _empty,
    _stuck,
)
"""In the order in which they are asked; the first that says bad has the last word."""


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


def _note_change(change: float, time: float, track: Track, state: State) -> None:
    state.moves += 1
    lasted = _still_for(time, track, state)
    if 0.0 < lasted < max(_allowed_stillness(track), table.STUCK_AFTER):
        track.digit = min(track.digit, change)
        track.changes += 1
        track.usual_stillness += (lasted - track.usual_stillness) / min(track.changes, table.LIVELY_AFTER)


def _allowed_stillness(track: Track) -> float:
    """For how long (s) it may show the same digits, by what it has shown so far."""
    if track.changes < table.LIVELY_AFTER or track.digit > track.habit.fine:
        return track.habit.still or 0.0
    return table.STUCK_FACTOR * track.usual_stillness


def _still_for(time: float, track: Track, state: State) -> float:
    """For how long it has shown the same digits though it ought to move."""
    if not track.habit.moves_only_while_blowing:
        return time - track.changed
    return 0.0 if state.blowing_since is None else time - max(track.changed, state.blowing_since)


def _silent(now: float, track: Track) -> Reading | None:
    if track.time is None:
        return None
    last = track.time if track.told_silent is None else track.told_silent
    if now - last <= max(table.SILENCE, 3.5 * track.interval):
        return None
    track.told_silent = now
    reason = f"nothing has come from the probe for {now - track.time:.0f} s: check its plug and cable"
    return Reading(track.name, now, None, Quality.BAD, reason)
