"""Tuned transformers at a crystal filter's ends: by hand, and by two coupled coils solved anew."""

import math

import numpy as np
import pytest

from rxlearn.compute.built_gains import anode_resistance, filter_gain_db, stage_gain_db
from rxlearn.compute.crystal import typical_crystal
from rxlearn.compute.filter_transformer import TransformedEnd, transform_end
from rxlearn.compute.ladder_build import BY_TRANSFORMERS, build_ladder
from rxlearn.compute.quantities import Unclear
from rxlearn.data.cores import RING_CORES
from tests.compute.chain_matrices import ladder_chain, shunt

COUPLING, STRAYS = 0.9, 10e-12
"""What the module says that it reckons with."""

# What the filter has, the stage, and the frequency: Ω, Ω, Hz.
ENDS = [(117.0, 4.7e3, 10.7e6), (117.0, 100e3, 10.7e6), (970.0, 4.7e3, 5e6), (4690.0, 100e3, 3.2768e6),
        (300.0, 100e3, 9e6), (12.0, 4.7e3, 20e6), (12.0, 100e3, 27e6), (2.0, 4.7e3, 25e6)]


@pytest.mark.parametrize("wanted, stage, frequency", ENDS)
def test_the_filter_sees_what_it_wants_through_two_coupled_coils(wanted, stage, frequency):
    """DERIVED (two meshes with a mutual reactance; any text on coupled circuits): volts over
    amperes at the link, from the parts alone.  Whole turns and E24 leave a twentieth or so."""
    end = transform_end(wanted, stage, frequency)
    made, omega = end.transformer, 2 * math.pi * frequency
    # A_L of T50-6: 40 µH for 100 turns (the makers' table), so 4 nH for a turn squared.
    assert made.coil.name == "T50-6"
    primary = 4e-9 * made.coil.turns**2
    link = 4e-9 * made.link**2
    q = made.way.middling_q
    leak = 1 / stage + 1 / (q * omega * primary) + (1 / end.resistor if end.resistor else 0)
    across = 1 / (leak + 1j * omega * (made.fitted + STRAYS))
    mutual = COUPLING * math.sqrt(primary * link)
    seen = 1j * omega * link + (omega * mutual) ** 2 / (1j * omega * primary + across)
    assert seen.real == pytest.approx(end.seen, rel=0.02, abs=0)
    assert abs(seen.imag) < 0.06 * wanted
    assert seen.real == pytest.approx(wanted, rel=0.08, abs=0)


def test_turns_by_hand():
    """DERIVED: 47 pF at 10.7 MHz resonate with 4.71 µH, 34.3 turns of 4 nH; Q 196 times 311 Ω is
    61 kΩ.  20 kΩ to 117 Ω is a ratio of 13.07, times 0.9 11.77; 34 turns to 3 are 11.33, so the
    tuned side must have 117·(11.33/0.9)² = 18.6 kΩ; 100 kΩ and 62 kΩ have 38.3 kΩ, so 36 kΩ across."""
    end = transform_end(117.4, 100e3, 10.7e6)
    assert (end.transformer.coil.turns, end.transformer.link) == (34, 3)
    assert end.resistor == 36e3  # IEC 60063, E24
    assert end.high_side == pytest.approx(18.57e3, rel=2e-3, abs=0)
    assert end.loss_db == pytest.approx(10 * math.log10(100 / 18.57), abs=0.01)


def test_the_tuned_winding_is_one_that_can_be_wound():
    for wanted, stage, frequency in ENDS:
        made = transform_end(wanted, stage, frequency).transformer
        core = RING_CORES[made.coil.name]
        assert made.coil.fits and core.lowest <= frequency <= core.highest
        resonance = 1 / (2 * math.pi * math.sqrt(made.inductance * made.capacitance))
        assert resonance == pytest.approx(frequency, rel=1e-9)
        # 40 pF and more: the strays, some 10 pF, are then a quarter at most (a choice).
        assert made.capacitance >= 40e-12 and made.fitted == pytest.approx(made.capacitance - STRAYS)


def test_where_it_gains_nothing_there_is_none():
    assert transform_end(4690.0, 4700.0, 3.2768e6) is None
    assert transform_end(20e3, 4700.0, 3.2768e6) is None


def test_what_no_core_is_meant_for_is_said():
    with pytest.raises(Unclear, match="No common ring core"):
        transform_end(500.0, 100e3, 60e3)
    built = build_ladder(typical_crystal(3.2768e6), 4, 2.4e3, "chebyshev", 4.7e3, 100e3, None,
                         BY_TRANSFORMERS)
    assert not built.problem and isinstance(built.load, TransformedEnd)
    assert built.source.way == "none"  # 4.69 kΩ and 4.7 kΩ


@pytest.mark.parametrize("frequency, crystals", [(10.7e6, 4), (9e6, 6), (5e6, 3)])
def test_the_levels_are_those_of_the_whole_network(frequency, crystals):
    """Chain matrices of every part, multiplied out (W. L. Everitt, *Communication Engineering*):
    volts at the grid for each ampere of the mixer, coils coupled as two meshes."""
    crystal = typical_crystal(frequency)
    built = build_ladder(crystal, crystals, 2.4e3, "chebyshev", 4.7e3, 100e3, None, BY_TRANSFORMERS)
    w = 2 * math.pi * built.measures.top

    def coils(one, other):
        mutual = COUPLING * math.sqrt(one * other)
        return np.array([[one / mutual, 1j * w * (one * other - mutual**2) / mutual],
                         [1 / (1j * w * mutual), other / mutual]])

    def tuned(end):
        made = end.transformer
        return shunt(1 / end.stage + 1 / made.loss_resistance + 1j * w * made.capacitance
                     + (1 / end.resistor if end.resistor else 0))

    source, load = built.source, built.load
    chain = tuned(source) @ coils(source.transformer.inductance, source.transformer.link_inductance)
    chain = chain @ ladder_chain(crystal, built.ladder, w)
    chain = chain @ coils(load.transformer.link_inductance, load.transformer.inductance) @ tuned(load)
    together = stage_gain_db(475e-6, anode_resistance(source)) + filter_gain_db(built)
    assert together == pytest.approx(20 * math.log10(475e-6 / abs(chain[1, 0])), abs=0.1)
