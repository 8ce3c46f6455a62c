"""A preselector's sweep: every point by the formula, and the top not missed."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.preselector import preselect, stretch_for, sweep, sweep_band
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import plan_band

LOWER = plan_band(3.5e6, 4.0e6, 3.2768e6, "high")
UPPER = plan_band(10.1e6, 10.15e6, 3.2768e6, "low")


@given(st.floats(0, 1), st.floats(2, 1000), st.integers(1, 2), st.sampled_from([LOWER, UPPER]))
def test_every_point_follows_the_formula(share, q, circuits, band):
    found = sweep_band(band, share, q, circuits, 1e6, 40e6)
    f, f0 = found.frequencies, found.preselector.signal
    # α = √(1 + Q²ρ²) for each circuit: F. E. Terman, Radio Engineering.
    by_hand = -10 * circuits * np.log10(1 + (q * (f / f0 - f0 / f)) ** 2)
    assert np.allclose(found.levels_db, by_hand, atol=1e-9)
    assert f[0] == pytest.approx(1e6, rel=1e-6, abs=0) and f[-1] == pytest.approx(40e6, rel=1e-6, abs=0) and np.all(np.diff(f) >= 0)
    assert found.levels_db.max() == 0.0
    # Sharp as it is, the curve has points between its top and 3 dB down.
    assert ((found.levels_db > -3) & (found.levels_db < 0)).sum() >= 4


def test_the_demo_on_its_intermediate_frequency():
    # ρ = 3.2768/3.5 - 3.5/3.2768 = -0.13188; 20 lg √(1 + (50 · 0.13188)²) = 16.5 dB (DERIVED).
    found = sweep_band(LOWER, 0.0, 50, 1, 1e6, 40e6).preselector
    assert found.intermediate_frequency_rejection_db == pytest.approx(16.48, abs=0.01)


def test_the_stretch_holds_bands_images_and_intermediate_frequency():
    low, high = stretch_for((LOWER, UPPER))
    assert low < 3.2768e6 and high > 4.0e6 + 2 * 3.2768e6
    # An image that folds at zero does not stretch the axis to there.
    assert stretch_for((plan_band(3.5e6, 4.0e6, 1.9e6, "low"),))[0] > 9e3


def test_a_sweep_must_enclose_its_signal():
    with pytest.raises(Unclear, match="leaves out the signal"):
        sweep(preselect(3.5e6, 3.2768e6, "high", 50), 4e6, 40e6)
    with pytest.raises(Unclear, match="Place in the band"):
        sweep_band(LOWER, 1.5, 50, 1, 1e6, 40e6)
