"""A converter's circuits: resonance, matching and width by hand, and the crystal's in ngspice."""

import math
import os
import re
import subprocess

import pytest

from rxlearn.compute.circuits import ValveFigures
from rxlearn.compute.converter_circuit import ConverterNumbers, converter_circuit
from rxlearn.compute.quantities import parse
from rxlearn.compute.stages import CONVERTER_STAGES
from tests.compute.supply_circuits import ngspice_or_reason

NUMBERS = ConverterNumbers(signal=18.118e6, reading=3.8e6, width=100e3, crystal=14.31818e6,
                           loaded_q=50.0, circuits=1, supply=250.0)
OVERTONE = ConverterNumbers(signal=28.25e6, reading=3.75e6, width=500e3, crystal=32e6,
                            loaded_q=50.0, circuits=2, supply=250.0)
# RCA receiving-tube manuals, typical operation (from memory).
MIXER = ValveFigures(name="6BE6", bias=1.5, current=9.7e-3, anode_current=2.9e-3, conductance=475e-6,
                     screen=100.0, screen_current=6.8e-3)
TRIODE = ValveFigures(name="6C4", bias=8.5, current=4e-3, anode_current=4e-3, conductance=2.2e-3,
                      mu=17.0)


def made(stage, numbers=NUMBERS):
    return converter_circuit(stage, numbers, {"converter": MIXER, "crystal_oscillator": TRIODE}.get(stage))


@pytest.mark.parametrize(("stage", "coil", "capacitor", "frequency"), [
    ("converter_input", "L2", "C1", 18.118e6), ("converter", "L1", "C4", 3.8e6)])
def test_its_circuits_resonate(stage, coil, capacitor, frequency):
    """DERIVED: f = 1/(2π√(LC)); values are printed to three digits."""
    circuit = made(stage)
    product = parse(circuit.value(coil), "H") * parse(circuit.value(capacitor), "F")
    assert 1 / (2 * math.pi * math.sqrt(product)) == pytest.approx(frequency, rel=5e-3, abs=0)


def test_the_stretch_in_use_lies_within_a_decibel():
    """F. E. Terman, Radio Engineering: 10 lg(1 + Q²(f/f0 - f0/f)²)."""
    for numbers in (NUMBERS, OVERTONE):
        edge = (numbers.reading + numbers.width / 2) / numbers.reading
        loss = 10 * math.log10(1 + (numbers.output_q * (edge - 1 / edge)) ** 2)
        assert 0.8 < loss < 1.1


def test_the_input_is_matched():
    """DERIVED: the source, n²·50 Ω at the coil, in parallel with the coil's equal loss leaves Q·X."""
    seen = NUMBERS.input_ratio ** 2 * 50
    reactance = 1 / (2 * math.pi * NUMBERS.signal * NUMBERS.input_capacitance)
    assert seen / 2 == pytest.approx(50 * reactance, rel=1e-9, abs=0)


def test_the_gain_is_the_conversion_conductance_into_the_damped_circuit():
    """DERIVED: 475 µS into n²·50 Ω, stepped down by n."""
    ratio = NUMBERS.output_ratio
    assert NUMBERS.gain_db(475e-6) == pytest.approx(20 * math.log10(475e-6 * ratio**2 * 50 / ratio))


def test_what_is_printed():
    # By hand: 1.5 V / 9.7 mA = 155 Ω; (250 - 100) V / 6.8 mA = 22.06 kΩ; 150 V / 4 mA = 37.5 kΩ, 39 in
    # E12; 1/(2π · 14.318 MHz · 330 Ω) = 33.7 pF.
    assert made("converter").value("R2") == "150 Ω" and made("converter").value("R3") == "22 kΩ"
    crystal = made("crystal_oscillator")
    assert (crystal.value("R2"), crystal.value("C1"), crystal.value("L1")) == ("39 kΩ", "33 pF", "1 mH")
    assert [part.ref for part in made("converter_input", OVERTONE).parts] == [
        "S3", "L1", "L2", "C1", "C2", "L3", "C3"]
    assert "overtone" in made("crystal_oscillator", OVERTONE).note
    for stage in CONVERTER_STAGES:
        refs = [part.ref for part in made(stage).parts]
        assert len(refs) == len(set(refs))


def resistance_at_the_crystal(tmp_path, numbers, frequencies, strays=3e-12):
    """What the crystal sees in ngspice: the real part (Ω) of the oscillator's input at each frequency.

    The valve is a conductance from grid and cathode; its anode is at chassis for radio frequencies.
    """
    circuit = made("crystal_oscillator", numbers)
    farads, coil = parse(circuit.value("C1"), "F"), parse(circuit.value("L1"), "H")
    lines = ["* what the crystal sees", "I1 0 g DC 0 AC 1", f"C1 g k {farads + strays!r}",
             f"C2 k 0 {farads!r}", f"L1 k m {coil!r}",
             # A coil of Q 100 at its work.
             f"Rl m 0 {2 * math.pi * frequencies[0] * coil / 100!r}",
             "R1 g k 100k", "Gv 0 k g k 2.2m", ".control"]
    for number, frequency in enumerate(frequencies):
        lines += [f"ac lin 1 {frequency!r} {frequency!r}", f"let r{number} = real(v(g))",
                  f"print r{number}"]
    path = tmp_path / "crystal.cir"
    path.write_text("\n".join([*lines, ".endc", ".end", ""]), encoding="utf-8")
    done = subprocess.run([ngspice_or_reason(), "-b", str(path)], capture_output=True, text=True,
                          timeout=60, env={**os.environ, "HOME": str(tmp_path)})
    found = dict(re.findall(r"^(r\d)\s*=\s*([-+0-9.eE]+)", done.stdout, re.MULTILINE))
    return [float(found[f"r{number}"]) for number in range(len(frequencies))]


def test_the_crystal_oscillates_and_an_overtone_only_on_its_overtone(tmp_path):
    # Makers of small crystals print at most some 50 Ω on the fundamental and 100 Ω on the third
    # overtone (from memory); twice that is the usual margin (common practice).  ngspice is the source.
    fundamental, = resistance_at_the_crystal(tmp_path, NUMBERS, [NUMBERS.crystal])
    assert fundamental < -100
    above, below = resistance_at_the_crystal(
        tmp_path, OVERTONE, [OVERTONE.crystal, OVERTONE.crystal / 3])
    assert above < -200 and below > 0
