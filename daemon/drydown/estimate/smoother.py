"""Fits one stretch of a run: parameters and trajectory together, by Gauss–Newton, every interval shot apart.

The step map is linearised over all intervals at once; the pieces are joined by a linear recursion, which also
gives the sensitivity of every state to every parameter. What the model cannot follow is an Ornstein–Uhlenbeck
discrepancy of the temperature, marginalised by whitening with the inverse Cholesky factor of its covariance.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drydown.estimate.balance import (
    FUEL,
    LAYER,
    LN_METHANOL,
    LN_WATER,
    PROBE,
    RISE,
    STATES,
    WALL,
    Constants,
    Drive,
    Vessel,
    advance,
    soluble,
)
from drydown.estimate.unknowns import COUNT, DRIVEN, INDEX, physical
from drydown.physics.values import Array

DISCREPANCY, MEMORY = 0.06, 2400.0  # K and s: what the balance leaves unexplained; from simulated runs
# what is still usual in simulated runs: mean square of the last residuals, and (θ − prior)² in its own metric
LATELY, USUAL_LATELY, USUAL_SURPRISE = 12, 2.5, 8.0
NUDGE = 1e-3  # of a parameter's σ
STATE_NUDGE = np.array([1e-4, 1e-4, 1e-3, 1e-3, 1e-3, 1e-3, 1e-3])
VARIANTS = 1 + STATES + DRIVEN
# intervals: in all, never merged at start and end, merged at once
MOST, KEPT_FINE, KEPT_RECENT, MERGED = 160, 60, 30, 30
LONGEST_PART, MOST_PARTS = 450.0, 4  # s; of an interval
LAYERED, OFFSET = INDEX["layer"], INDEX["fuel_offset"]


class Interval(NamedTuple):
    """One row of history: what drove it, and what the fuel probe read (NaN: nothing)."""

    drive: tuple[float, ...]  # the fields of Drive
    reading: float  # K, mean
    sigma: float  # K, of its own noise


class Hint(NamedTuple):
    """A scalar observation of ln of one state at one interval's end, or of a parameter (state −1)."""

    state: int
    place: int
    value: float
    sigma: float


class Posterior(NamedTuple):
    """The belief, linear about the fit: `step` from the fit to the mean, and the covariance, both of θ."""

    step: Array
    covariance: Array
    strain: float  # up to about 1 while the model explains the readings with ordinary values


class Smoother:
    """The fit of one stretch. Holds at most MOST intervals whatever the run's length."""

    def __init__(self, vessel: Vessel, mean: Array, covariance: Array, first: float, joined: bool) -> None:
        """first: the fuel probe's first reading, K; joined: the blower was found running."""
        self.vessel, self.prior_mean, self.precision = vessel, mean, np.linalg.inv(covariance)
        self.theta = mean.copy()
        self.first, self.joined = first, joined
        self.count = 0
        self.drives = np.zeros((len(Drive._fields), MOST + 1))
        self.reading, self.sigma = np.zeros(MOST + 1), np.zeros(MOST + 1)
        self.path = np.zeros((MOST + 2, STATES))
        self.joint = np.zeros((MOST + 2, STATES, COUNT + 1))  # sensitivities; the defect in the last column
        self.rows = np.zeros((MOST + 1, COUNT + 1))  # of the readings: sensitivities and residual
        self.whitener = np.zeros((MOST + 1, MOST + 1))
        self.white = np.zeros((MOST + 1, COUNT + 1))  # the rows, whitened
        self.hints: list[Hint] = []
        self.flow_hint: tuple[float, float] | None = None

    def append(self, interval: Interval) -> bool:
        """Adds the newest interval, linearised where the last one ended; whether old ones were merged."""
        merged = self.count >= MOST
        if merged:
            self._merge()
        i = self.count
        self.drives[:, i] = interval.drive
        self.reading[i] = interval.reading if interval.reading == interval.reading else 0.0
        self.sigma[i] = interval.sigma if interval.reading == interval.reading else 1e3
        if i == 0:
            self._begin()
        self.count = i + 1
        self._extend_whitener(i)
        self._linearise(i)
        return merged

    def refit(self) -> None:
        """One Gauss–Newton iteration over the whole stretch."""
        step = self.posterior().step
        step = step * min(1.0, 1.5 / max(float(np.abs(step).max()), 1e-9))
        n = self.count
        self.theta = np.clip(self.theta + step, -5.0, 5.0)
        self.path[: n + 1] += self.joint[: n + 1, :, :COUNT] @ step + self.joint[: n + 1, :, COUNT]
        self._hold_in_bounds()
        self._begin()
        self._linearise(0)

    def posterior(self) -> Posterior:
        """The belief from all that was seen."""
        n = self.count
        jacobian, residual = self.white[:n, :COUNT], self.white[:n, COUNT]
        information = self.precision + jacobian.T @ jacobian
        gradient = self.precision @ (self.prior_mean - self.theta) + jacobian.T @ residual
        for row, miss in self._hint_rows():
            information += np.outer(row, row)
            gradient += row * miss
        covariance = np.asarray(np.linalg.inv(information), np.float64)
        step = covariance @ gradient
        return Posterior(step, covariance, self._strain(step, residual - jacobian @ step))

    def _strain(self, step: Array, left: Array) -> float:
        """How far the readings are from what the model and its priors can do: the worst of three signs.

        The whitened residuals' mean square over the whole stretch, the same over its last minutes, and how
        far the unknowns had to go from their priors.
        """
        moved = self.theta + step - self.prior_mean
        squares = left * left
        lately = squares[-LATELY:]
        return max(
            float(squares.mean()),
            float(lately.sum()) / LATELY / USUAL_LATELY,
            float(moved @ self.precision @ moved) / USUAL_SURPRISE,
        )

    def now(self, step: Array) -> tuple[Array, Array]:
        """The state at the end with its sensitivities, shapes (STATES,) and (STATES, COUNT)."""
        end = self.joint[self.count]
        return self.path[self.count] + end[:, :COUNT] @ step + end[:, COUNT], end[:, :COUNT]

    def times_back(self) -> Array:
        """Seconds before now at which each interval begins, and 0 for the end; shape (count + 1,)."""
        lengths = self.drives[0, : self.count]
        return np.concatenate((np.cumsum(lengths[::-1])[::-1], [0.0]))

    def _start(self, theta: Array) -> Array:
        """The state at the first moment for parameters (variants, COUNT): shape (STATES, variants)."""
        v = physical(theta).T
        fuel = self.first - v[LAYERED] - v[OFFSET]
        c = Constants(v[:, :, None], self._drive(0, 1), self.vessel)
        air = c.air[:, 0]
        wall = fuel - (fuel - air) * 0.5 * v[INDEX["loss"]] / (
            0.5 * v[INDEX["loss"]] + v[INDEX["wall"]] / v[INDEX["wall_time"]]
        )
        content = v[INDEX["water"]] * soluble(fuel, v[INDEX["saturation"]])
        state = np.empty((STATES, theta.shape[0]))
        state[LN_METHANOL], state[LN_WATER] = np.log(v[INDEX["methanol"]]), np.log(content)
        state[FUEL], state[WALL], state[LAYER] = fuel, wall, v[LAYERED]
        state[PROBE] = self.first - v[OFFSET]
        state[RISE] = 0.8 * v[INDEX["rise"]] if self.joined else 0.0
        return state

    def _begin(self) -> None:
        theta = np.vstack((self.theta, self.theta + NUDGE * np.eye(COUNT)))
        state = self._start(theta)
        self.path[0] = state[:, 0]
        self.joint[0, :, :COUNT] = (state[:, 1:] - state[:, :1]) / NUDGE
        self.joint[0, :, COUNT] = 0.0

    def _drive(self, i: int, j: int) -> Drive:
        return Drive(*self.drives[:, i:j])

    def _linearise(self, i: int) -> None:
        """Recomputes all from interval i to the end."""
        n, p = self.count, self.path
        theta = np.repeat(self.theta[None, :], VARIANTS, axis=0)
        theta[1 + STATES + np.arange(DRIVEN), np.arange(DRIVEN)] += NUDGE
        drive = self._drive(i, n)
        state = np.repeat(p[i:n].T[:, None, :], VARIANTS, axis=1)
        for s in range(STATES):
            state[s, 1 + s] += STATE_NUDGE[s]
        parts = min(max(1, int(np.ceil(drive.length.max() / LONGEST_PART))), MOST_PARTS)
        after, read = advance(state, Constants(physical(theta).T[:, :, None], drive, self.vessel), parts)
        if i == n - 1:
            p[n] = after[:, 0, 0]
        base = after[:, 0]
        by_state = (after[:, 1 : 1 + STATES] - base[:, None]) / STATE_NUDGE[None, :, None]
        by_state = by_state.transpose(2, 0, 1).copy()
        by_theta = np.zeros((n - i, STATES, COUNT + 1))
        by_theta[:, :, :DRIVEN] = ((after[:, 1 + STATES :] - base[:, None]) / NUDGE).transpose(2, 0, 1)
        by_theta[:, :, COUNT] = base.T - p[i + 1 : n + 1]
        joint = self.joint
        for k in range(n - i):
            np.dot(by_state[k], joint[i + k], out=joint[i + k + 1])
            joint[i + k + 1] += by_theta[k]
            if k % 16 == 15:  # what has faded would slow the processor as denormal numbers
                joint[i + k + 1][np.abs(joint[i + k + 1]) < 1e-40] = 0.0
        self._read_rows(i, read)

    def _read_rows(self, i: int, read: Array) -> None:
        n = self.count
        by_state = ((read[1 : 1 + STATES] - read[0]) / STATE_NUDGE[:, None]).T[:, None, :]
        rows = (by_state @ self.joint[i:n])[:, 0]
        rows[:, :DRIVEN] += ((read[1 + STATES :] - read[0]) / NUDGE).T
        v = physical(self.theta)
        seen = read[0] + rows[:, COUNT] + v[OFFSET]
        rows[:, OFFSET] += _SIGMA_OFFSET
        rows[:, COUNT] = self.reading[i:n] - seen
        self.rows[i:n] = rows
        self.white[i:n] = self.whitener[i:n, :n] @ self.rows[:n]

    def _hint_rows(self) -> list[tuple[Array, float]]:
        found = []
        if self.flow_hint is not None:
            value, sigma = self.flow_hint
            row = np.zeros(COUNT)
            row[INDEX["flow"]] = 0.25 / sigma
            found.append((row, value / sigma - float(row @ self.theta)))
        for hint in self.hints:
            place = min(hint.place, self.count)
            joint = self.joint[place, hint.state]
            miss = hint.value - self.path[place, hint.state] - joint[COUNT]
            found.append((joint[:COUNT] / hint.sigma, float(miss) / hint.sigma))
        return found

    def _covariance(self, i: int, j: int) -> Array:
        """Of readings i to j with readings 0 to j, without their own noise."""
        middle = np.cumsum(self.drives[0, :j]) - 0.5 * self.drives[0, :j]
        result: Array = DISCREPANCY**2 * np.exp(-np.abs(middle[i:j, None] - middle[None, :j]) / MEMORY)
        return result

    def _extend_whitener(self, i: int) -> None:
        covariance = self._covariance(i, i + 1)[0]
        known = self.whitener[:i, :i]
        beside = known @ covariance[:i]
        own = np.sqrt(max(covariance[i] + self.sigma[i] ** 2 - float(beside @ beside), 1e-6))
        self.whitener[i, :i] = -(beside @ known) / own
        self.whitener[i, i] = 1.0 / own

    def _merge(self) -> None:
        """Joins the shortest neighbours between the finely kept start and the recent past."""
        lengths = self.drives[0]
        a = self._shortest_pairs(lengths)
        b = a + 1
        keep = np.setdiff1d(np.arange(self.count), b)
        share = lengths[a] / (lengths[a] + lengths[b])
        total = lengths[a] + lengths[b]
        self.drives[:, a] = share * self.drives[:, a] + (1.0 - share) * self.drives[:, b]
        self.drives[0, a] = total
        lost = np.minimum(self.sigma[a], self.sigma[b]) < 100.0
        better = np.where(self.sigma[a] <= self.sigma[b], self.reading[a], self.reading[b])
        both = np.maximum(self.sigma[a], self.sigma[b]) < 100.0
        self.reading[a] = np.where(both, share * self.reading[a] + (1.0 - share) * self.reading[b], better)
        self.sigma[a] = np.where(lost, np.maximum(np.minimum(self.sigma[a], self.sigma[b]), 0.05), 1e3)
        n = len(keep)
        for array in (self.reading, self.sigma):
            array[:n] = array[keep]
        self.drives[:, :n] = self.drives[:, keep]
        self.path[: n + 1] = self.path[np.append(keep, self.count)]
        places = {int(old): new for new, old in enumerate(np.append(keep, self.count))}
        self.hints = [h._replace(place=places.get(h.place, places.get(h.place - 1, 0))) for h in self.hints]
        self.count = n
        covariance = self._covariance(0, n) + np.diag(self.sigma[:n] ** 2)
        self.whitener[:] = 0.0
        self.whitener[:n, :n] = np.linalg.inv(np.linalg.cholesky(covariance))
        self._begin()
        self._linearise(0)

    def _shortest_pairs(self, lengths: Array) -> NDArray[np.int64]:
        """The first of each pair of neighbours to join, MERGED of them, none in two pairs."""
        places = np.arange(KEPT_FINE, self.count - KEPT_RECENT - 1)
        free = np.ones(self.count, bool)
        chosen: list[int] = []
        for i in places[np.argsort(lengths[places] + lengths[places + 1], kind="stable")].tolist():
            if free[i] and free[i + 1]:
                free[i] = free[i + 1] = False
                chosen.append(i)
            if len(chosen) == MERGED:
                break
        return np.array(sorted(chosen))

    def _hold_in_bounds(self) -> None:
        p = self.path[: self.count + 1]
        np.clip(p[:, LN_METHANOL], -18.0, -1.2, out=p[:, LN_METHANOL])
        np.clip(p[:, LN_WATER], -13.0, -3.0, out=p[:, LN_WATER])
        np.clip(p[:, FUEL : WALL + 1], 230.0, 370.0, out=p[:, FUEL : WALL + 1])


def _sigma_of(i: int) -> float:
    above, at = physical(np.eye(COUNT)[i]), physical(np.zeros(COUNT))
    return float(above[i] - at[i])


_SIGMA_OFFSET = _sigma_of(OFFSET)
