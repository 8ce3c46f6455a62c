"""Which part matters most: the share of an outcome's variance that each part's tolerance makes.

First-order Sobol' indices of the receivers of :mod:`~rxlearn.compute.tolerances`, by
quasi-random points.  Model and limits as there: parts independent of each other.  Where the
outcome is not quite a straight line of the parts, the shares add up to a little less than one.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from scipy.stats import qmc

from rxlearn.compute.drawn_receivers import (
    centre_off,
    dial_ends,
    draw_values,
    trimmer_needed,
)
from rxlearn.compute.receiver_parts import PARTS, Build

INFLUENCE_POWER = 11
"""Influence is worked out from 2 to this power points, once for each part and two more."""

TRIMMER_SETTING, DIAL_WIDTH, OFF_CENTRE = "trimmer", "dial width", "recentring"
NARROW_WIDTH = "narrower dial's width"
OUTPUTS = (TRIMMER_SETTING, DIAL_WIDTH, OFF_CENTRE)
"""What each part's influence is worked out on, where the narrower band is recentred."""

SPREAD_OUTPUTS = (TRIMMER_SETTING, DIAL_WIDTH, NARROW_WIDTH)
"""The same where it has capacitors of its own that spread it."""


def outputs_of(build: Build) -> tuple[str, ...]:
    """:data:`OUTPUTS` or :data:`SPREAD_OUTPUTS`, as the build's narrower band asks."""
    return SPREAD_OUTPUTS if build.spread else OUTPUTS


def influence_points(seed: int = 1, power: int = INFLUENCE_POWER) -> np.ndarray:
    """The 2^``power`` points (a ratio, 0 to 1) that ``seed`` draws, shape (2·parts, 2^power)."""
    # The last of nine, as the receivers themselves take the first eight.
    child = np.random.SeedSequence(seed).spawn(9)[-1]
    sampler = qmc.Sobol(2 * len(PARTS), seed=np.random.default_rng(child))
    return np.ascontiguousarray(sampler.random_base2(power).T)


def influences(
    build: Build, *, seed: int = 1, power: int = INFLUENCE_POWER,
    points: np.ndarray | None = None,
) -> Mapping[str, Mapping[str, float]]:
    """Output to the share (0 to 1, a ratio) of its variance that each fitted part makes.

    First-order Sobol' indices: mean of f_B·(f_AB − f_A) over the variance.
    A. Saltelli et al., *Comput. Phys. Commun.* 181 (2010) 259, table 2, estimator (b).
    A_B is A with one part's column from B.  Outputs are centred first: the estimator's
    error falls with them.  ``seed`` draws the 2^``power`` points, unless ``points`` are given
    that :func:`influence_points` has drawn already.
    """
    count = len(PARTS)
    points = influence_points(seed, power) if points is None else points
    first, second = points[:count], points[count:]
    fitted = [place for place, name in enumerate(PARTS) if build.part(name).nominal]
    sets = [first, second]
    for place in fitted:
        mixed = first.copy()
        mixed[place] = second[place]
        sets.append(mixed)
    stacked = np.concatenate(sets, axis=1)
    cold, _ = draw_values(build, np.concatenate((stacked, np.full_like(stacked, 0.5))))
    found = {}
    for name, output in _outputs(build, cold).items():
        output = (output - output.mean()).reshape(len(sets), -1)
        base, variance = output[1], float(np.var(output[:2]))
        shares = dict.fromkeys(PARTS, 0.0)
        if variance > 0:
            for row, place in enumerate(fitted, start=2):
                shares[PARTS[place]] = float(
                    np.mean(base * (output[row] - output[0])) / variance)
        found[name] = MappingProxyType(shares)
    return MappingProxyType(found)


def _outputs(build: Build, values: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
    """What the influences are worked out on, for each receiver."""
    reach = build.trimmer_low, build.trimmer_high
    needed = trimmer_needed(build, values)
    low, high = dial_ends(build, values, np.clip(needed, *reach))
    if build.spread:
        own = np.clip(trimmer_needed(build, values, narrow=True), *reach)
        ends = dial_ends(build, values, own, narrow=True)
        third = ends[1] - ends[0]
    else:
        third = centre_off(build, values)
    return dict(zip(outputs_of(build), (needed, high - low, third)))
