"""When the alarms about level and flow are raised; see `conditions` for what all of them have in common."""

from drydown.alarms.scene import Finding, Scene, Values
from drydown.alarms.wander import FOAM
from drydown.effects import Priority
from drydown.run.movement import LevelKind

FULL = 0.02  # m below the brim; bubbles throw the surface about by as much (judgement)
SPILT = 0.001  # m³; what is less may be fuel that cools or settles after the bubbles (judgement)
SLOWEST = 0.35e-3 / 60  # m³/s; fuel that cools in layers, or lets its last bubbles go, falls by less
WEAK = 0.5  # of the usual air: what is surely less is far below what wear and a dusty filter explain


def level_falling(scene: Scene, _deadband: float) -> Finding | None:
    """Fuel leaves the tank, more than bubbles can feign, and nobody draws or drains it."""
    movement = scene.movement
    if scene.number("fuel/level") is None:
        return _untold(scene)
    if movement.kind is not LevelKind.LEAK or movement.since is None:
        return None
    if movement.volume < (scene.wander if movement.bubbling else SPILT):
        return None
    lasted = max(scene.now - movement.since, 1.0)
    rate = movement.volume / lasted if movement.rate is None else -movement.rate
    if rate < SLOWEST:
        return None
    values: Values = {"leaving": rate, "gone": movement.volume}
    cause = "bubbling" if movement.bubbling else "rate"
    return Finding(Priority.EMERGENCY, cause, values, frozenset({"leak"}))


def level_high(scene: Scene, deadband: float) -> Finding | None:
    """Foam rises, or fuel that comes in has come up to the brim.

    Not bubbling fuel at the brim: tanks have lids and necks above what their owners measure as their height.
    """
    movement, level = scene.movement, scene.number("fuel/level")
    if level is None:
        return _untold(scene)
    values: Values = {} if movement.headroom is None else {"headroom": max(movement.headroom, 0.0)}
    if movement.kind is LevelKind.FOAM or scene.rise >= FOAM:
        return Finding(Priority.EMERGENCY, "foam", values, frozenset({"foam"}))
    rises = movement.kind is LevelKind.FILLING or deadband > 0.0
    if not rises or movement.headroom is None or movement.headroom > FULL + deadband:
        return None
    return Finding(Priority.EMERGENCY, "value", values, frozenset({"full"}))


def blower_weak(scene: Scene, _deadband: float) -> Finding | None:
    """The blower runs and surely gives less than half of its usual air."""
    if scene.number("fuel/level") is None:
        return _untold(scene)
    share = scene.flow_share
    if not scene.running or share is None or share.high >= WEAK:
        return None
    values: Values = {"flow": share.median, "flow_most": share.high}
    return Finding(Priority.HIGH, "estimate", values, frozenset({"weak"}))


def _untold(scene: Scene) -> Finding | None:
    """Without a level these alarms cannot tell; `probe-fault` says so for all of them."""
    loss = scene.lost.get("fuel/level")
    if loss is None:
        return None
    values: Values = {"probe": "fuel/level", "reason": loss.reason}
    return Finding(Priority.EMERGENCY, "lost", values, frozenset({"fuel/level lost"}), "probe-fault")
