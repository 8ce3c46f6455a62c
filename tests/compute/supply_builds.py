"""Builds the package's supply from a reference circuit, for tests and the benchmark."""

from __future__ import annotations

from rxlearn.compute.rectifiers import SiliconRectifier, ValveRectifier
from rxlearn.compute.supply_parts import Load, Regulator, Section, Supply, Transformer
from tests.compute.supply_circuits import Circuit


def built(circuit: Circuit) -> Supply:
    """The same supply as ``circuit``: e.m.f.s are given, so the rated current is zero."""
    (voltage, copper), *others = circuit.halves
    second = others[0] if others else (None, None)
    regulator = None
    if circuit.regulator is not None:
        volts, dropper, slope, load = circuit.regulator
        regulator = Regulator(volts, dropper, Load(load), slope)
    return Supply(
        Transformer(voltage, copper, frequency=circuit.hertz, second_voltage=second[0],
                    second_resistance=second[1]),
        SiliconRectifier(circuit.drop, circuit.own) if circuit.valve is None
        else ValveRectifier(circuit.valve),
        circuit.kind,
        tuple(Section(capacitance, inductance, resistance)
              for inductance, resistance, capacitance in circuit.sections),
        Load(circuit.current, circuit.load), circuit.bleeder, circuit.lead, regulator,
    )
