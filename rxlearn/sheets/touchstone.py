"""The preselector as a Touchstone file (version 1, two ports, real and imaginary parts).

Format: EIA/IBIS Open Forum, *Touchstone File Format Specification*, rev. 1.1.
"""

from __future__ import annotations

import numpy as np

from rxlearn.compute.preselector_network import PORT, PreselectorNetwork


def touchstone(title: str, network: PreselectorNetwork, frequencies: np.ndarray) -> str:
    """The text of an ``.s2p`` file at ``frequencies`` (Hz, rising)."""
    found = network.scattering(np.asarray(frequencies, dtype=float))
    lines = [f"! {title}: preselector", "! port 1: aerial side; port 2: mixer side",
             f"# HZ S RI R {PORT:g}"]
    for frequency, s in zip(frequencies, found, strict=True):
        # The order that the format wants for two ports: S11 S21 S12 S22.
        cells = (s[0, 0], s[1, 0], s[0, 1], s[1, 1])
        numbers = " ".join(f"{cell.real:.12g} {cell.imag:.12g}" for cell in cells)
        lines.append(f"{float(frequency)!r} {numbers}")
    return "\n".join([*lines, ""])
