"""What fails for a while is told once, and told again when it is mended."""

from drydown.alarms.catalogue import KINDS
from drydown.commands import Degraded, Mended, Part
from drydown.watch.health import TOLERANCE, Health
from drydown.watch.voice import LATE

AWAY = {Part.BROKER: "the broker is away"}


def test_a_part_that_fails_for_long_is_told_once() -> None:
    health = Health()
    told = [list(health.look(float(second), AWAY)) for second in range(200)]
    assert [commands for commands in told if commands] == [[Degraded(Part.BROKER, "the broker is away")]]
    assert told.index([Degraded(Part.BROKER, "the broker is away")]) == TOLERANCE


def test_the_alarm_comes_in_time_whatever_it_waits_for() -> None:
    kind = next(kind for kind in KINDS if kind.name == "watch-degraded")
    waits = dict.fromkeys(Part, TOLERANCE) | {Part.STORE: TOLERANCE + LATE}
    for part, wait in waits.items():
        assert wait + kind.on_delays[part] + 2 <= kind.deadlines[part]  # two looks, a second apart


def test_a_part_that_works_again_is_told_once() -> None:
    health = Health()
    for now in (0.0, TOLERANCE):
        list(health.look(now, AWAY))
    assert list(health.look(TOLERANCE + 1, {})) == [Mended(Part.BROKER)]
    assert list(health.look(TOLERANCE + 2, {})) == []


def test_a_short_failure_is_not_told_and_its_time_is_not_counted() -> None:
    health = Health()
    assert list(health.look(0.0, AWAY)) == []
    assert list(health.look(TOLERANCE - 1, {})) == []
    assert list(health.look(TOLERANCE, AWAY)) == []
    assert list(health.look(2 * TOLERANCE - 1, AWAY)) == []
    assert list(health.look(2 * TOLERANCE, AWAY)) == [Degraded(Part.BROKER, "the broker is away")]


def test_parts_are_told_apart() -> None:
    health = Health()
    list(health.look(0.0, AWAY))
    both = AWAY | {Part.NOTICES: "no way"}
    list(health.look(TOLERANCE / 2, both))
    assert list(health.look(TOLERANCE, both)) == [Degraded(Part.BROKER, "the broker is away")]
    assert list(health.look(1.5 * TOLERANCE, {Part.NOTICES: "no way"})) == [
        Mended(Part.BROKER),
        Degraded(Part.NOTICES, "no way"),
    ]


def test_a_full_disk_is_told_at_once() -> None:
    assert list(Health().look(0.0, {Part.DISK: "full"})) == [Degraded(Part.DISK, "full")]


def test_one_that_goes_on_for_another_tells_what_is_mended_since() -> None:
    health = Health(told=[Part.BROKER])
    assert list(health.look(0.0, {})) == [Mended(Part.BROKER)]
    assert list(Health(told=[Part.BROKER]).look(0.0, AWAY)) == []
