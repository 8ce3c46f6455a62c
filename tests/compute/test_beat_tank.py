"""The beat oscillator's tank: what its trimmer reaches, by resonance written anew and in ngspice."""

import math
import re
import subprocess

import pytest

from rxlearn.compute.beat_tank import LEAST, MOST, beat_tank
from rxlearn.compute.quantities import Unclear
from tests.compute.supply_circuits import ngspice_or_reason

# Intermediate frequencies from the lowest to the highest that a plan may have, and offsets, Hz.
ASKED = [(50e3, 1.5e3), (455e3, 1.5e3), (3.2768e6, 1.5e3), (10.7e6, 1.5e3), (27e6, 1.5e3), (2e6, 20e3)]


def resonance(tank, trimmer):
    """DERIVED: f = 1/(2π√(LC)), C the divider's two in series beside the trimmer with its series."""
    behind = trimmer if tank.series is None else 1 / (1 / trimmer + 1 / tank.series)
    return 1 / (2 * math.pi * math.sqrt(tank.coil * (tank.divider / 2 + behind)))


@pytest.mark.parametrize("middle, offset", ASKED)
def test_the_trimmer_reaches_both_sides_and_not_much_more(middle, offset):
    tank = beat_tank(middle, offset)
    assert resonance(tank, 50e-12) == pytest.approx(tank.low, rel=1e-9, abs=0)
    assert resonance(tank, 10e-12) == pytest.approx(tank.high, rel=1e-9, abs=0)
    assert (tank.low + tank.high) / 2 == pytest.approx(middle, rel=1e-9, abs=0)
    reach = (tank.high - tank.low) / 2
    # One step of E12 is a fifth; twice that for what the step does to the span.
    assert max(5e3, 1.5 * offset) <= reach <= 1.6 * max(5e3, 1.5 * offset)


def test_the_demo_s_by_hand():
    """DERIVED: 10 pF with 10 and 50 pF in series is 5 and 8.33 pF; beside 500 pF that is 0.66 %
    in capacitance, 0.33 % or 10.8 kHz in frequency."""
    tank = beat_tank(3.2768e6, 1.5e3)
    assert tank.series == pytest.approx(10e-12, rel=1e-9, abs=0)
    assert tank.high - tank.low == pytest.approx(3.2768e6 * (8.333 - 5) / 2 / 506.6, rel=1e-2, abs=0)


def test_in_the_simulator(tmp_path):
    """ngspice's own resonance of the tank with the trimmer at either end."""
    tank = beat_tank(3.2768e6, 1.5e3)
    for trimmer, wanted in ((MOST, tank.low), (LEAST, tank.high)):
        deck = tmp_path / "tank.cir"
        deck.write_text(
            f"* tank\nI1 0 a ac 1\nL1 a 0 {tank.coil!r}\nR1 a 0 1e6\nC1 a m {tank.divider!r}\n"
            f"C2 m 0 {tank.divider!r}\nC7 a t {tank.series!r}\nC3 t 0 {trimmer!r}\nRt t 0 1e12\n"
            f"Rm m 0 1e12\n.control\nac lin 4001 3.26meg 3.30meg\nmeas ac peak max_at vm(a)\n.endc\n.end\n")
        done = subprocess.run([ngspice_or_reason(), "-b", str(deck)], capture_output=True, text=True,
                              timeout=60)
        found = float(re.search(r"peak\s*=\s*([-+0-9.eE]+)", done.stdout)[1])
        assert found == pytest.approx(wanted, abs=15.0)


def test_what_no_trimmer_does_is_said():
    with pytest.raises(Unclear, match="smaller offset"):
        beat_tank(50e3, 20e3)
