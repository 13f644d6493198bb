"""The fit's linear algebra against the long way round."""

import numpy as np
import pytest

from drydown.estimate import smoother as smoothing
from drydown.estimate.balance import STATES, Constants, Drive, Vessel, advance
from drydown.estimate.smoother import Interval, Smoother
from drydown.estimate.unknowns import COUNT, DRIVEN, INDEX, physical

VESSEL = Vessel(140.0, 0.015)


def drive_of(length: float) -> tuple[float, ...]:
    return (length, 1.0, 1.0, 291.0, 0.5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def fitted(intervals: int) -> Smoother:
    smoother = Smoother(VESSEL, np.zeros(COUNT), np.eye(COUNT), 303.0, joined=False)
    for i in range(intervals):
        smoother.append(Interval(drive_of(60.0), 303.0 - 5.0 * (1.0 - np.exp(-i / 25.0)), 0.03))
        if i % 10 == 9:
            smoother.refit()
    return smoother


def shot(smoother: Smoother, theta: np.ndarray, intervals: int) -> np.ndarray:
    """The state at the end, by going through all intervals one after the other."""
    state = smoother._start(theta[None, :])[:, :, None]
    values = physical(theta[None, :]).T[:, :, None]
    for i in range(intervals):
        drive = Drive(*(np.array([x]) for x in smoother.drives[:, i]))
        state, _ = advance(state, Constants(values, drive, VESSEL), 1)
    return np.asarray(state[:, 0, 0])


def test_the_fit_comes_to_rest_where_the_pieces_join() -> None:
    smoother = fitted(60)
    for _ in range(15):
        smoother.refit()
    assert np.abs(smoother.posterior().step).max() < 0.01
    assert np.abs(smoother.joint[61 - 1, :, COUNT]).max() < 1e-3
    assert smoother.path[60] == pytest.approx(shot(smoother, smoother.theta, 60), abs=2e-3)


@pytest.mark.parametrize("name", ["flow", "methanol", "rise", "loss", "water", "fuel_offset"])
def test_sensitivities_are_those_of_the_whole_way(name: str) -> None:
    smoother = fitted(40)
    for _ in range(15):
        smoother.refit()
    i = INDEX[name]
    step = np.zeros(COUNT)
    step[i] = 0.02
    ahead, behind = (shot(smoother, smoother.theta + s * step, 40) for s in (1.0, -1.0))
    found = smoother.joint[40, :, i]
    assert found == pytest.approx((ahead - behind) / 0.04, rel=0.03, abs=2e-3)


def test_the_whitener_turns_the_covariance_into_one() -> None:
    smoother = fitted(50)
    n = smoother.count
    covariance = smoother._covariance(0, n) + np.diag(smoother.sigma[:n] ** 2)
    white = smoother.whitener[:n, :n] @ covariance @ smoother.whitener[:n, :n].T
    assert white == pytest.approx(np.eye(n), abs=1e-9)


def test_history_stays_bounded_and_time_is_kept_when_neighbours_are_merged() -> None:
    smoother = fitted(2 * smoothing.MOST)
    assert smoother.count <= smoothing.MOST
    assert smoother.drives[0, : smoother.count].sum() == pytest.approx(2 * smoothing.MOST * 60.0)


def test_readings_narrow_the_belief_about_the_start() -> None:
    at = INDEX["methanol"]
    few, many = (fitted(n).posterior().covariance[at, at] for n in (5, 60))
    assert many < 0.7 * few < 0.7


def test_the_order_of_unknowns_and_states_is_as_the_fit_takes_it() -> None:
    assert DRIVEN < COUNT
    assert len(smoothing.STATE_NUDGE) == STATES
