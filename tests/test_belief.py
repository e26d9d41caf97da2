"""What is believed of the unknowns of a set: against the joint Gaussian, against an integral over a grid, and laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from freqplan.diagnosis.belief import DIAL, IF, SHIFT, UNKNOWNS, Belief, Reading

CLOSE = 1e-9
"""Of the sizes that take part: the two ways round differ by rounding only."""

hertz = st.floats(-300_000, 300_000)
spreads = st.floats(50, 200_000)
gains = st.tuples(*[st.integers(-5, 5)] * UNKNOWNS)


@st.composite
def reading_rows(draw):
    """Draw what one component reads: residual, gains, noise, factor, and what it is worth anyhow or None."""
    row = draw(hertz), draw(gains), draw(spreads), draw(st.floats(0.1, 10))
    return *row, draw(st.one_of(st.none(), st.floats(1e-9, 1e-3)))


@st.composite
def tables(draw, most=4):
    """Draw prior spreads and several readings of a few components; readings[reading][component]."""
    count = draw(st.integers(1, 3))
    readings = st.lists(reading_rows(), min_size=count, max_size=count)
    return draw(st.tuples(*[spreads] * UNKNOWNS)), draw(st.lists(readings, min_size=1, max_size=most))


def reading_of(rows):
    residual, gain, sd, per_hz, anyhow = zip(*rows, strict=True)
    worth = [np.nan if one is None else one for one in anyhow]
    return Reading(*(np.array(part, dtype=np.float64) for part in (residual, gain, sd, per_hz, worth)))


def start(prior_sd, count):
    """Return as many components as are read, all alike."""
    return Belief.start(prior_sd, count)


def after(prior_sd, readings):
    belief = start(prior_sd, len(readings[0]))
    for rows in readings:
        belief = belief.updated(reading_of(rows))
    return belief


def by_the_joint_vector(prior_sd, rows, count):
    """Return log weight, mean and covariance of one component from the joint Gaussian of unknowns and readings.

    What is read is minus the residual: -residual = gain . unknowns + noise.
    """
    told = [row for row in rows if row[4] is None]
    log_weight = -np.log(count) + sum(np.log(row[4]) for row in rows if row[4] is not None)
    prior = np.diag(np.square(prior_sd))
    if not told:
        return log_weight, np.zeros(UNKNOWNS), prior
    read = np.array([-row[0] for row in told])
    gain = np.array([row[1] for row in told], dtype=np.float64)
    joint = gain @ prior @ gain.T + np.diag([row[2] ** 2 for row in told])
    log_weight += multivariate_normal(np.zeros(len(told)), joint).logpdf(read)
    log_weight += sum(np.log(row[3]) for row in told)
    share = prior @ gain.T @ np.linalg.inv(joint)
    return log_weight, share @ read, prior - share @ gain @ prior


@given(tables())
def test_weights_means_and_covariances_are_those_of_the_joint_gaussian(table):
    prior_sd, readings = table
    belief, count = after(prior_sd, readings), len(readings[0])
    for place in range(count):
        own = by_the_joint_vector(prior_sd, [rows[place] for rows in readings], count)
        assert belief.log_weight[place] == pytest.approx(own[0], rel=1e-6, abs=1e-6)
        sizes = np.array(prior_sd)
        # Taking away what is nearly as large leaves rounding of the prior's own size.
        assert np.abs((belief.mean[place] - own[1]) / sizes).max() < 1e-5 * (1 + np.abs(own[1] / sizes).max())
        assert np.abs((belief.cov[place] - own[2]) / np.outer(sizes, sizes)).max() < 1e-5


@given(tables(most=3), st.randoms(use_true_random=False))
def test_the_order_of_readings_makes_no_difference(table, random):
    prior_sd, readings = table
    turned = list(readings)
    random.shuffle(turned)
    one, other = after(prior_sd, readings), after(prior_sd, turned)
    assert one.log_weight == pytest.approx(other.log_weight, rel=1e-6, abs=1e-6)
    scale = np.array(prior_sd)
    assert np.abs((one.mean - other.mean) / scale).max() < 1e-5 * (1 + np.abs(one.mean / scale).max())
    assert np.abs((one.cov - other.cov) / np.outer(scale, scale)).max() < 1e-5


@given(tables(most=2), st.floats(1e-9, 1e-3))
def test_a_reading_that_says_nothing_leaves_everything_but_the_weight(table, worth):
    prior_sd, readings = table
    before = after(prior_sd, readings)
    silent = before.updated(reading_of([(*row[:4], worth) for row in readings[0]]))
    assert np.array_equal(silent.mean, before.mean)
    assert np.array_equal(silent.cov, before.cov)
    assert silent.log_weight == pytest.approx(before.log_weight + np.log(worth))


@given(tables())
def test_no_reading_makes_anything_less_certain(table):
    prior_sd, readings = table
    belief = start(prior_sd, len(readings[0]))
    for rows in readings:
        narrowed = belief.updated(reading_of(rows))
        variances = [np.diagonal(one.cov, axis1=1, axis2=2) for one in (belief, narrowed)]
        assert (variances[1] <= variances[0] * (1 + CLOSE)).all()
        assert (variances[1] > -CLOSE * np.square(prior_sd)).all()
        assert narrowed.cov == pytest.approx(np.swapaxes(narrowed.cov, 1, 2), rel=1e-6, abs=1e-3)
        belief = narrowed


@given(tables(), st.floats(-500, 500))
def test_shares_add_up_to_one_however_small_the_weights(table, lift):
    prior_sd, readings = table
    belief = after(prior_sd, readings)
    shares = belief.weighed(np.full(len(belief), lift)).weight
    assert shares.sum() == pytest.approx(1)
    assert (shares >= 0).all()
    assert shares == pytest.approx(belief.weight, abs=CLOSE)


# An integral over a grid


@pytest.mark.parametrize("gain", [(1, -1, 0), (9, 0, 0), (0.5, -1, 1), (-2, 0, -1)])
def test_a_sum_over_a_grid_of_all_unknowns_gives_the_same(gain):
    prior_sd, noise, residuals = (17_000.0, 60_000.0, 90_000.0), 40_000.0, (55_000.0, -20_000.0)
    axes = [np.linspace(-8 * sd, 8 * sd, 121) for sd in prior_sd]
    mesh = np.stack([part.ravel() for part in np.meshgrid(*axes, indexing="ij")], axis=1)
    cell = np.prod([axis[1] - axis[0] for axis in axes])
    density = np.prod([_normal(mesh[:, place], prior_sd[place]) for place in range(UNKNOWNS)], axis=0)
    belief = start(prior_sd, 1)
    for residual, way in zip(residuals, (np.array(gain), np.array((0, -1, 0))), strict=True):
        density = density * _normal(residual + mesh @ way, noise)
        belief = belief.updated(reading_of([(residual, tuple(way), noise, 1.0, None)]))
    total = density.sum() * cell
    mean = (density[:, None] * mesh).sum(axis=0) * cell / total
    off = mesh - mean
    cov = np.einsum("g,gi,gj->ij", density, off, off) * cell / total
    assert belief.log_weight[0] == pytest.approx(np.log(total), abs=1e-6)
    assert np.abs(belief.mean[0] - mean).max() < 1
    assert np.abs(belief.cov[0] - cov).max() < 1e-4 * max(prior_sd) ** 2


def _normal(off, sd):
    return np.exp(-((off / sd) ** 2) / 2) / (sd * np.sqrt(2 * np.pi))


# What a reading of the scale, and of the IF, does


def test_a_reading_moves_only_what_it_depends_on():
    prior_sd = (17_000.0, 60_000.0, 90_000.0)
    told = start(prior_sd, 1).updated(reading_of([(30_000.0, (0, -1, 0), 10_000.0, 1.0, None)]))
    # Residual - error of the scale = noise: 60 kHz against 10 kHz of noise.
    assert told.mean[0] == pytest.approx((0, 30_000 * 60**2 / (60**2 + 10**2), 0))
    assert np.diag(told.cov[0])[[IF, SHIFT]] == pytest.approx(np.square(prior_sd)[[IF, SHIFT]])
    assert told.cov[0, DIAL, DIAL] == pytest.approx(1e6 / (1 / 60**2 + 1 / 10**2))


def test_the_strongest_are_kept_whole():
    belief = start((1.0, 1.0, 1.0), 6).weighed(np.array([-3.0, -40.0, 0.0, -1.0, -2.0, -29.0]))
    assert belief.strongest(10).side.tolist() == [0, 2, 3, 4, 5]
    kept = belief.strongest(2)
    assert sorted(kept.side.tolist()) == [2, 3]
    assert len(kept) == 2
    assert belief.strongest(10, least_log=-1.5).side.tolist() == [2, 3]


def test_causes_are_kept_beside_their_component():
    belief = start((1.0, 1.0, 1.0), 3).with_causes(np.array([7, 8, 9])).with_causes(np.array([1, 2, 3]))
    assert belief.take(np.array([2, 0])).causes.tolist() == [[9, 3], [7, 1]]
    assert belief.log_weight == pytest.approx(-np.log(3))
