"""What a run teaches becomes the next one's prior, and nothing else does."""

import json
from dataclasses import asdict, replace

import numpy as np
import pytest

from drydown.estimate.estimator import Estimator
from drydown.estimate.learned import Learned, prior_of
from drydown.estimate.lesson_use import FORGETTING
from drydown.estimate.parameters import NAMES
from drydown.estimate.unknowns import COUNT, INDEX
from support.simulated import batch, estimates

BATCH_THINGS = {
    "methanol",
    "water",
    "layer",
    "air_unknown",
    "humidity_unknown",
    "air_drift",
    "humidity_drift",
}


@pytest.fixture(scope="module")
def learned() -> Learned:
    tank, rows = batch(9101, "discharge")
    estimator = Estimator(tank)
    list(estimates(estimator, rows))
    return estimator.learned()


def test_a_run_teaches(learned: Learned) -> None:
    covariance = np.array(learned.covariance)
    assert np.linalg.eigvalsh(covariance).min() > 0.0
    variances = dict(zip(learned.names, np.diag(covariance), strict=True))
    assert variances["flow"] < 0.8
    assert variances["loss"] < 0.9


def test_nothing_of_the_batch_or_the_day_is_carried_over(learned: Learned) -> None:
    assert not BATCH_THINGS & set(learned.names)
    mean, covariance = prior_of(learned)
    for name in BATCH_THINGS:
        i = INDEX[name]
        assert mean[i] == 0.0
        assert covariance[i].tolist() == np.eye(COUNT)[i].tolist()


def test_it_survives_a_file(learned: Learned) -> None:
    kept = json.loads(json.dumps(asdict(learned)))
    back = Learned(tuple(kept["names"]), tuple(kept["mean"]), tuple(map(tuple, kept["covariance"])))
    assert back == learned


def test_some_is_forgotten_between_two_runs(learned: Learned) -> None:
    _, covariance = prior_of(learned)
    i, j = INDEX["flow"], NAMES.index("flow")
    assert covariance[i, i] == pytest.approx((1 - FORGETTING) * learned.covariance[j][j] + FORGETTING)


def test_what_another_program_learned_is_not_used(learned: Learned) -> None:
    mean, covariance = prior_of(replace(learned, names=("other", *learned.names[1:])))
    assert not mean.any()
    assert (covariance == np.eye(COUNT)).all()


def test_a_run_of_a_few_minutes_teaches_nothing() -> None:
    tank, rows = batch(9101, "discharge")
    estimator = Estimator(tank)
    list(estimates(estimator, tuple(row for row in rows if row.since_start < 600.0)))
    assert estimator.learned() == Estimator(tank).learned()


def test_a_taught_estimator_starts_narrower(learned: Learned) -> None:
    tank, rows = batch(9101, "discharge")
    early = tuple(row for row in rows if row.since_start < 1300.0)
    widths = []
    for known in (None, learned):
        last = list(estimates(Estimator(tank, known), early))[-1].estimate.methanol
        assert last is not None
        widths.append(last.high / last.low)
    assert widths[1] < widths[0]
