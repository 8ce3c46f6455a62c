"""Gains with the parts around a stage: by hand, and by the network solved anew."""

import math

import numpy as np
import pytest

from rxlearn.compute.built_gains import (
    anode_resistance,
    filter_gain_db,
    stage_gain_db,
    transformer_resistance,
)
from rxlearn.compute.crystal import Crystal, typical_crystal
from rxlearn.compute.ladder_build import build_ladder
from rxlearn.compute.ladder_matching import EndMatch
from rxlearn.compute.quantities import Unclear
from tests.compute.chain_matrices import ladder_chain, series, shunt


def test_a_mixer_into_a_filters_end_by_hand():
    """DERIVED (Ohm's law): 475 µS (RCA manuals, from memory) into 4.7 kΩ, 120 Ω and 117 Ω in
    parallel, 58.5 Ω, is 0.0278 or -31.1 dB; into two times 4.7 kΩ 1.116 or 0.95 dB."""
    low = EndMatch(117.0, 4700.0, "shunt", 120.0, 16.0)
    assert anode_resistance(low) == pytest.approx(58.5, rel=1e-3, abs=0)
    assert stage_gain_db(475e-6, anode_resistance(low)) == pytest.approx(-31.1, abs=0.05)
    even = EndMatch(4700.0, 4700.0, "none", None, 0.0)
    assert stage_gain_db(475e-6, anode_resistance(even)) == pytest.approx(0.954, abs=0.002)
    high = EndMatch(20e3, 4700.0, "series", 15e3, 6.3)  # 4.7 kΩ with 35 kΩ across it
    assert anode_resistance(high) == pytest.approx(4143.6, rel=1e-4, abs=0)


@pytest.mark.parametrize("crystal, width", [
    (typical_crystal(3.2768e6), 2.4e3), (typical_crystal(10.7e6), 2.4e3),
    (Crystal(2e6, 1.0, 100.0, 3e-12), 900.0),
])
def test_a_filter_hands_on_what_the_chain_matrix_says(crystal, width):
    """Chain matrices of every part, multiplied out (W. L. Everitt, *Communication Engineering*):
    volts at the grid per ampere of the mixer.  Low ends, high ends, one that fits."""
    built = build_ladder(crystal, 4, width, "chebyshev", 4.7e3, 100e3)
    w = 2 * math.pi * built.measures.top

    def end(match):
        if match.resistor is None:
            return np.eye(2)
        return shunt(1 / match.resistor) if match.way == "shunt" else series(match.resistor)

    chain = (shunt(1 / 4.7e3) @ end(built.source) @ ladder_chain(crystal, built.ladder, w)
             @ end(built.load) @ shunt(1 / 100e3))
    together = stage_gain_db(475e-6, anode_resistance(built.source)) + filter_gain_db(built)
    assert together == pytest.approx(20 * math.log10(475e-6 / abs(chain[1, 0])), abs=0.3)


@pytest.mark.parametrize("coupling, load", [(0.01, 1e12), (0.03, 1e12), (0.0216, 200e3)])
def test_two_coils_by_their_meshes(coupling, load):
    """DERIVED: each coil's loss as r = X/Q in series, a mutual reactance kX, solved as nodes and
    meshes; at critical coupling (0.01 for Q 100) half of Q·X, as in Terman."""
    x, q = 100.0, 100.0
    coil, mutual = x / q + 1j * x, 1j * coupling * x
    tuned = 1j / x  # the capacitor's admittance
    coils = np.linalg.inv(np.array([[coil, mutual], [mutual, coil]]))
    volts = np.linalg.solve(coils + np.diag([tuned, tuned + 1 / load]), [1, 0])
    found = transformer_resistance(x, q, load, coupling)
    assert found == pytest.approx(abs(volts[1]), rel=0.01, abs=0)


def test_nonsense_is_refused():
    with pytest.raises(Unclear, match="transconductance"):
        stage_gain_db(5.0, 1e3)
