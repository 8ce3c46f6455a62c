"""The Touchstone file is read by a library that knows nothing of us, and holds our numbers."""

import io

import numpy as np
import pytest
import skrf

from rxlearn.compute.preselector import response_db
from rxlearn.compute.preselector_network import PreselectorNetwork
from rxlearn.compute.quantities import Unclear
from rxlearn.sheets.files import sweep
from rxlearn.sheets.touchstone import touchstone

FREQUENCIES = np.linspace(2e6, 12e6, 401)


def read(text):
    file = io.StringIO(text)
    file.name = "preselector.s2p"
    return skrf.Network(file)


@pytest.mark.parametrize("circuits", [1, 2])
def test_what_is_read_is_what_was_computed(circuits):
    network = PreselectorNetwork(3.75e6, 150e-12, 50.0, 150.0, circuits)
    found = read(touchstone("<b>x</b>", network, FREQUENCIES))
    assert found.z0 == pytest.approx(50.0, rel=1e-6, abs=0)
    assert found.f == pytest.approx(FREQUENCIES, rel=1e-6, abs=0)
    assert np.abs(found.s - network.scattering(FREQUENCIES)).max() < 1e-11


@pytest.mark.parametrize(("loaded", "circuits"), [(2.0, 1), (50.0, 1), (50.0, 2), (200.0, 1)])
def test_the_file_s_sweep_rises_and_shows_the_passband(loaded, circuits):
    network = PreselectorNetwork(3.75e6, 150e-12, loaded, 1.5 * loaded, circuits)
    found = read(touchstone("x", network, sweep(network)))
    assert np.all(np.diff(found.f) > 0)
    assert found.f[0] == pytest.approx(0.375e6, rel=1e-9, abs=0)
    assert found.f[-1] == pytest.approx(37.5e6, rel=1e-9, abs=0)
    level = 20 * np.log10(np.abs(found.s[:, 1, 0]))
    # A curve of enough points to be read, however narrow: half power is 3 dB (DERIVED).
    assert np.count_nonzero(level > level.max() - 3) >= 50


def test_one_circuit_agrees_with_the_library_s_own_circuit():
    # scikit-rf builds the same circuit from its own parts: shunt L, C and R between ports whose
    # resistance is what the links make of 50 Ω.
    network = PreselectorNetwork(10.125e6, 60e-12, 80.0, 240.0)
    media = skrf.media.DefinedGammaZ0(skrf.Frequency.from_f(FREQUENCIES, unit="Hz"),
                                      z0=network.port_resistance, gamma=1j)
    theirs = (media.shunt_inductor(network.inductance) ** media.shunt_capacitor(network.capacitance)
              ** media.shunt(media.resistor(network.loss_resistance) ** media.short()))
    assert np.abs(theirs.s - network.scattering(FREQUENCIES)).max() < 1e-9


def test_it_has_the_loaded_q_and_the_loss_that_were_asked_for():
    network = PreselectorNetwork(3.75e6, 150e-12, 50.0, 150.0)
    found = 20 * np.log10(np.abs(network.scattering(FREQUENCIES)[:, 1, 0]))
    # The response that the preselector's lesson shows, below the loss in the middle.
    assert found + network.middle_loss_db == pytest.approx(
        response_db(FREQUENCIES, 3.75e6, 50.0), abs=1e-9)
    # S. B. Cohn, Proc. IRE 47 (1959), from memory: 20 lg 1/(1 - 50/150) = 3.52 dB.
    assert network.middle_loss_db == pytest.approx(3.5218, abs=1e-4)


def test_nothing_is_created_in_it():
    # DERIVED: a passive reciprocal two-port neither amplifies nor prefers a direction.
    s = PreselectorNetwork(3.75e6, 150e-12, 50.0, 150.0).scattering(FREQUENCIES)
    assert np.allclose(s[:, 0, 1], s[:, 1, 0])
    assert np.linalg.norm(s, ord=2, axis=(1, 2)).max() <= 1 + 1e-12


@pytest.mark.parametrize("change", [{"loaded_q": 200.0}, {"capacitance": 0.0},
                                    {"centre": float("nan")}, {"circuits": 1.5}])
def test_what_cannot_be_is_refused(change):
    given = {"centre": 3.75e6, "capacitance": 150e-12, "loaded_q": 50.0, "unloaded_q": 150.0,
             "circuits": 1} | change
    with pytest.raises(Unclear):
        PreselectorNetwork(**given)
