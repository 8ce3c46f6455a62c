"""Ladder filters against published tables, nodal analysis, ngspice and their own promises."""

import math
import os
import re
import subprocess
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.crystal import crystal_from_capacitance, typical_crystal
from rxlearn.compute.crystal_ladder import CrystalLadder, design_ladder, widest_ladder
from rxlearn.compute.ladder_matching import l_network, match_end, turns_ratio
from rxlearn.compute.ladder_measures import (
    matching_needed,
    measure_ladder,
    opposite_sideband_db,
    sweep_ladder,
    worst_loss_db,
)
from rxlearn.compute.ladder_prototype import PROTOTYPES, prototype
from rxlearn.compute.quantities import Unclear
from tests.compute.supply_circuits import ngspice_or_reason


# A. I. Zverev, Handbook of Filter Synthesis, tables of 3 dB down k and q values (q₀ infinite),
# from memory; the Butterworth rows are also 1/√(gₙgₙ₊₁) of the closed form.
@pytest.mark.parametrize("kind, crystals, q, couplings", [
    ("butterworth", 2, 1.4142, [0.7071]),
    ("butterworth", 3, 1.0, [0.7071, 0.7071]),
    ("butterworth", 4, 0.7654, [0.8409, 0.5412, 0.8409]),
    ("butterworth", 5, 0.6180, [1.0, 0.5559, 0.5559, 1.0]),
    ("butterworth", 6, 0.5176, [1.1688, 0.6050, 0.5176, 0.6050, 1.1688]),
    ("chebyshev", 2, 1.6382, [0.7106]),
    ("chebyshev", 3, 1.4328, [0.6618, 0.6618]),
    ("chebyshev", 4, 1.3451, [0.6850, 0.5421, 0.6850]),
    ("chebyshev", 5, 1.3013, [0.7028, 0.5355, 0.5355, 0.7028]),
])
def test_prototypes_are_the_published_ones(kind, crystals, q, couplings):
    found = prototype(kind, crystals)
    assert found.q == pytest.approx(q, abs=6e-5)
    assert list(found.couplings) == pytest.approx(couplings, abs=6e-5)


@pytest.mark.parametrize("crystals", range(2, 9))
def test_a_prototype_is_what_its_name_says(crystals):
    off = np.array([0.0, 0.3, 0.7, 1.0, 2.0])
    # Butterworth: loss 10·lg(1 + x²ⁿ), the definition.
    wanted = 10 * np.log10(1 + off ** (2 * crystals))
    assert prototype("butterworth", crystals).loss_db(off) == pytest.approx(wanted, abs=1e-9)
    # Chebyshev: 10·lg(1 + ε²T²(x·x₃)), with cos and arc cos inside the ripple's edge.
    ripple = math.sqrt(10**0.01 - 1)
    edge = math.cosh(math.acosh(1 / ripple) / crystals)
    polynomial = np.polynomial.chebyshev.Chebyshev.basis(crystals)(off * edge)
    assert prototype("chebyshev", crystals).loss_db(off) == pytest.approx(
        10 * np.log10(1 + (ripple * polynomial) ** 2), abs=1e-6)
    alike = prototype("alike", crystals)
    assert len(set(alike.couplings)) == 1
    edges = alike.loss_db([-1.0, 1.0]) - alike.loss_db(np.linspace(-0.99, 0.99, 2001)).min()
    assert edges == pytest.approx([3.0103, 3.0103], abs=2e-3)


def test_two_or_three_alike_are_a_butterworth_filter():
    # DERIVED: for n = 2 and 3 the closed form's couplings are alike already.
    for crystals in (2, 3):
        one, other = prototype("alike", crystals), prototype("butterworth", crystals)
        assert one.couplings == pytest.approx(other.couplings, rel=1e-5)
        assert one.q == pytest.approx(other.q, rel=1e-5)


def nodal_loss_db(ladder, frequency, offsets):
    """The circuit by nodal analysis: one matrix of admittances, solved; imports nothing of ours."""
    omega = 2 * math.pi * frequency
    n = len(ladder.crystals)
    matrix = np.zeros((2 * n + 1, 2 * n + 1), complex)

    def join(one, other, admittance):
        for node in (one, other):
            if node is not None:
                matrix[node, node] += admittance
        if one is not None and other is not None:
            matrix[one, other] -= admittance
            matrix[other, one] -= admittance

    join(0, None, 1 / ladder.source_resistance)
    for place, crystal in enumerate(ladder.crystals):
        resonance = crystal.frequency + offsets[place]
        capacitance = 1 / ((2 * math.pi * resonance) ** 2 * crystal.motional_inductance)
        motional = crystal.resistance + 1j * omega * crystal.motional_inductance + 1 / (
            1j * omega * capacitance)
        join(2 * place, 2 * place + 1, 1 / motional)
        join(2 * place, 2 * place + 1, 1j * omega * crystal.parallel_capacitance)
        wire = ladder.series[place]
        join(2 * place + 1, 2 * place + 2, 1e6 if wire is None else 1j * omega * wire)
        if place < n - 1:
            join(2 * place + 2, None, 1j * omega * ladder.couplings[place])
    join(2 * n, None, 1 / ladder.load_resistance)
    current = np.zeros(2 * n + 1, complex)
    current[0] = 1 / ladder.source_resistance  # one volt behind the source
    out = np.linalg.solve(matrix, current)[-1]
    at_hand = 1 / (4 * ladder.source_resistance)
    return 10 * math.log10(at_hand / (abs(out) ** 2 / ladder.load_resistance))


@pytest.mark.parametrize("frequency, crystals, width, kind", [
    (3.2768e6, 4, 2.4e3, "chebyshev"), (9e6, 8, 2.4e3, "butterworth"), (9e6, 5, 500.0, "alike"),
    (455e3, 2, 150.0, "chebyshev"),
])
def test_the_response_is_that_of_nodal_analysis(frequency, crystals, width, kind):
    design = design_ladder(typical_crystal(frequency), crystals, width, kind=kind)
    ladder = design.ladder.terminated(design.termination, 1.7 * design.termination)
    offsets = np.linspace(-0.02, 0.03, crystals) * width
    places = design.centre + width * np.array([-40, -3, -1, -0.5, 0, 0.2, 0.5, 1, 6, 200])
    found = ladder.loss_db(places, np.array([offsets, 0 * offsets]))
    assert found.shape == (2, 10)
    for row, moves in zip(found, (offsets, 0 * offsets)):
        assert row == pytest.approx(
            [nodal_loss_db(ladder, place, moves) for place in places], abs=1e-4)
    assert ladder.moved(list(offsets)).loss_db(places) == pytest.approx(found[0], abs=1e-9)


def test_the_response_is_that_of_scikit_rf():
    """Scattering parameters of the cascade, by scikit-rf, between unequal resistances."""
    rf = pytest.importorskip("skrf")
    design = design_ladder(typical_crystal(9e6), 4, 2.4e3)
    ladder = design.ladder.terminated(design.termination, 2 * design.termination)
    places = np.linspace(design.low - 3e3, design.high + 3e3, 41)
    omega = 2 * np.pi * places
    chain = np.tile(np.eye(2, dtype=complex), (places.size, 1, 1))
    for place, crystal in enumerate(ladder.crystals):
        motional = (crystal.resistance + 1j * omega * crystal.motional_inductance
                    + 1 / (1j * omega * crystal.motional_capacitance))
        series = 1 / (1 / motional + 1j * omega * crystal.parallel_capacitance)
        if ladder.series[place]:
            series = series + 1 / (1j * omega * ladder.series[place])
        step = np.tile(np.eye(2, dtype=complex), (places.size, 1, 1))
        step[:, 0, 1] = series
        chain = chain @ step
        if place < 3:
            step = np.tile(np.eye(2, dtype=complex), (places.size, 1, 1))
            step[:, 1, 0] = 1j * omega * ladder.couplings[place]
            chain = chain @ step
    ends = np.array([ladder.source_resistance, ladder.load_resistance])
    scattering = rf.network.a2s(chain, z0=np.tile(ends, (places.size, 1)))
    assert ladder.loss_db(places) == pytest.approx(
        -20 * np.log10(np.abs(scattering[:, 1, 0])), abs=1e-6)


def test_the_response_is_that_of_ngspice(tmp_path):
    design = design_ladder(typical_crystal(3.2768e6), 4, 2.4e3)
    ladder = design.ladder
    lines = ["* ladder", "V1 g 0 DC 0 AC 2", f"Rs g n0 {ladder.source_resistance!r}"]
    for place, crystal in enumerate(ladder.crystals):
        one, other, end = f"n{place}", f"m{place}", f"n{place + 1}"
        lines += [f"L{place} {one} a{place} {crystal.motional_inductance!r}",
                  f"C{place} a{place} b{place} {crystal.motional_capacitance!r}",
                  f"R{place} b{place} {other} {crystal.resistance!r}",
                  f"Cp{place} {one} {other} {crystal.parallel_capacitance!r}",
                  f"Cs{place} {other} {end} {ladder.series[place]!r}" if ladder.series[place]
                  else f"Rw{place} {other} {end} 1e-3"]
        if place < 3:
            lines.append(f"Cc{place} {end} 0 {ladder.couplings[place]!r}")
    places = [float(f) for f in design.centre + np.array([-8e3, -1.2e3, 0.0, 900.0, 1.5e3, 9e3])]
    lines += [f"Rl n4 0 {ladder.load_resistance!r}", ".options rshunt=1e15", ".control",
              *(f"ac lin 1 {f!r} {f!r}\nlet s{n} = vdb(n4)\nprint s{n}"
                for n, f in enumerate(places)), ".endc", ".end"]
    (tmp_path / "deck.cir").write_text("\n".join(lines))
    done = subprocess.run([ngspice_or_reason(), "-b", "deck.cir"], cwd=tmp_path, text=True,
                          capture_output=True, timeout=60, env={**os.environ, "HOME": str(tmp_path)})
    found = [float(value) for _, value in re.findall(r"^s(\d) = ([-+.\de]+)", done.stdout, re.M)]
    # Two volts behind equal resistances: one volt across the load is all the power at hand.
    assert [-value for value in found] == pytest.approx(list(ladder.loss_db(places)), abs=2e-3)


def lossless(frequency, capacitance, across):
    return crystal_from_capacitance(frequency, capacitance, 0.0, across)


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(list(PROTOTYPES)), st.integers(2, 8), st.floats(1e6, 27e6),
       st.floats(6e-15, 25e-15), st.floats(220.0, 500.0), st.floats(0.05, 0.95))
def test_a_ladder_without_loss_keeps_its_promised_width(
    kind, crystals, frequency, capacitance, ratio, part
):
    """Half a percent, from next to nothing up to 95 % of what the crystals allow."""
    crystal = lossless(frequency, capacitance, ratio * capacitance)
    width = part * widest_ladder(crystal, crystals, kind)
    design = design_ladder(crystal, crystals, width, kind=kind)
    measures = measure_ladder(design.ladder)
    law = prototype(kind, crystals)
    dip = law.loss_db(np.linspace(-1, 1, 2001))
    assert measures.insertion_loss_db == pytest.approx(dip.min(), abs=0.02)
    assert design.high - design.low == pytest.approx(width, rel=2e-3)
    assert measures.low[0] == pytest.approx(design.low, abs=0.005 * width)
    assert measures.high[0] == pytest.approx(design.high, abs=0.005 * width)


@pytest.mark.parametrize("kind, crystals", [("butterworth", 4), ("chebyshev", 6), ("alike", 3)])
def test_far_below_the_parallel_resonance_it_is_the_usual_design(kind, crystals):
    """DERIVED, M. Dishal: C = f₀/(k·B)/(ω²L), R = 2πB·L/q, when C₀ counts for nothing."""
    crystal = lossless(9e6, 20e-15, 5e-12)
    width = 0.002 * crystal.spacing
    design, law = design_ladder(crystal, crystals, width, kind=kind), prototype(kind, crystals)
    coil, omega = crystal.motional_inductance, 2 * math.pi * 9e6
    wanted = [9e6 / (k * width) / (omega**2 * coil) for k in law.couplings]
    assert list(design.ladder.couplings) == pytest.approx(wanted, rel=6e-3, abs=0)
    assert design.termination == pytest.approx(2 * math.pi * width * coil / law.q, rel=6e-3, abs=0)


def test_the_largest_width_is_where_the_formula_says():
    """DERIVED: the largest B over all w of B = w/(1 + T·w + (T² − 1)·w²/4), by search."""
    for kind in PROTOTYPES:
        for crystals in range(3, 9):
            law = prototype(kind, crystals)
            total = law.largest_sum
            w = np.linspace(0.01, 60, 400001)
            best = (w / (1 + total * w + (total**2 - 1) * w**2 / 4)).max()
            assert law.widest == pytest.approx(best, rel=2e-3)


def test_what_cannot_be_made_is_refused_in_a_sentence():
    with pytest.raises(Unclear, match="455 Hz apart make no ladder 2.4 kHz wide: choose less than"):
        design_ladder(typical_crystal(455e3), 4, 2.4e3)
    with pytest.raises(Unclear, match="lose too much for a ladder 100 Hz wide at 27 MHz"):
        design_ladder(typical_crystal(27e6), 8, 100.0)
    with pytest.raises(Unclear, match="Give 4 offsets"):
        design_ladder(typical_crystal(9e6), 4, 2.4e3, offsets=[0.0])
    for crystals in (1, 9, 2.5):
        with pytest.raises(Unclear, match="number of crystals"):
            prototype("butterworth", crystals)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.floats(-150.0, 150.0), min_size=4, max_size=4))
def test_series_capacitors_make_up_for_crystals_that_differ(offsets):
    """With the real frequencies known, the width stays; without, see the next test."""
    crystal = lossless(9e6, 20e-15, 5e-12)
    design = design_ladder(crystal, 4, 2.4e3, offsets=offsets)
    measures = measure_ladder(design.ladder)
    assert measures.width == pytest.approx(2.4e3, rel=0.03)
    assert measures.insertion_loss_db < 0.1
    assert all(c is None or c > 0 for c in design.ladder.series)


def test_spread_costs_what_every_combination_shows():
    design = design_ladder(typical_crystal(9e6), 4, 2.4e3)
    needed = matching_needed(design.ladder, 1.0)
    assert 20 < needed < 400
    measures = measure_ladder(design.ladder)
    inside = np.linspace(measures.low[0] + 0.1 * measures.width,
                         measures.high[0] - 0.1 * measures.width, 41)
    worst = 0.0
    for number in range(16):  # one by one, as a reference to the arrays
        signs = np.array([1.0 if number >> bit & 1 else -1.0 for bit in range(4)])
        moved = design.ladder.moved(list(needed * (signs - signs.mean())))
        worst = max(worst, moved.loss_db(inside).max())
    assert worst - measures.insertion_loss_db == pytest.approx(
        worst_loss_db(design.ladder, needed), abs=1e-6)
    alike = worst_loss_db(design.ladder, 0.0)
    assert worst_loss_db(design.ladder, needed) - alike == pytest.approx(1.0, abs=0.1)


def test_measures_are_where_the_response_is_so_far_down():
    design = design_ladder(typical_crystal(9e6), 6, 2.4e3)
    found = measure_ladder(design.ladder)
    top = design.ladder.loss_db(found.top)[0]
    assert top == pytest.approx(found.insertion_loss_db, abs=1e-9)
    for place, down in enumerate((10 * math.log10(2), 6.0, 60.0)):
        levels = design.ladder.loss_db([found.low[place], found.high[place]]) - top
        assert levels == pytest.approx([down, down], abs=0.02)
    assert found.shape_factor == pytest.approx(
        (found.high[2] - found.low[2]) / (found.high[1] - found.low[1]), rel=1e-12)
    assert found.edge(20.0, "below") < found.low[1] and found.edge(20.0, "above") > found.high[1]
    assert found.down_db(found.edge(20.0, "above")) == pytest.approx([20.0], abs=0.02)
    swept = sweep_ladder(design.ladder, found.centre, 8 * found.width, points=101)
    assert swept.loss_db.min() == pytest.approx(top, abs=0.1)


def test_a_slope_that_ends_early_has_no_place():
    """Two crystals near their limit: what passes by their own capacitance keeps it above 60 dB."""
    found = measure_ladder(design_ladder(typical_crystal(3.2768e6), 2, 2.4e3).ladder)
    assert math.isnan(found.low[2]) and math.isnan(found.shape_factor)
    assert 10 < found.ultimate_db < 60


def test_the_other_sideband_is_weaker_and_most_so_above():
    design = design_ladder(typical_crystal(3.2768e6), 4, 2.4e3)
    found = measure_ladder(design.ladder)
    above, below = found.edge(20.0, "above"), found.edge(20.0, "below")
    tones = np.array([300.0, 1000.0])
    over = opposite_sideband_db(design.ladder, above, tones, "above")
    # DERIVED: the two places that a tone is heard from, straight from the response.
    assert over == pytest.approx(
        design.ladder.loss_db(above + tones) - design.ladder.loss_db(above - tones), abs=1e-9)
    # The notch at the parallel resonance makes the upper slope the steeper one.
    assert (over > opposite_sideband_db(design.ladder, below, tones, "below") + 10).all()


def test_rounded_capacitors_are_those_of_the_series():
    ladder = design_ladder(typical_crystal(3.2768e6), 4, 2.4e3).ladder
    rounded = ladder.rounded("E12")
    # IEC 60063: 11.0 and 13.9 pF lie between 10, 12 and 15.
    assert [round(c * 1e12, 6) for c in rounded.couplings] == [12.0, 15.0, 12.0]
    assert rounded.series[1] is None and round(rounded.series[0] * 1e12, 6) == 15.0
    assert isinstance(rounded, CrystalLadder)
    assert measure_ladder(rounded).width != measure_ladder(ladder).width


def test_loss_falls_with_better_crystals():
    crystal = typical_crystal(9e6)
    losses = [measure_ladder(design_ladder(
        replace(crystal, resistance=resistance), 6, 2.4e3).ladder).insertion_loss_db
        for resistance in (0.0, 5.0, 10.0, 20.0)]
    assert losses == sorted(losses) and losses[0] < 0.02 < losses[1]
    # S. B. Cohn, Proc. IRE 47, 1959, from memory: 4.343·Σg/(Q·B/f), good while the loss is small.
    g = [2 * math.sin((2 * j - 1) * math.pi / 8) for j in range(1, 5)]
    small = replace(crystal, resistance=0.5)
    found = measure_ladder(design_ladder(small, 4, 1e3, kind="butterworth").ladder)
    assert found.insertion_loss_db == pytest.approx(
        4.343 * sum(g) / (small.q * 1e3 / 9e6), rel=0.15)


@given(st.floats(10.0, 1e5), st.floats(10.0, 1e5))
def test_an_l_matches_what_it_says(one, other):
    """DERIVED: seen from the low side, coil in series and capacitor across the high side."""
    if max(one, other) / min(one, other) < 1.001:
        return
    found = l_network(one, other, 9e6)
    omega = 2 * math.pi * 9e6
    seen = 1j * omega * found.inductance + 1 / (1 / found.high + 1j * omega * found.capacitance)
    assert seen.real == pytest.approx(min(one, other), rel=1e-6)
    assert seen.imag == pytest.approx(0.0, abs=1e-6 * max(one, other))
    assert turns_ratio(one, other) ** 2 == pytest.approx(found.high / found.low, rel=1e-9)


def test_a_resistor_makes_an_end_right_at_a_price():
    shunt = match_end(500.0, 4.7e3)
    assert shunt.way == "shunt"
    assert 1 / (1 / shunt.resistor + 1 / 4.7e3) == pytest.approx(500.0)
    assert shunt.loss_db == pytest.approx(10 * math.log10(9.4))
    series = match_end(7e3, 4.7e3)
    assert series.way == "series" and series.resistor == pytest.approx(2.3e3)
    assert match_end(4.69e3, 4.7e3).way == "none"


@pytest.mark.parametrize("frequency, width", [(3.2768e6, 2.4e3), (9e6, 500.0), (27e6, 2.4e3)])
def test_an_end_sees_its_share_with_the_crystals_loss_counted(frequency, width):
    """DERIVED: termination and the crystal's own resistance make 2πw·L/q together."""
    design = design_ladder(typical_crystal(frequency), 4, width)
    crystal, omega = design.crystal, 2 * math.pi * design.middle
    motional = crystal.resistance + 1j * omega * crystal.motional_inductance + 1 / (
        1j * omega * crystal.motional_capacitance)
    whole = 1 / (1 / motional + 1j * omega * crystal.parallel_capacitance)
    wanted = 2 * math.pi * design.stretched * crystal.motional_inductance / design.prototype.q
    assert design.termination + whole.real == pytest.approx(wanted, rel=2e-3)
    assert whole.real > 0.01 * wanted
