"""A crystal converter, invented for the workbook; arithmetic DERIVED from |f − crystal|."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.converter import convert_band
from rxlearn.compute.quantities import Unclear

TUNABLE = (3.5e6, 4.0e6)


@pytest.mark.parametrize(
    "band, crystal, landing, inverted, covered",
    [
        # Invented for the workbook; arithmetic DERIVED, in kHz.
        ((18068, 18168), 14318.18, (3749.82, 3849.82), False, (18068, 18168)),
        ((21000, 21450), 25000, (3550, 4000), True, (21000, 21450)),
        ((28000, 29700), 32000, (2300, 4000), True, (28000, 28500)),
    ],
    ids=["17 m", "15 m", "10 m"],
)
def test_third_band(band, crystal, landing, inverted, covered):
    found = convert_band(band[0] * 1e3, band[1] * 1e3, crystal * 1e3, *TUNABLE)
    assert (found.landing_low, found.landing_high) == pytest.approx([f * 1e3 for f in landing], rel=1e-6, abs=0)
    assert found.inverted is inverted and found.reasons == ()
    assert (found.covered_low, found.covered_high) == pytest.approx([f * 1e3 for f in covered], rel=1e-6, abs=0)


@given(st.integers(5_000, 30_000), st.integers(1, 2_000), st.integers(2_000, 40_000))
def test_coverage_by_brute_force(low, width, crystal):
    """Independent route: every whole kHz of the band, looked up in the tunable range."""
    high = low + width
    found = convert_band(low * 1e3, high * 1e3, crystal * 1e3, *TUNABLE)
    reached = [f for f in range(low, high + 1) if 3500 <= abs(f - crystal) <= 4000]
    if low <= crystal <= high:
        assert found.covered_low is None and "folds over itself" in found.reasons[0]
    elif not reached:
        assert found.covered_low is None and "beyond the tunable range" in found.reasons[0]
    else:
        assert (found.covered_low, found.covered_high) == (reached[0] * 1e3, reached[-1] * 1e3)
        assert found.reasons == ()
    landed = [abs(f - crystal) for f in range(low, high + 1)]
    assert (found.landing_low, found.landing_high) == (min(landed) * 1e3, max(landed) * 1e3)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1e6, 0.0, "14e6", None, True, 1e300])
@pytest.mark.parametrize(
    "position, name",
    [(0, "Band edge"), (1, "Band edge"), (2, "Oscillator frequency"), (3, "Band edge")],
)
def test_bad_value_is_named(position, name, bad):
    values = [18.068e6, 18.168e6, 14.31818e6, *TUNABLE]
    values[position] = bad
    with pytest.raises(Unclear) as error:
        convert_band(*values)
    assert str(error.value).startswith(f"{name} ")


def test_reversed_ranges_are_named():
    with pytest.raises(Unclear, match="^Band from 18.168 MHz to 18.068 MHz has no width"):
        convert_band(18.168e6, 18.068e6, 14e6, *TUNABLE)
    with pytest.raises(Unclear, match="^Tunable range from 4 MHz to 3.5 MHz has no width"):
        convert_band(18.068e6, 18.168e6, 14e6, 4e6, 3.5e6)
