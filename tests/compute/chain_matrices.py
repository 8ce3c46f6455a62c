"""Chain matrices of a ladder's parts (W. L. Everitt, *Communication Engineering*); imports no rxlearn."""

import math

import numpy as np


def series(z):
    """An impedance (Ω) in the line."""
    return np.array([[1, z], [0, 1]])


def shunt(y):
    """An admittance (S) across it."""
    return np.array([[1, 0], [y, 1]])


def crystal_arm(crystal, w):
    """A crystal's impedance (Ω) at ``w`` rad/s: its series arm with the holder's capacitance across."""
    resonance = 2 * math.pi * crystal.frequency
    arm = crystal.resistance + 1j * crystal.motional_inductance * (w - resonance**2 / w)
    return 1 / (1 / arm + 1j * w * crystal.parallel_capacitance)


def ladder_chain(crystal, ladder, w):
    """The crystals of ``ladder``, what is in series with each, and the capacitors between them."""
    arm, chain = crystal_arm(crystal, w), np.eye(2)
    for place, fitted in enumerate(ladder.series):
        chain = chain @ series(arm + (1 / (1j * w * fitted) if fitted else 0))
        if place < len(ladder.series) - 1:
            chain = chain @ shunt(1j * w * ladder.couplings[place])
    return chain
