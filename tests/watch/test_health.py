"""What fails for a minute is told once, and told again when it is mended."""

from drydown.commands import Degraded, Mended, Part
from drydown.watch.health import TOLERATED, Health

AWAY = {Part.BROKER: "the broker is away"}


def test_a_part_that_fails_for_a_minute_is_told_once() -> None:
    health = Health()
    told = [list(health.look(float(second), AWAY)) for second in range(0, 200, 10)]
    assert [commands for commands in told if commands] == [[Degraded(Part.BROKER, "the broker is away")]]
    assert told.index([Degraded(Part.BROKER, "the broker is away")]) * 10 == TOLERATED


def test_a_part_that_works_again_is_told_once() -> None:
    health = Health()
    for now in (0.0, TOLERATED):
        list(health.look(now, AWAY))
    assert list(health.look(70.0, {})) == [Mended(Part.BROKER)]
    assert list(health.look(80.0, {})) == []


def test_a_short_failure_is_not_told_and_its_time_is_not_counted() -> None:
    health = Health()
    assert list(health.look(0.0, AWAY)) == []
    assert list(health.look(50.0, {})) == []
    assert list(health.look(55.0, AWAY)) == []
    assert list(health.look(70.0, AWAY)) == []
    assert list(health.look(55.0 + TOLERATED, AWAY)) == [Degraded(Part.BROKER, "the broker is away")]


def test_parts_are_told_apart() -> None:
    health = Health()
    list(health.look(0.0, AWAY))
    both = AWAY | {Part.DISK: "full"}
    list(health.look(30.0, both))
    assert list(health.look(60.0, both)) == [Degraded(Part.BROKER, "the broker is away")]
    assert list(health.look(90.0, {Part.DISK: "full"})) == [Mended(Part.BROKER), Degraded(Part.DISK, "full")]
