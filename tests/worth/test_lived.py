"""What a probe is said to be worth, against the same simulated run with that probe really there."""

import pytest

from drydown.worth.gain import AIR, DISCHARGE, METHANOL_TEST, WATER_TEST, Gain
from drydown.worth.lived import History, gains, is_read, live
from support.simulated import batch

ALIKE = 0.3  # by which the promise may differ from what comes true
SEED = 4


def history(kit: str) -> History:
    """From a quarter of an hour before the blower starts until it has run for three quarters of one."""
    priors, rows = batch(SEED, kit)
    read = tuple((row.since_start, row.sample) for row in rows if -900.0 <= row.since_start <= 2700.0)
    return History(priors, None, read)


@pytest.fixture(scope="module")
def told() -> dict[str, Gain]:
    return {gain.kind: gain for gain in gains(history("basic"))}


def test_an_air_probe_narrows_water_as_much_as_it_really_does(told: dict[str, Gain]) -> None:
    plain, with_it = live(history("basic")).ranges, live(history("air")).ranges
    assert plain.water and plain.methanol and with_it.water and with_it.methanol
    promised = told[AIR]
    assert not promised.fitted
    assert promised.water is not None
    assert promised.water < 0.5
    assert promised.water == pytest.approx(with_it.water / plain.water, rel=ALIKE)
    assert promised.methanol == pytest.approx(with_it.methanol / plain.methanol, rel=ALIKE)


def test_what_narrows_what(told: dict[str, Gain]) -> None:
    """The blower's outlet tells of heat, and so of methanol that leaves; nothing of the air's water."""
    assert set(told) == {AIR, DISCHARGE, METHANOL_TEST, WATER_TEST}
    assert (told[DISCHARGE].methanol or 1.0) < 0.9 < (told[DISCHARGE].water or 0.0)
    assert told[METHANOL_TEST].water is None
    assert (told[WATER_TEST].water or 1.0) < 0.9


def test_what_is_there_and_too_short_a_run() -> None:
    whole = history("air")
    assert (is_read(whole, AIR), is_read(whole, DISCHARGE)) == (True, False)
    short = History(whole.priors, None, whole.samples[:120])
    assert gains(short) == ()
