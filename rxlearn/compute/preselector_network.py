"""The preselector in parts, and its scattering parameters between two 50 Ω ports.

Each circuit is a coil with a capacitor and its losses across it, joined to its
ports by links, taken as ideal transformers::

    port ─ link ─┬─ L ─┬─ C ─┬─ losses ─┬─ link ─ port

Both links load the circuit alike.  Then the loaded Q and the coil's own Q give
the ports' share, and with G = 1/R of each port seen at the circuit

    1/Q_L = 1/Q_U + 2·ω₀L/R        S₂₁ = 2G/(2G + Y)      S₁₁ = −Y/(2G + Y)

with Y the circuit's own admittance; the loss in the middle is 1 − Q_L/Q_U as a
ratio of voltages (DERIVED from the definition of S; the loss as in S. B. Cohn,
“Dissipation loss in multiple-coupled-resonator filters”, Proc. IRE 47, 1959,
from memory).  A second circuit follows behind a valve, which lets nothing back
and is taken to amplify by one: S₂₁ is then the product and S₁₂ nothing.

Limits: links without leakage, losses that are a constant resistance across the
circuit, so that the response is that of :mod:`rxlearn.compute.preselector`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.preselector import CENTRE, LOADED_Q, RESPONSE_FREQUENCY, check_circuits
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import inductance_for

PORT = 50.0
"""Resistance of either port, Ω."""

UNLOADED_Q = Range("Coil's own Q", "", 2.0, 2000.0)
CIRCUIT_CAPACITANCE = Range("Preselector, capacitance at the middle", "F", 1e-12, 10e-9)


@dataclass(frozen=True)
class PreselectorNetwork:
    """Circuits of ``capacitance`` (F) tuned to ``centre`` (Hz), each of ``loaded_q``.

    ``unloaded_q`` is the coil's own.  Raises :class:`Unclear` for values out of
    range and for a coil that is no better than what is wanted of the circuit.
    """

    centre: float
    capacitance: float
    loaded_q: float
    unloaded_q: float
    circuits: int = 1

    def __post_init__(self) -> None:
        CENTRE.check(self.centre)
        CIRCUIT_CAPACITANCE.check(self.capacitance)
        LOADED_Q.check(self.loaded_q)
        UNLOADED_Q.check(self.unloaded_q)
        check_circuits(self.circuits)
        if not self.unloaded_q > self.loaded_q:
            raise Unclear(
                f"A coil with a Q of {self.unloaded_q:g} of its own cannot make a circuit with a "
                f"loaded Q of {self.loaded_q:g}: choose a better coil or a lower loaded Q."
            )

    @property
    def inductance(self) -> float:
        """The inductance (H) that resonates with the capacitance."""
        return inductance_for(self.centre, self.capacitance)

    @property
    def loss_resistance(self) -> float:
        """The coil's losses as a resistance across the circuit, Ω."""
        return self.unloaded_q * 2 * math.pi * self.centre * self.inductance

    @property
    def port_resistance(self) -> float:
        """What each port must look like at the circuit, Ω."""
        share = (1 / self.loaded_q - 1 / self.unloaded_q) / 2
        return 2 * math.pi * self.centre * self.inductance / share

    @property
    def turns_ratio(self) -> float:
        """Turns of the coil to turns of either link."""
        return math.sqrt(self.port_resistance / PORT)

    @property
    def middle_loss_db(self) -> float:
        """Loss of one circuit at its middle, dB."""
        return -20 * math.log10(1 - self.loaded_q / self.unloaded_q)

    def scattering(self, frequencies: np.ndarray) -> np.ndarray:
        """S at ``frequencies`` (Hz, shape n): complex, shape (n, 2, 2), ports of :data:`PORT`."""
        frequencies = np.atleast_1d(RESPONSE_FREQUENCY.check_each(frequencies))
        omega = 2 * math.pi * frequencies
        own = (1 / self.loss_resistance
               + 1j * (omega * self.capacitance - 1 / (omega * self.inductance)))
        port = 1 / self.port_resistance
        through, back = 2 * port / (2 * port + own), -own / (2 * port + own)
        found = np.empty((frequencies.size, 2, 2), dtype=complex)
        found[:, 0, 0] = found[:, 1, 1] = back
        found[:, 1, 0] = through**self.circuits
        found[:, 0, 1] = through if self.circuits == 1 else 0.0
        return found

    def says(self) -> str:
        """The parts of one circuit in a sentence."""
        return (
            f"Coil of {show(self.inductance, 'H', digits=4)} with "
            f"{show(self.capacitance, 'F', digits=4)}, links of one turn to "
            f"{self.turns_ratio:.1f} of the coil."
        )
