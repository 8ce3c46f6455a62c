"""Coils that share flux: Maxwell's rings, taps, links; and two tuned circuits that are coupled."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from rxlearn.compute.coaxial import (
    coil_mutual,
    coupling_between,
    gap_for,
    loop_mutual,
    split_inductances,
)
from rxlearn.compute.coil_pairs import pair_on_former
from rxlearn.compute.coil_taps import all_feeds, feed, link, parallel_resistance, tap, tap_for
from rxlearn.compute.coils import Coil
from rxlearn.compute.coupled_circuits import (
    CoupledPair,
    intermediate_transformer,
    sweep_pair,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.wire import wire_called

COIL = Coil(turns=12, former=20e-3, length=18e-3, wire=wire_called("0.8 mm"))
SMALL = Coil(turns=30, former=7e-3, length=8e-3, wire=wire_called("0.2 mm"))


def neumann(a, b, z):
    """DERIVED from Neumann's double integral: M = µ₀ab/2·∮cos φ/√(a² + b² + z² − 2ab cos φ)dφ."""
    found = quad(lambda p: math.cos(p) / math.sqrt(a * a + b * b + z * z - 2 * a * b * math.cos(p)),
                 0, math.pi, epsabs=1e-14, limit=200)[0]
    return 4e-7 * math.pi * a * b * found


@pytest.mark.parametrize("a, b, z", [
    (10e-3, 10e-3, 1e-3), (10e-3, 10e-3, 20e-3), (20e-3, 5e-3, 0.0), (5e-3, 20e-3, 30e-3),
    (10e-3, 11e-3, 0.0), (1e-3, 1e-3, 0.1),
])
def test_two_rings(a, b, z):
    assert loop_mutual(a, b, z) == pytest.approx(neumann(a, b, z), rel=1e-3, abs=0)
    assert loop_mutual(a, b, z) == pytest.approx(loop_mutual(b, a, z), rel=1e-12, abs=0)


def test_coils_are_the_sum_of_their_rings_and_few_rings_do():
    many = Coil(turns=150, former=10e-3, length=40e-3, wire=wire_called("0.2 mm"))
    places = (np.arange(150) + 0.5) * 40e-3 / 150
    exact = sum(
        neumann(many.diameter / 2, many.diameter / 2, 42e-3 + there - here)
        for here in places[::5] for there in places[::5]) * 25
    assert coil_mutual(many, many, 2e-3) == pytest.approx(exact, rel=5e-3, abs=0)


def test_coupling_falls_with_the_gap_and_is_found_back():
    found = [coupling_between(SMALL, SMALL, gap) for gap in (0.0, 2e-3, 5e-3, 20e-3)]
    assert all(0 < later < earlier < 1 for earlier, later in zip(found, found[1:]))
    assert coupling_between(SMALL, SMALL, gap_for(SMALL, SMALL, 0.01)) == pytest.approx(0.01, rel=1e-6, abs=0)
    for gap in (0.1e-3, 0.7e-3, 3e-3, 0.2):  # near, where the search begins, and far
        assert gap_for(SMALL, SMALL, coupling_between(SMALL, SMALL, gap)) == pytest.approx(
            gap, abs=1e-6)
    with pytest.raises(Unclear, match="more than these coils have"):
        gap_for(SMALL, SMALL, 0.9)


def test_far_apart_coils_are_dipoles():
    """DERIVED: M → µ₀·N₁N₂·A²/(2π·z³)."""
    distance = 0.3
    dipole = 4e-7 * math.pi * 900 * (math.pi * SMALL.diameter**2 / 4) ** 2 / (
        2 * math.pi * distance**3)
    assert coil_mutual(SMALL, SMALL, distance - 8e-3) == pytest.approx(dipole, rel=0.01, abs=0)


# Taps and links --------------------------------------------------------------------------


@pytest.mark.parametrize("turns", [2.0, 4.0, 6.0, 9.5])
def test_both_parts_and_twice_their_mutual_make_the_whole(turns):
    """DERIVED: L = L₁ + L₂ + 2M; and M is also the sum over the rings."""
    first, second, mutual = split_inductances(COIL, turns)
    assert first + second + 2 * mutual == pytest.approx(COIL.inductance, rel=1e-12, abs=0)
    part = Coil(turns=turns, former=COIL.former, length=turns * COIL.pitch, wire=COIL.wire)
    rest = Coil(turns=12 - turns, former=COIL.former, length=(12 - turns) * COIL.pitch,
                wire=COIL.wire)
    if turns == int(turns):
        assert mutual == pytest.approx(coil_mutual(part, rest, 0.0), rel=0.02, abs=0)


def test_a_tap_is_no_ideal_transformer():
    found = tap(COIL, 3.0, 16e3)
    assert found.ideal == 0.25 and found.ideal_impedance == 1000
    assert 0 < found.coupling < 1 and found.true < found.ideal
    assert tap(COIL, 6.0, 16e3).true == pytest.approx(0.5, rel=1e-6, abs=0)  # by symmetry
    assert found.impedance == pytest.approx(16e3 * found.true**2, rel=1e-6, abs=0)
    assert tap_for(COIL, found.impedance, 16e3).turns == pytest.approx(3.0, abs=1e-4)


def test_a_tap_too_near_an_end_is_refused():
    for turns in (0.5, 11.5):
        with pytest.raises(Unclear, match="at least one turn"):
            tap(COIL, turns, 16e3)
    with pytest.raises(Unclear, match="No tap"):
        tap_for(COIL, 1.0, 16e3)


def test_a_links_power_and_loading():
    """DERIVED: a source of R₀ behind a link puts (ωM)²R₀/(R₀² + X²) in series with the coil."""
    found = link(COIL, 1.0, 50.0, 7e6, 200.0, gap=1e-3)
    omega = 2 * math.pi * 7e6
    mutual = found.coupling * math.sqrt(
        COIL.inductance * Coil(turns=1.0, former=20e-3, length=COIL.wire.overall,
                               wire=COIL.wire).inductance)
    assert found.coupled == pytest.approx(
        (omega * mutual) ** 2 * 50 / (50**2 + found.reactance**2), rel=1e-9, abs=0)
    assert found.own == pytest.approx(omega * COIL.inductance / 200, rel=1e-6, abs=0)
    assert found.loaded_q == pytest.approx(200 / (1 + found.match), rel=1e-9, abs=0)
    assert found.taken == pytest.approx(4 * found.match / (1 + found.match) ** 2, rel=1e-6, abs=0)
    over = link(COIL, 1.0, 50.0, 7e6, 200.0, gap=-1.0)
    assert over.coupling > found.coupling


def test_feeds_are_the_taps_and_links_one_by_one():
    """DERIVED: a tap of impedance Z loads a source R by Z/R; a link as :func:`link` says."""
    circuit = parallel_resistance(COIL.inductance, 7e6, 150)
    tapped = feed(all_feeds(COIL, "tap"), 3.0, 300.0, 7e6, 150.0)
    assert tapped.match == pytest.approx(tap(COIL, 3.0, circuit).impedance / 300, rel=1e-6, abs=0)
    assert tapped.by_turns == pytest.approx(circuit * (3 / 12) ** 2 / 300, rel=1e-6, abs=0)
    for how, gap in (("over", -1.0), ("beside", 2e-3)):
        linked = feed(all_feeds(COIL, how), 2.0, 50.0, 7e6, 150.0)
        expected = link(COIL, 2.0, 50.0, 7e6, 150.0, gap=gap)
        assert linked.match == pytest.approx(expected.match, rel=1e-6, abs=0)
        assert (linked.taken, linked.loaded_q) == pytest.approx(
            (expected.taken, expected.loaded_q), rel=1e-6, abs=0)
    places = list(tapped.feeds.turns)
    assert tapped.taken == tapped.taken_at[places.index(3.0)]
    assert tapped.best == places[int(np.argmax(tapped.taken_at))]
    with pytest.raises(Unclear, match="between 1 and 6 turns"):
        feed(all_feeds(COIL, "over"), 8.0, 50.0, 7e6, 150.0)


def test_two_coils_on_one_former():
    """DERIVED: L = 1/((2πf)²C); the critical gap gives k = 1/Q."""
    wire = wire_called("0.16 mm")
    found = pair_on_former(3.2768e6, 220e-12, 7e-3, wire, 5e-3, 60.0, span=400e3)
    assert found.coil.inductance_at(3.2768e6) == pytest.approx(
        1 / ((2 * math.pi * 3.2768e6) ** 2 * 220e-12), rel=1e-6, abs=0)
    assert found.coupling == pytest.approx(coupling_between(found.coil, found.coil, 5e-3), rel=1e-6, abs=0)
    at_the_gap = coupling_between(found.coil, found.coil, found.critical_gap)
    assert at_the_gap == pytest.approx(1 / 60, rel=1e-4, abs=0)
    assert pair_on_former(3.2768e6, 220e-12, 7e-3, wire, 5e-3, 4.0, span=400e3).critical_gap is None


def test_parallel_resistance():
    # DERIVED: Q·ω·L.
    assert parallel_resistance(1.83e-6, 7e6, 200) == pytest.approx(200 * 2 * math.pi * 7e6 * 1.83e-6, rel=1e-6, abs=0)


# Double-tuned circuits -------------------------------------------------------------------


# DERIVED from the circuit; F. E. Terman, *Radio Engineering*: peaks at d = √((kQ)² − 1).
@pytest.mark.parametrize("index, centre_db, hump, half_width", [
    (0.5, -1.938, 0.0, 0.84127), (1.0, 0.0, 0.0, 1.41421),
    (1.5, -0.695, 1.11803, 2.17534), (2.0, -1.938, 1.73205, 2.97169),
])
def test_two_equal_circuits(index, centre_db, hump, half_width):
    pair = CoupledPair(455e3, 70.0, 70.0, index / 70)
    assert pair.centre_db == pytest.approx(centre_db, abs=1e-3)
    assert pair.hump * 70 == pytest.approx(hump, abs=1e-4)
    assert pair.peak_db == pytest.approx(0.0 if index >= 1 else centre_db, abs=1e-3)
    # The published half-width is counted from the centre's level.
    x = half_width / 70
    frequency = 455e3 * (x / 2 + math.sqrt(1 + x * x / 4))
    assert pair.level_db(frequency) == pytest.approx(centre_db - 3.0103, abs=1e-3)


# F. E. Terman, *Radio Engineering*; F. Langford-Smith, *Radiotron Designer's Handbook*, chapter 9.
@pytest.mark.parametrize("first, second, critical", [(100, 60, 0.012910), (70, 70, 0.0142857)])
def test_critical_coupling(first, second, critical):
    assert CoupledPair(455e3, first, second, 0.01).critical == pytest.approx(critical, rel=1e-4, abs=0)


def test_width_at_critical_coupling():
    # DERIVED: √2·f₀/Q, 9.192 kHz.
    assert CoupledPair(455e3, 70, 70, 1 / 70).bandwidth() == pytest.approx(9.192e3, rel=1e-4, abs=0)


def circuit_db(frequency, centre, first_q, second_q, coupling):
    """DERIVED: two series circuits with mutual reactance, a voltage in the first, by Kirchhoff."""
    inductance = 10e-6
    omega, omega0 = 2 * math.pi * frequency, 2 * math.pi * centre
    capacitance = 1 / (omega0**2 * inductance)
    z = [1j * omega * inductance + 1 / (1j * omega * capacitance) + omega0 * inductance / q
         for q in (first_q, second_q)]
    m = 1j * omega * coupling * inductance
    current = np.linalg.solve(np.array([[z[0], -m], [-m, z[1]]]), np.array([1.0, 0.0]))[1]
    return 20 * math.log10(abs(current) / (1j * omega * capacitance).imag)


@pytest.mark.parametrize("first_q, second_q, coupling", [(70, 70, 0.02), (120, 40, 0.01),
                                                         (50, 150, 0.03)])
def test_the_response_against_the_circuit_itself(first_q, second_q, coupling):
    """Near resonance the voltage on the second capacitor follows the formula."""
    pair = CoupledPair(455e3, first_q, second_q, coupling)
    reference = circuit_db(455e3, 455e3, first_q, second_q, coupling)
    for frequency in (445e3, 450e3, 453e3, 457e3, 462e3):
        expected = circuit_db(frequency, 455e3, first_q, second_q, coupling) - reference
        # The formula leaves out slow factors of f/f₀, a few per cent here.
        assert pair.level_db(frequency) - pair.centre_db == pytest.approx(expected, abs=0.45)


@pytest.mark.parametrize("first_q, second_q, factor", [(70, 70, 1.6), (120, 40, 2.5), (70, 70, 0.6)])
def test_humps_and_edges_are_where_the_curve_has_them(first_q, second_q, factor):
    pair = CoupledPair(455e3, first_q, second_q, factor / math.sqrt(first_q * second_q))
    frequencies = np.linspace(400e3, 510e3, 220_001)
    levels = pair.level_db(frequencies)
    assert levels.max() == pytest.approx(pair.peak_db, abs=1e-6)
    above = frequencies[levels >= pair.peak_db - 10 * math.log10(2)]
    assert pair.edges() == pytest.approx((above[0], above[-1]), abs=1.0)
    top = frequencies[np.argmax(levels)]
    assert min(abs(top - hump) for hump in pair.humps) < 20.0


def test_unequal_circuits_have_one_hump_at_critical_coupling():
    """DERIVED: two humps begin at √((1/Q₁² + 1/Q₂²)/2), above 1/√(Q₁Q₂)."""
    pair = CoupledPair(455e3, 120, 40, 1 / math.sqrt(4800))
    assert pair.transitional > pair.critical and len(pair.humps) == 1
    assert len(CoupledPair(455e3, 120, 40, 1.05 * pair.transitional).humps) == 2


def test_a_sweep_holds_its_centre_in_the_middle():
    sweep = sweep_pair(CoupledPair(3.2768e6, 100, 100, 0.02), 200e3)
    middle = len(sweep.frequencies) // 2
    assert sweep.frequencies[middle] == pytest.approx(3.2768e6, rel=1e-6, abs=0)
    assert sweep.levels_db[middle] == pytest.approx(sweep.pair.centre_db, rel=1e-6, abs=0)
    assert sweep.single_db[middle] == pytest.approx(0.0)


def test_an_intermediate_frequency_transformer():
    """DERIVED: 2πf√(LC) = 1, B = √2·f₀/Q at critical coupling, loss −20·lg(1 − Q/Q_u)."""
    found = intermediate_transformer(3.2768e6, 220e-12, 60e3, 150.0)
    assert found.inductance == pytest.approx(1 / ((2 * math.pi * 3.2768e6) ** 2 * 220e-12), rel=1e-6, abs=0)
    assert found.loaded_q == pytest.approx(math.sqrt(2) * 3.2768e6 / 60e3, rel=1e-3, abs=0)
    assert found.coupling == pytest.approx(1 / found.loaded_q, rel=1e-6, abs=0)
    assert found.top_capacitance / 220e-12 == pytest.approx(found.coupling, rel=1e-6, abs=0)
    assert found.loss_db == pytest.approx(-20 * math.log10(1 - found.loaded_q / 150), rel=1e-3, abs=0)
    assert found.possible and found.pair.bandwidth() == pytest.approx(60e3, rel=1e-3, abs=0)
    narrow = intermediate_transformer(3.2768e6, 220e-12, 6e3, 150.0)
    assert not narrow.possible and math.isinf(narrow.loss_db)
    assert narrow.pair.bandwidth() == pytest.approx(narrow.narrowest, rel=1e-3, abs=0)
