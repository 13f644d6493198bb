"""When each alarm is raised: pure functions from what is known of a tank to what is wrong with it.

`deadband` is 0 until the alarm stands; then it is how far the value has to fall below its limit before the
condition no longer holds. A reading that was not there yet is not lost: then there is nothing to find.
"""

from dataclasses import replace

from drydown.alarms.rates import PROBE_NOISE, STEADY_MARGIN, blower_warming, fuel_heating
from drydown.alarms.scene import Finding, Scene, Values
from drydown.commands import Part
from drydown.effects import Priority
from drydown.estimate.result import Verdict
from drydown.physics.vapour_limits import LOWER_FLAMMABLE_LIMIT, SHORT_EXPOSURE_LIMIT

EMERGENCY_SHARE, HIGH_SHARE = 0.25, 0.10  # of the lower flammable limit; NFPA 69, and usual set points

PARTS = {
    Part.BROKER: Priority.LOW,
    Part.CLOCK: Priority.LOW,
    Part.PROBES: Priority.LOW,
    Part.DOUBT: Priority.LOW,
    Part.FORWARD: Priority.LOW,
    Part.STORE: Priority.HIGH,
    Part.DISK: Priority.HIGH,
    Part.NOTICES: Priority.HIGH,
    Part.BOARD: Priority.HIGH,
    Part.ESTIMATE: Priority.HIGH,
    Part.WATCH: Priority.HIGH,
}
"""How bad it is when a part fails."""


def vent_closed(scene: Scene, _deadband: float) -> Finding | None:
    """The blower runs, or may run, and the vent is not known to be open."""
    if scene.running is False or scene.values.get("vent/open"):
        return None
    lost = _lost(scene, "vent/open") or _lost(scene, "blower/running")
    if lost:
        return replace(lost, explained_by="probe-fault" if scene.is_blind else "")
    if "vent/open" not in scene.values or scene.running is None:
        return None
    return Finding(Priority.EMERGENCY, "value", {}, frozenset({"value"}))


def vapour_high(scene: Scene, deadband: float) -> Finding | None:
    """Methanol vapour in the room: measured where a probe is fitted, worked out elsewhere.

    What is worked out has to be so bad in two cases of three: even odds would be wrong every other time.
    """
    measured = scene.number("vapour/methanol")
    if measured is not None:
        return _vapour("value", measured, measured, deadband)
    told, likely = scene.room_methanol, scene.room_methanol_likely
    if told is not None and likely is not None:
        found = _vapour("estimate", likely, told, deadband)
        if found:
            return found
    lost = _lost(scene, "vapour/methanol")
    if lost or scene.running is False:
        return lost
    return _lost(scene, "fuel/temperature")


def _vapour(cause: str, vapour: float, told: float, deadband: float) -> Finding | None:
    if vapour <= HIGH_SHARE * LOWER_FLAMMABLE_LIMIT - deadband:
        return None
    is_emergency = vapour > EMERGENCY_SHARE * LOWER_FLAMMABLE_LIMIT
    priority = Priority.EMERGENCY if is_emergency else Priority.HIGH
    values: Values = {"methanol": told, "share": told / LOWER_FLAMMABLE_LIMIT}
    return Finding(priority, cause, values, frozenset({cause}))


def keep_out(scene: Scene, deadband: float) -> Finding | None:
    """The room holds more methanol vapour than one may breathe for a quarter of an hour."""
    measured = scene.number("vapour/methanol")
    vapour = scene.room_methanol if measured is None else measured
    if vapour is None or vapour <= SHORT_EXPOSURE_LIMIT - deadband:
        return None
    values: Values = {"vapour": vapour, "breathable": SHORT_EXPOSURE_LIMIT}
    if scene.enter_after:  # none at all is what was told before it rose
        values["enter_after"] = scene.enter_after
    cause = "estimate" if measured is None else "value"
    worse = vapour_high(scene, 0.0)
    told = "probe-fault" if scene.is_blind else ""
    if worse and worse.cause != "lost":
        told = "vapour-high"
    return Finding(Priority.LOW, cause, values, frozenset({"vapour"}), told)


def fuel_hot(scene: Scene, deadband: float) -> Finding | None:
    """The fuel is over its limit, or warms faster than the blower can warm it."""
    name = "fuel/temperature"
    temperature = scene.number(name)
    if temperature is None:
        return _lost(scene, name)
    limit = scene.tank.limits.fuel_temperature
    if temperature > limit - deadband:
        values = {"temperature": temperature, "limit": limit}
        return Finding(Priority.EMERGENCY, "value", values, frozenset({"value"}))
    rate = scene.rates.get(name, 0.0)
    if rate <= PROBE_NOISE or scene.now < scene.stirred_until:
        return None
    possible = fuel_heating(scene) + PROBE_NOISE
    if rate <= possible:
        return None
    values = {"temperature": temperature, "rate": rate, "possible": possible}
    return Finding(Priority.HIGH, "rate", values, frozenset({"rate"}))


def blower_hot(scene: Scene, deadband: float) -> Finding | None:
    """The motor or the air that the blower gives is over its limit, or warms faster than a sound one."""
    limits = {
        "blower/motor_temperature": scene.tank.limits.motor_temperature,
        "blower/discharge_temperature": scene.tank.limits.discharge_temperature,
    }
    hot = {
        name: value
        for name, limit in limits.items()
        if (value := scene.number(name) or 0.0) > limit - deadband
    }
    if hot:
        name, temperature = next(iter(hot.items()))
        values: Values = {"probe": name, "temperature": temperature, "limit": limits[name]}
        return Finding(Priority.EMERGENCY, "value", values, frozenset(f"{name} value" for name in hot))
    findings = [_warms_too_fast(scene, name) for name in limits]
    findings += [_lost(scene, name) for name in limits]
    return next(filter(None, findings), None)


def _warms_too_fast(scene: Scene, name: str) -> Finding | None:
    temperature, rate = scene.number(name), scene.rates.get(name, 0.0)
    if temperature is None or rate <= STEADY_MARGIN:
        return None
    possible = blower_warming(name, scene.stretch if scene.running else 0.0)
    if rate <= possible:
        return None
    values: Values = {"probe": name, "temperature": temperature, "rate": rate, "possible": possible}
    return Finding(Priority.HIGH, "rate", values, frozenset({f"{name} rate"}))


def blower_overrun(scene: Scene, _deadband: float) -> Finding | None:
    """One stretch of running has become longer than is allowed."""
    if scene.running is None:
        return _lost(scene, "blower/running")
    longest = scene.tank.blower.longest_run
    if not scene.running or scene.stretch <= longest:
        return None
    values = {"stretch": scene.stretch, "longest": longest}
    return Finding(Priority.HIGH, "value", values, frozenset({"value"}))


def probe_fault(scene: Scene, _deadband: float) -> Finding | None:
    """A probe is silent, or what it says cannot be believed."""
    if not scene.lost:
        return None
    names = sorted(scene.lost)
    blind = [alarm for alarm, needs in scene.needs.items() if not needs.isdisjoint(names)]
    priority = Priority.EMERGENCY if blind else Priority.HIGH
    vent = vent_closed(scene, 0.0) if len(names) == 1 else None
    told = "vent-closed" if vent and vent.cause == "lost" else ""
    cause = "board" if scene.is_blind and "vent/open" in names else "lost"
    values = {"probes": ", ".join(names), "reason": scene.lost[names[0]].reason, "watched": ", ".join(names)}
    values |= {"blind": ", ".join(blind)} if blind else {}
    return Finding(priority, cause, values, frozenset(names), told)


def air_damp(scene: Scene, _deadband: float) -> Finding | None:
    """Bubbling brings water in."""
    if not scene.running or scene.verdict is not Verdict.WETTING or scene.water_floor is None:
        return None
    return Finding(Priority.LOW, "estimate", {"water_floor": scene.water_floor}, frozenset({"wetting"}))


def watch_degraded(scene: Scene, _deadband: float) -> Finding | None:
    """A part of drydown itself does not do its work."""
    if not scene.degraded:
        return None
    parts = sorted(scene.degraded, key=lambda part: (PARTS[part] is not Priority.HIGH, part))
    values = {"parts": ", ".join(parts), "reason": scene.degraded[parts[0]]}
    return Finding(PARTS[parts[0]], parts[0], values, frozenset(parts))


def _lost(scene: Scene, name: str) -> Finding | None:
    """An alarm cannot tell: as urgent as `probe-fault`, which comes for the same reason.

    Several probes that are lost at once have one cause, and `probe-fault` names all that nobody can tell.
    """
    loss = scene.lost.get(name)
    if loss is None:
        return None
    values: Values = {"probe": name, "reason": loss.reason}
    told = "probe-fault" if len(scene.lost) > 1 else ""
    return Finding(Priority.EMERGENCY, "lost", values, frozenset({f"{name} lost"}), told)
