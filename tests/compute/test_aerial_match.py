"""What the coil before the first grid gives, against nodal analysis of the circuit itself."""

import math

import numpy as np
import pytest

from rxlearn.compute.aerial_match import match_aerial
from rxlearn.compute.quantities import Unclear


def _solved(reactance, own_q, turns, circuits):
    """(gain, loaded Q of the first circuit) by Kirchhoff's nodal equations at resonance.

    Admittances at resonance: each circuit is its loss 1/(Q X) alone; the aerial, 50 ohm behind an
    ideal transformer, is a current source of 2·V/(50·turns) with 1/(50·turns²) across the first;
    both circuits are coupled by a susceptance as large as the loss, which takes the first one's.
    """
    loss = 1 / (own_q * reactance)
    aerial = 1 / (50.0 * turns**2)
    matrix = np.diag(np.full(circuits, loss, dtype=complex))
    matrix[0, 0] += aerial
    for i in range(circuits - 1):
        matrix[i, i + 1] = matrix[i + 1, i] = 1j * loss
    current = np.zeros(circuits, dtype=complex)
    current[0] = 2 / (50.0 * turns)  # of one volt into a matched load
    voltage = np.linalg.solve(matrix, current)
    total = loss + aerial + (loss if circuits > 1 else 0.0)
    return abs(voltage[-1]), abs(voltage[0]) / turns, 1 / (total * reactance)


@pytest.mark.parametrize("reactance", [56.0, 88.0, 213.0])
@pytest.mark.parametrize("circuits", [1, 2])
def test_gain_and_match_are_those_of_the_circuit(reactance, circuits):
    match = match_aerial(reactance, 50.0, circuits)
    gain, at_aerial, loaded = _solved(reactance, 100.0, match.turns, circuits)
    assert match.gain_db == pytest.approx(20 * math.log10(gain), abs=1e-6)
    assert at_aerial == pytest.approx(1.0, rel=1e-9)  # matched: half of the two volts
    if circuits == 1:
        assert loaded == pytest.approx(50.0, rel=1e-9)


def test_by_hand():
    """DERIVED: 2 × 50 × 56 Ω is 5.6 kΩ, the root of 5600/50 is 10.58, and that is 20.5 dB."""
    match = match_aerial(56.0, 50.0)
    assert match.resistance == pytest.approx(5.6e3, rel=1e-9)
    assert match.turns == pytest.approx(10.58, abs=0.01)
    assert match.gain_db == pytest.approx(20.49, abs=0.01)


def test_a_coil_that_is_none_is_refused():
    with pytest.raises(Unclear, match="reactance"):
        match_aerial(0.0, 50.0)
