"""Power supplies as plain numbers, and the same as ngspice netlists.

Imports nothing from rxlearn: this is the reference side.  The rectifier's laws
are written as behavioural sources, exactly as published: silicon as a drop
with a resistance, valves by Child's law.
"""

from __future__ import annotations

import math
import os
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

NO_NGSPICE = (
    "ngspice is not installed, so supplies were not compared with a circuit simulator: "
    "install it (Debian: sudo apt install ngspice)."
)


@dataclass(frozen=True)
class Circuit:
    """One supply.  V r.m.s. e.m.f. of the halves, Ω, H, F, A, Hz, s.

    ``sections`` are (L, R, C); ``valve`` the perveance, None for silicon of
    ``drop`` and ``own`` resistance; ``regulator`` (V, dropper, slope, load
    current).  ``settle`` is how long ngspice runs, ``start`` the voltage as a
    part of the peak from which its capacitors start.
    """

    name: str
    kind: str = "full wave"
    hertz: float = 50.0
    halves: tuple = ((238.25, 150.0), (238.25, 150.0))
    lead: float = 0.0
    valve: float | None = None
    drop: float = 0.8
    own: float = 0.1
    sections: tuple = ((0.0, 0.0, 22e-6), (3.0, 120.0, 47e-6))
    current: float = 0.0
    load: float | None = None
    bleeder: float | None = 47e3
    regulator: tuple | None = None
    settle: float = 0.6
    start: float = 0.85
    hard: bool = False

    def netlist(self, *, settle: float | None = None, steps: float = 400,
                start: float | None = None, tolerance: float = 1e-4,
                measures: tuple = ("avg", "pp", "rms", "max", "min")) -> str:
        """The whole deck: at least ``steps`` per mains period, measured over the last two.

        ``measures`` of each capacitor; ``tolerance`` is ngspice's reltol.
        """
        settle = settle or self.settle
        period = 1 / self.hertz
        stop = max(3, round(settle * self.hertz)) * period
        level = (self.start if start is None else start) * math.sqrt(2) * self.halves[0][0]
        lines = [f"* {self.name}", *self._source(), *self._filter(level)]
        longest = period / steps
        window = f"from={stop - 2 * period:.9g} to={stop:.9g}"
        lines += [
            f".options method=trap maxord=2 reltol={tolerance!r} abstol=1e-9 vntol=1e-6 numdgt=8",
            f".tran {longest:.9g} {stop:.9g} {stop - 2 * period:.9g} {longest:.9g} uic",
        ]
        for k in range(1, len(self.sections) + 1):
            for what in measures:
                lines.append(f".meas tran v{k}{what} {what} v(c{k}) {window}")
        for element in self.elements:
            for what in ("avg", "rms", "max") if "rms" in measures else ("max",):
                lines.append(f".meas tran {element}{what} {what} i(vs{element}) {window}")
        return "\n".join([*lines, ".end", ""])

    @property
    def elements(self) -> tuple[str, ...]:
        """Names of the measured elements: a, b for two halves, a for one (a pair for a bridge)."""
        return ("a",) if self.kind == "half wave" else ("a", "b")

    def _law(self, name: str, plus: str, minus: str) -> str:
        across = f"v({plus},{minus})"
        if self.valve is not None:
            return f"B{name} {plus} {minus} I={self.valve!r}*(uramp({across}))^1.5"
        return f"B{name} {plus} {minus} I=uramp({across}-{self.drop!r})/{self.own!r}"

    def _source(self) -> list[str]:
        sine = [f"SIN(0 {math.sqrt(2) * emf!r} {self.hertz!r})" for emf, _ in self.halves]
        if self.kind == "bridge":
            copper = self.halves[0][1] + self.lead
            return [
                f"Ve w0 y {sine[0]}", f"Rw w0 x {copper!r}", "Rfloat y 0 1e9",
                "Vsa x xa 0", self._law("1", "xa", "in"), "Vsb y yb 0", self._law("2", "yb", "in"),
                self._law("3", "0", "x"), self._law("4", "0", "y"),
            ]
        lines = []
        for element, (_, copper), wave, ends in zip(
            self.elements, self.halves, sine, (("w", "0"), ("0", "w")), strict=False
        ):
            plus, minus = (end if end == "0" else end + element for end in ends)
            top = f"w{element}"
            lines += [
                f"Ve{element} {plus} {minus} {wave}",
                f"Rw{element} {top} r{element} {copper + self.lead!r}",
                f"Vs{element} r{element} p{element} 0", self._law(element, f"p{element}", "in"),
            ]
        return lines

    def _filter(self, level: float) -> list[str]:
        lines, node = [], "in"
        for k, (inductance, resistance, capacitance) in enumerate(self.sections, start=1):
            if inductance > 0:
                # Losses too high to matter keep a choke without current from ringing for ever.
                lines += [f"L{k} {node} l{k} {inductance!r} ic={self._starting_current(level)!r}",
                          f"Rs{k} l{k} c{k} {max(resistance, 1e-6)!r}",
                          f"Rp{k} {node} l{k} {2e4 * self.hertz * inductance!r}"]
            else:
                lines.append(f"Rs{k} {node} c{k} {max(resistance, 1e-6)!r}")
            lines.append(f"C{k} c{k} 0 {capacitance!r} ic={level!r}")
            node = f"c{k}"
        if self.bleeder is not None:
            lines.append(f"Rb {node} 0 {self.bleeder!r}")
        if self.load is not None:
            lines.append(f"Rl {node} 0 {self.load!r}")
        if self.current:
            lines.append(f"Il {node} 0 {self.current!r}")
        if self.regulator is not None:
            voltage, dropper, slope, load = self.regulator
            lines += [f"Rd {node} z {dropper!r}", f"Iz z 0 {load!r}",
                      f"Bz z 0 I=uramp(v(z)-{voltage!r})/{slope!r}"]
        return lines

    def _starting_current(self, level: float) -> float:
        if level == 0:
            return 0.0
        drawn = self.current
        for resistance in (self.bleeder, self.load):
            drawn += level / resistance if resistance else 0.0
        return drawn


def ngspice_or_reason() -> str:
    """The program's path; skips with a sentence where it is missing, fails in CI."""
    program = shutil.which("ngspice")
    if program is None:
        if os.environ.get("CI"):
            pytest.fail(NO_NGSPICE)
        pytest.skip(NO_NGSPICE)
    return program


def simulate(program: str, deck: str, folder: Path) -> dict[str, float]:
    """Run one deck; measured names and values.  Raises RuntimeError with ngspice's words."""
    path = folder / "supply.cir"
    path.write_text(deck)
    # Its own home: ngspice crashes without one and would read the user's start-up file.
    done = subprocess.run(
        [program, "-b", str(path)], capture_output=True, text=True, timeout=120,
        env={**os.environ, "HOME": str(folder)},
    )
    found = {
        name: float(value)
        for name, value in re.findall(r"^(\w+)\s*=\s*([-+0-9.eE]+)", done.stdout, re.MULTILINE)
    }
    wanted = deck.count(".meas ")
    if len(found) < wanted:
        raise RuntimeError(f"ngspice measured {len(found)} of {wanted}:\n{done.stdout[-600:]}\n"
                           f"{done.stderr[-1500:]}")
    return found


K_6X4 = 0.070 / 22**1.5
K_5Y3 = 0.125 / 50**1.5
"""Perveances from the published drops (data sheets of the types)."""

_SAME = ((238.25, 150.0), (238.25, 150.0))
_UNEQUAL = ((238.25, 150.0), (221.0, 170.0))
_CHOKE_20 = ((20.0, 200.0, 22e-6),)
_CHOKE_3 = ((3.0, 120.0, 22e-6),)

CIRCUITS = (
    Circuit("usual, silicon", current=0.049),
    Circuit("usual, silicon, 60 Hz", hertz=60.0, current=0.049),
    Circuit("usual, valve", valve=K_6X4, current=0.049),
    Circuit("usual, valve, resistive load", valve=K_5Y3, load=5000.0),
    Circuit("bridge", kind="bridge", current=0.049),
    Circuit("half wave 50 Hz", kind="half wave", current=0.049, settle=0.8, hard=True),
    Circuit("half wave 50 Hz, valve", kind="half wave", valve=K_6X4, load=8000.0, settle=0.8,
            hard=True),
    Circuit("bleeder alone", start=0.97, hard=True),
    Circuit("almost nothing drawn", sections=((0.0, 0.0, 1e-6),), bleeder=10e6, start=0.995,
            settle=2.0, hard=True),
    Circuit("almost nothing drawn, valve", sections=((0.0, 0.0, 1e-6),), bleeder=10e6,
            valve=K_6X4, start=0.99, settle=2.0, hard=True),
    Circuit("overload, constant current", current=0.4, start=0.5, settle=0.8, hard=True),
    Circuit("overload, resistor", load=200.0, start=0.4, hard=True),
    Circuit("overload, valve", valve=K_6X4, load=500.0, start=0.4, hard=True),
    Circuit("tiny choke", sections=((0.0, 0.0, 22e-6), (0.01, 5.0, 47e-6)), current=0.049,
            hard=True),
    Circuit("huge choke", sections=((0.0, 0.0, 22e-6), (100.0, 500.0, 47e-6)), load=6000.0,
            start=0.8, settle=3.0, hard=True),
    Circuit("choke input", sections=_CHOKE_20, current=0.049, start=0.57, settle=1.5),
    Circuit("choke input, valve", sections=_CHOKE_20, valve=K_6X4, current=0.049, start=0.55,
            settle=1.5),
    Circuit("choke input, bridge", kind="bridge", sections=_CHOKE_20, load=4000.0, start=0.57,
            settle=1.2),
    Circuit("choke input, bridge, short of zero", kind="bridge", sections=((0.5, 20.0, 4e-6),),
            load=300.0, bleeder=None, start=0.3, settle=0.4, hard=True),
    Circuit("choke below critical", sections=_CHOKE_3, current=0.049, start=0.64, hard=True),
    Circuit("choke below critical, valve", sections=_CHOKE_3, valve=K_6X4, current=0.049,
            start=0.6, hard=True),
    Circuit("choke near critical", sections=((3.9, 200.0, 22e-6),), load=4000.0, start=0.6,
            hard=True),
    Circuit("tiny input choke", sections=((0.03, 12.0, 22e-6),), load=5000.0, hard=True),
    Circuit("half wave, choke input", kind="half wave", sections=_CHOKE_3, load=10e3, start=0.4,
            settle=1.0, hard=True),
    Circuit("valve behind high resistance", valve=K_6X4, lead=525.0, current=0.049, start=0.6,
            settle=1.2,
            hard=True),
    Circuit("valve behind very high resistance", valve=K_5Y3, lead=3000.0, load=8000.0, start=0.4,
            settle=4.0,
            hard=True),
    Circuit("unbalanced winding", halves=_UNEQUAL, current=0.049, settle=0.8, hard=True),
    Circuit("unbalanced winding, valve", halves=_UNEQUAL, valve=K_6X4, current=0.049, settle=0.8,
            hard=True),
    Circuit("unbalanced winding, choke input", halves=_UNEQUAL, sections=_CHOKE_20, load=4000.0,
            start=0.55, settle=1.5, hard=True),
    Circuit("low resistance, large capacitor", halves=((238.25, 5.0), (238.25, 5.0)),
            sections=((0.0, 0.0, 470e-6),), load=3000.0, start=0.97, settle=1.0, hard=True),
    Circuit("half wave, low resistance, large capacitor", kind="half wave",
            halves=((238.25, 5.0),), sections=((0.0, 0.0, 220e-6),), load=3000.0, start=0.93,
            settle=1.0, hard=True),
    Circuit("two sections, choke then resistor",
            sections=((0.0, 0.0, 22e-6), (3.0, 120.0, 47e-6), (0.0, 1000.0, 22e-6)),
            load=8000.0, start=0.75, settle=1.5),
    Circuit("resistors only", sections=((0.0, 0.0, 33e-6), (0.0, 470.0, 33e-6)), load=6000.0),
    Circuit("choke input, two sections", sections=((10.0, 150.0, 10e-6), (3.0, 120.0, 47e-6)),
            load=4000.0, start=0.57, settle=1.5),
    Circuit("one microfarad first", sections=((0.0, 0.0, 1e-6), (3.0, 120.0, 47e-6)), load=5000.0,
            start=0.65, hard=True),
    Circuit("low voltage bridge", kind="bridge", halves=((6.9, 0.4),),
            sections=((0.0, 0.0, 4700e-6),), load=15.0, bleeder=None, start=0.7),
    Circuit("aircraft mains", hertz=400.0, load=5000.0, start=0.85),
    Circuit("glow tube in regulation", current=0.020,
            regulator=(150.0, 5600.0, 100.0, 0.008), start=0.8),
    Circuit("glow tube dips out", sections=((0.0, 0.0, 4e-6),),
            regulator=(150.0, 9000.0, 100.0, 0.008), current=0.05, start=0.75, hard=True),
    Circuit("glow tube out", regulator=(150.0, 20e3, 100.0, 0.010), current=0.020, start=0.8),
)
"""Usual and hard ones.  Invented for the workbook; the values are ordinary."""
