"""Sums of parts with tolerances against closed forms, and the tally against numpy's."""

import math

import numpy as np
import pytest

from rxlearn.compute.adding_tolerances import add_up, draw_sums, tally
from rxlearn.compute.quantities import Unclear


def test_one_part_is_uniform():
    """DERIVED: |off| is uniform up to the tolerance, so 99 of 100 stay within 0.99 of it."""
    found = add_up(1, 0.05)
    assert found.likely == pytest.approx(0.99 * 0.05, rel=1e-3, abs=0)
    assert found.root_sum_square == found.worst == 0.05 and found.within == 1.0


def test_two_alike_make_a_triangle():
    """DERIVED: the mean of two uniform parts is a triangle: P(|off| < x·t) = 1 − (1 − x)²."""
    found = add_up(2, 0.1)
    assert found.root_sum_square == pytest.approx(0.1 / math.sqrt(2), rel=1e-6, abs=0)
    assert found.within == pytest.approx(1 - (1 - 1 / math.sqrt(2)) ** 2, abs=2e-3)
    assert found.likely == pytest.approx(0.9 * 0.1, rel=5e-3, abs=0)  # 1 − (1 − 0.9)² = 0.99


@pytest.mark.parametrize("count, largest", [(3, 0.0), (8, 0.0), (12, 0.0), (5, 0.7), (12, 0.95)])
def test_the_variance_is_the_sum_of_the_parts_variances(count, largest):
    """JCGM 100:2008 (GUM) 5.1.2 with 4.3.7: a uniform ±a has the variance a²/3."""
    found = add_up(count, 0.05, largest=largest)
    assert sum(found.shares) == pytest.approx(1, rel=1e-6, abs=0) and found.shares[0] >= 0.999 * max(found.shares)
    squares = sum(share**2 for share in found.shares)
    assert found.off.std() == pytest.approx(0.05 * math.sqrt(squares / 3), rel=3e-3, abs=0)
    assert found.root_sum_square == pytest.approx(0.05 * math.sqrt(squares), rel=1e-6, abs=0)
    assert np.abs(found.off).max() <= found.worst == 0.05


def test_many_alike_come_near_the_normal_law():
    """Central limit: root-sum-square is √3 standard deviations: erf(√1.5) = 0.9167."""
    assert add_up(12, 0.05).within == pytest.approx(math.erf(math.sqrt(1.5)), abs=5e-3)


def test_from_one_reel_nothing_is_gained():
    """GUM 5.2.2, note 1: inputs wholly correlated add up as they are."""
    found = add_up(8, 0.05, one_reel=True)
    assert found.off.std() == pytest.approx(0.05 / math.sqrt(3), rel=3e-3, abs=0)
    assert found.likely == pytest.approx(0.99 * 0.05, rel=1e-3, abs=0) and found.root_sum_square == 0.05


def test_the_seed_decides_and_points_may_be_kept():
    points = draw_sums(4)
    kept = add_up(6, 0.05, points=points, seed=4)
    assert np.array_equal(kept.off, add_up(6, 0.05, seed=4).off)
    assert not np.array_equal(kept.off, add_up(6, 0.05, seed=5).off)


def test_a_tally_is_numpys_histogram_with_its_tails():
    values = np.random.default_rng(1).normal(size=5000)
    found = tally(values, -1.0, 1.5, bins=25)
    counts, edges = np.histogram(values, bins=25, range=(-1.0, 1.5))
    assert found.shares == pytest.approx(counts / 5000, rel=1e-6, abs=0) and found.edges == pytest.approx(edges, rel=1e-6, abs=0)
    assert found.below == np.mean(values < -1) and found.above == np.mean(values > 1.5)
    ends = tally(np.array([0.0, 1.0, 1.0]), 0.0, 1.0, bins=4)
    assert list(ends.shares) == pytest.approx([1 / 3, 0, 0, 2 / 3], rel=1e-6, abs=0) and ends.above == 0.0


@pytest.mark.parametrize("call, name", [
    (lambda: add_up(0, 0.05), "Number of capacitors"), (lambda: add_up(2.5, 0.05), "Number of"),
    (lambda: add_up(13, 0.05), "Number of capacitors"), (lambda: add_up(2, 1.0), "Tolerance"),
    (lambda: add_up(2, 0.05, largest=1.0), "The largest one's share"),
    (lambda: add_up(2, math.nan), "Tolerance"), (lambda: draw_sums(-1), "Seed"),
    (lambda: tally(np.zeros(3), 1.0, 1.0), "A tally needs"),
    (lambda: tally(np.zeros(3), 0.0, 1.0, bins=0), "Number of bars"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear, match=name):
        call()
