"""Selectivity against printed examples, circuit analysis with scipy, and ngspice."""

import math
import os
import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.signal import freqs

from rxlearn.compute.preselector import (
    bandwidth,
    coupled_pair_response_db,
    critical_coupling,
    image_rejection_db,
    preselect,
    response_db,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tuning import HIGH, LOW, SUM

Q_VALUES = st.floats(5, 300)


def decibels(ratio: float) -> float:
    return 20 * math.log10(ratio)


@pytest.mark.parametrize(
    "signal, intermediate, loaded_q, circuits, alpha, tolerance",
    [
        # kHz.  Kennedy and Davis, Electronic Communication Systems, receiver chapter, worked
        # example (printed 1.386 and 138.6).
        (1000, 455, 100, 1, 138.65, 1e-3),
        # Worked solution in print: ρ 0.0598, α 6.063; the formula's own value is 6.060.
        (30000, 455, 100, 1, 6.060, 1e-3),
        # Examination answer: ρ = 2.1 exactly, α = 210.0.
        (600, 450, 100, 1, 210.0, 1e-4),
        # DERIVED: decibels of two circuits add, 6.060² = 36.73.
        (30000, 455, 100, 2, 36.73, 1e-3),
    ],
)
def test_image_ratio(signal, intermediate, loaded_q, circuits, alpha, tolerance):
    found = image_rejection_db(signal * 1e3, intermediate * 1e3, HIGH, loaded_q, circuits)
    assert 10 ** (found / 20) == pytest.approx(alpha, rel=tolerance, abs=0)


@pytest.mark.parametrize(
    "centre, loaded_q, width, tolerance",
    [
        # Examination answer: 21 MHz, Q 70, 300 kHz.
        (21e6, 70, 300e3, 1e-12),
        # T. R. Kuphaldt, Lessons in Electric Circuits, vol. II: 291 to 355 Hz, Q printed 5.
        (323, 5.05, 64, 1e-2),
    ],
)
def test_bandwidth(centre, loaded_q, width, tolerance):
    assert bandwidth(centre, loaded_q) == pytest.approx(width, rel=tolerance, abs=0)


@pytest.mark.parametrize("circuits", [1, 2, 3, 4])
def test_bandwidth_lies_between_the_points_3_db_down(circuits):
    """Independent route: brentq on the response itself."""
    def beyond(frequency):
        return response_db(frequency, 7e6, 40, circuits) + 10 * math.log10(2)

    edges = brentq(beyond, 6e6, 7e6), brentq(beyond, 7e6, 8e6)
    assert edges[1] - edges[0] == pytest.approx(bandwidth(7e6, 40, circuits), rel=1e-9, abs=0)


@given(st.floats(1e5, 3e7), Q_VALUES, st.integers(1, 6), st.floats(1.0, 20.0))
def test_response_is_geometrically_symmetric_and_falls(centre, loaded_q, circuits, ratio):
    above = response_db(centre * ratio, centre, loaded_q, circuits)
    below = response_db(centre / ratio, centre, loaded_q, circuits)
    assert above == pytest.approx(below, rel=1e-6, abs=1e-9)
    assert above <= 0 and response_db(centre, centre, loaded_q, circuits) == 0
    assert response_db(centre * ratio * 1.1, centre, loaded_q, circuits) < above
    alone = response_db(centre * ratio, centre, loaded_q, 1)
    assert above == pytest.approx(circuits * alone, rel=1e-12, abs=0)


@pytest.mark.parametrize("loaded_q", [5, 50, 200])
def test_response_against_the_transfer_function(loaded_q):
    """Independent route: scipy.signal.freqs of a parallel R, L, C driven by a current."""
    centre, inductance = 3.75e6, 4e-6
    omega = 2 * math.pi * centre
    capacitance = 1 / (omega**2 * inductance)
    resistance = loaded_q * omega * inductance
    frequency = np.geomspace(0.3e6, 30e6, 401)
    # V/I = s/C / (s² + s/(RC) + 1/(LC)); referred to the resistance it is at resonance.
    _, answer = freqs(
        [1 / capacitance, 0],
        [1, 1 / (resistance * capacitance), 1 / (inductance * capacitance)],
        worN=2 * math.pi * frequency,
    )
    expected = 20 * np.log10(np.abs(answer) / resistance)
    assert response_db(frequency, centre, loaded_q) == pytest.approx(expected, abs=1e-6)


def spice_response(net: str, node: str, sweep: str, tmp_path) -> np.ndarray:
    """Run ngspice on a net; rows of frequency (Hz) and level at ``node`` (dB)."""
    if shutil.which("ngspice") is None:
        message = "ngspice is not installed, so circuits cannot be compared with it."
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    table = tmp_path / "response.txt"
    control = (
        f".control\nset wr_singlescale\nac {sweep}\n"
        f"wrdata {table} db(v({node}))\nquit\n.endc\n.end\n"
    )
    deck = tmp_path / "circuit.cir"
    deck.write_text("Tuned circuits\n" + net + control)
    # Its own home: ngspice crashes without one and would read the user's start-up file.
    surroundings = {**os.environ, "HOME": str(tmp_path)}
    subprocess.run(
        ["ngspice", "-b", str(deck)],
        check=True, capture_output=True, timeout=60, env=surroundings,
    )
    return np.loadtxt(table)


@pytest.mark.parametrize(
    "centre, loaded_q, circuits",
    [(3.5e6, 50, 1), (3.75e6, 50, 2), (10.125e6, 80, 2), (1.0e6, 100, 1), (7.1e6, 30, 3)],
)
def test_response_against_ngspice(centre, loaded_q, circuits, tmp_path):
    inductance = 2e-6
    omega = 2 * math.pi * centre
    capacitance, resistance = 1 / (omega**2 * inductance), loaded_q * omega * inductance
    net = "I0 0 n1 AC 1\n"
    for i in range(1, circuits + 1):
        net += (
            f"R{i} n{i} 0 {resistance!r}\nL{i} n{i} 0 {inductance!r}\n"
            f"C{i} n{i} 0 {capacitance!r}\nG{i} 0 n{i + 1} n{i} 0 1\n"
        )
    net += f"Rend n{circuits + 1} 0 1\n"
    rows = spice_response(net, f"n{circuits + 1}", f"dec 60 {centre / 5!r} {centre * 5!r}", tmp_path)
    peak = 20 * circuits * math.log10(resistance)
    found = response_db(rows[:, 0], centre, loaded_q, circuits)
    assert len(rows) > 80
    # ngspice writes frequencies to nine digits, which matters where the flanks are steep.
    assert found == pytest.approx(rows[:, 1] - peak, abs=2e-4)


def test_workbook_lower_band():
    """Invented for the workbook; arithmetic DERIVED: IF 223 kHz below the band, Q 50: 16.5 dB."""
    edge = preselect(3.5e6, 3.2768e6, HIGH, 50, 1)
    assert edge.intermediate_frequency_rejection_db == pytest.approx(16.5, abs=0.05)
    assert edge.signal - edge.intermediate_frequency == pytest.approx(223e3, abs=0.5e3)
    assert edge.image_frequency == 10.0536e6
    rho = 10.0536 / 3.5 - 3.5 / 10.0536
    assert edge.image_rejection_db == pytest.approx(decibels(math.hypot(1, 50 * rho)), rel=1e-9, abs=0)
    double = preselect(3.5e6, 3.2768e6, HIGH, 50, 2)
    assert double.image_rejection_db == pytest.approx(2 * edge.image_rejection_db, rel=1e-12, abs=0)
    assert double.bandwidth == pytest.approx(edge.bandwidth * math.sqrt(math.sqrt(2) - 1), rel=1e-6, abs=0)
    assert edge.response_db(edge.image_frequency) == -edge.image_rejection_db


def test_workbook_upper_band():
    """Invented for the workbook; arithmetic DERIVED: 30 m on the low side, image in 80 m."""
    middle = preselect(10.125e6, 3.2768e6, LOW, 50, 1)
    assert middle.image_frequency == pytest.approx(3.5714e6, abs=1)
    rho = 10.125 / 3.5714 - 3.5714 / 10.125
    assert middle.image_rejection_db == pytest.approx(decibels(math.hypot(1, 50 * rho)), rel=1e-9, abs=0)


def test_image_on_zero_is_kept_out_for_ever():
    assert image_rejection_db(7e6, 3.5e6, LOW, 50) == math.inf


def test_signal_on_the_intermediate_frequency_is_not_rejected():
    assert preselect(3.5e6, 3.5e6, HIGH, 50).intermediate_frequency_rejection_db == 0


@given(st.floats(1e6, 3e7), st.floats(1e5, 9e5), Q_VALUES, st.sampled_from((HIGH, LOW)))
def test_more_selectivity_rejects_more(signal, intermediate, loaded_q, injection):
    plain = preselect(signal, intermediate, injection, loaded_q)
    sharper = preselect(signal, intermediate, injection, 2 * loaded_q)
    more = preselect(signal, intermediate, injection, loaded_q, 2)
    assert 0 < plain.image_rejection_db < sharper.image_rejection_db
    assert sharper.image_rejection_db <= plain.image_rejection_db + decibels(2) + 1e-9
    assert more.image_rejection_db > plain.image_rejection_db
    assert sharper.bandwidth == pytest.approx(plain.bandwidth / 2, rel=1e-6, abs=0)


@pytest.mark.parametrize(
    "first, second, coefficient",
    [
        # Terman, Radio Engineering (equal Q); the form for unequal Q from memory.
        (70, 70, 0.0142857),
        (100, 60, 0.012910),
    ],
)
def test_critical_coupling(first, second, coefficient):
    assert critical_coupling(first, second) == pytest.approx(coefficient, rel=1e-4, abs=0)
    if first == second:
        assert critical_coupling(first) == critical_coupling(first, second)


def frequency_at(detuning: float, centre: float, loaded_q: float) -> float:
    """Frequency with Qρ = ``detuning``: the positive root of f² − (d/Q)f₀f − f₀² = 0."""
    half = detuning / loaded_q / 2
    return centre * (half + math.hypot(half, 1))


@pytest.mark.parametrize(
    "index, detuning, level",
    [
        # DERIVED from y = 2kQ/|(1 + jd)² + (kQ)²|; the form in Terman, Radio Engineering, and
        # Langford-Smith, Radiotron Designer's Handbook, ch. 9.
        (0.5, 0.0, -1.938),
        (1.0, 0.0, 0.0),
        (1.5, 0.0, -0.695),
        (1.5, 1.11803, 0.0),
        (2.0, 0.0, -1.938),
        (2.0, 1.73205, 0.0),
        # 3.01 dB below the centre's own level, which is that of the rows above.
        (0.5, 0.84127, -1.938 - 3.0103),
        (1.0, 1.41421, -3.0103),
        (1.5, 2.17534, -0.695 - 3.0103),
        (2.0, 2.97169, -1.938 - 3.0103),
    ],
)
def test_coupled_pair(index, detuning, level):
    frequency = frequency_at(detuning, 455e3, 70)
    found = coupled_pair_response_db(frequency, 455e3, 70, index / 70)
    assert found == pytest.approx(level, abs=1e-3)


def test_critically_coupled_width():
    """DERIVED: √2·f₀/Q = 9.192 kHz for 455 kHz and Q 70, solved with brentq."""
    def beyond(frequency):
        coupling = critical_coupling(70)
        return coupled_pair_response_db(frequency, 455e3, 70, coupling) + 10 * math.log10(2)

    width = brentq(beyond, 455e3, 480e3) - brentq(beyond, 430e3, 455e3)
    assert width == pytest.approx(9192, rel=1e-4, abs=0)


@pytest.mark.parametrize("index", [0.3, 1.0, 2.5])
def test_coupled_pair_against_nodal_analysis(index):
    """Independent route: two nodes, conductance G each, solved by numpy at each frequency."""
    loaded_q, centre, conductance = 60, 7e6, 1e-4
    frequency = np.geomspace(3e6, 15e6, 301)
    own = conductance * (1 + 1j * loaded_q * (frequency / centre - centre / frequency))
    mutual = np.full_like(own, 1j * index * conductance)
    matrix = np.stack([np.stack([own, mutual], -1), np.stack([mutual, own], -1)], -2)
    drive = np.broadcast_to(np.array([[1.0], [0.0]]), (frequency.size, 2, 1))
    voltage = np.abs(np.linalg.solve(matrix, drive)[:, 1, 0])
    # Matched, half the current of the source flows on and the second node has 1/(2G).
    expected = 20 * np.log10(voltage * 2 * conductance)
    found = coupled_pair_response_db(frequency, centre, loaded_q, index / loaded_q)
    assert found == pytest.approx(expected, abs=1e-9)


def test_coupled_pair_against_ngspice_near_resonance(tmp_path):
    """Two coils with real mutual inductance: the model holds to 0.3 dB within ±3 % of the centre."""
    loaded_q, centre, inductance = 100, 5e6, 2e-6
    omega, coupling = 2 * math.pi * centre, 1 / loaded_q
    capacitance, resistance = 1 / (omega**2 * inductance), loaded_q * omega * inductance
    net = f"I0 0 n1 AC 1\nK1 L1 L2 {coupling!r}\n"
    for i in (1, 2):
        net += (
            f"R{i} n{i} 0 {resistance!r}\nL{i} n{i} 0 {inductance!r}\n"
            f"C{i} n{i} 0 {capacitance!r}\n"
        )
    rows = spice_response(net, "n2", f"lin 61 {0.97 * centre!r} {1.03 * centre!r}", tmp_path)
    found = coupled_pair_response_db(rows[:, 0], centre, loaded_q, coupling)
    assert len(rows) == 61
    assert found == pytest.approx(rows[:, 1] - 20 * math.log10(resistance / 2), abs=0.3)


BAD = [math.nan, math.inf, -math.inf, -1.0, 0.0, "50", "<b>50</b>", None, True, 1e300]


@pytest.mark.parametrize("bad", BAD, ids=repr)
@pytest.mark.parametrize(
    "call, name",
    [
        (lambda bad: response_db(bad, 7e6, 50), "Frequency"),
        (lambda bad: response_db([7e6, bad], 7e6, 50), "Frequency"),
        (lambda bad: response_db(7e6, bad, 50), "Centre frequency"),
        (lambda bad: response_db(7e6, 7e6, bad), "Loaded Q"),
        (lambda bad: response_db(7e6, 7e6, 50, bad), "Number of tuned circuits"),
        (lambda bad: preselect(bad, 1e6, HIGH, 50), "Signal frequency"),
        (lambda bad: preselect(7e6, bad, HIGH, 50), "Intermediate frequency"),
        (lambda bad: preselect(7e6, 1e6, HIGH, bad), "Loaded Q"),
        (lambda bad: preselect(7e6, 1e6, HIGH, 50, bad), "Number of tuned circuits"),
        (lambda bad: preselect(7e6, 1e6, bad, 50), "Injection"),
        (lambda bad: image_rejection_db(bad, 1e6, HIGH, 50), "Signal frequency"),
        (lambda bad: bandwidth(bad, 50), "Centre frequency"),
        (lambda bad: bandwidth(7e6, bad), "Loaded Q"),
        (lambda bad: critical_coupling(bad), "Loaded Q"),
        (lambda bad: coupled_pair_response_db(bad, 7e6, 50, 0.02), "Frequency"),
        (lambda bad: coupled_pair_response_db(7e6, bad, 50, 0.02), "Centre frequency"),
        (lambda bad: coupled_pair_response_db(7e6, 7e6, bad, 0.02), "Loaded Q"),
        (lambda bad: coupled_pair_response_db(7e6, 7e6, 50, bad), "Coupling coefficient"),
    ],
)
def test_bad_value_is_named(call, name, bad):
    with pytest.raises(Unclear) as error:
        call(bad)
    assert str(error.value).startswith(f"{name} ")
    assert len(str(error.value).splitlines()) == 1


def test_half_a_circuit_is_refused():
    with pytest.raises(Unclear, match="^Number of tuned circuits of 1.5 is not whole"):
        response_db(7e6, 7e6, 50, 1.5)


def test_scheme_without_oscillator_is_refused():
    with pytest.raises(Unclear, match="^Oscillator frequency would be -2 MHz"):
        preselect(7e6, 9e6, LOW, 50)
    assert preselect(7e6, 9e6, SUM, 50).image_frequency == 11e6
