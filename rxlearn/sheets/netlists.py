"""SPICE netlists of the plan's tank, preselector, crystal filter and power supply, to be run as they are.

Each deck measures what the workbook computes too and names it in a comment, so
that anyone can compare.  Every element has SI values in full digits.  The only
words of the learner's are in the title line, which a plan keeps to one line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from rxlearn.compute.band_spread import Network
from rxlearn.compute.crystal_ladder import CrystalLadder
from rxlearn.compute.filter_transformer import COUPLING, TransformedEnd
from rxlearn.compute.ladder_matching import EndMatch
from rxlearn.compute.power_supply import solve
from rxlearn.compute.preselector_network import PORT, PreselectorNetwork
from rxlearn.compute.rectifiers import ValveRectifier
from rxlearn.compute.supply_parts import BRIDGE, HALF_WAVE, Supply, capacitor_name, peak

TANK_Q = 200.0
"""Q that the netlist gives the oscillator's coil, so that its peak can be found; f hardly moves."""

POINTS = 401


def tank_netlist(title: str, network: Network, places: Sequence[float]) -> str:
    """The oscillator's tank at each of ``places`` (degrees of the shaft): its resonance measured.

    The measured names are ``f1``, ``f2`` … in the order of ``places``.
    """
    lines = [_title(title, "oscillator tank")]
    measures = []
    for number, angle in enumerate(places, start=1):
        variable = float(network.variable.capacitance_at(angle))
        frequency = float(network.frequency_at(angle))
        top = f"t{number}"
        inner = top if network.series is None else f"v{number}"
        loss = TANK_Q * 2 * math.pi * frequency * network.inductance
        lines += [
            f"* {angle:g} degrees: the workbook says {frequency!r} Hz",
            f"I{number} 0 {top} DC 0 AC 1",
            f"L{number} {top} 0 {network.inductance!r}",
            f"R{number} {top} 0 {loss!r}",
            *_capacitor(f"Cp{number}", top, network.parallel),
            *_capacitor(f"Cs{number}", top, network.strays),
            *_capacitor(f"Cw{number}", top, network.valve),
            *_capacitor(f"Ca{number}", inner, network.across),
            f"Cv{number} {inner} 0 {variable!r}",
        ]
        if network.series is not None:
            # A huge resistor gives the node between two capacitors its d.c. path.
            lines += [f"Cx{number} {top} {inner} {network.series!r}", f"Rx{number} {inner} 0 1e12"]
        # A narrow sweep for each place, so that the grid costs no accuracy.
        measures += [f"ac lin {POINTS} {0.99 * frequency!r} {1.01 * frequency!r}",
                     f"meas ac f{number} when vp({top})=0 cross=1"]
    return _deck(lines, "* each place in turn", measures)


def preselector_netlist(title: str, network: PreselectorNetwork, probes: Sequence[float]) -> str:
    """The preselector between two ports of 50 Ω: S21 in dB at each of ``probes`` (Hz).

    The measured names are ``s1``, ``s2`` … in the order of ``probes``.
    """
    # A transformer of n : 1 as a pair of controlled sources: v_link = v_coil/n, i_coil = i_link/n.
    ratio = network.turns_ratio
    lines = [_title(title, "preselector"), "V1 g0 0 DC 0 AC 2", f"Rg1 g0 p1 {PORT!r}"]
    source = "p1"
    for number in range(1, network.circuits + 1):
        coil, out = f"c{number}", f"o{number}"
        lines += [
            *_transformer(f"a{number}", source, coil, ratio),
            f"L{number} {coil} 0 {network.inductance!r}",
            f"C{number} {coil} 0 {network.capacitance!r}",
            f"R{number} {coil} 0 {network.loss_resistance!r}",
            *_transformer(f"b{number}", out, coil, ratio),
            f"Rl{number} {out} 0 {PORT!r}",
        ]
        if number < network.circuits:
            # The valve between two circuits: nothing comes back, and it amplifies by one.
            following = f"g{number}"
            lines += [f"Ev{number} {following} 0 {out} 0 2", f"Rg{number + 1} {following} "
                      f"p{number + 1} {PORT!r}"]
            source = f"p{number + 1}"
    middle = 20 * math.log10(1 - network.loaded_q / network.unloaded_q) * network.circuits
    lines.append(f"* the workbook says {middle!r} dB at {network.centre!r} Hz")
    parts = [
        (f"ac lin 1 {probe!r} {probe!r}\nlet s{number} = vdb(o{network.circuits})\nprint s{number}")
        for number, probe in enumerate(probes, start=1)
    ]
    return _deck(lines, "\n".join(parts), [])


def ladder_netlist(title: str, ladder: CrystalLadder, probes: Sequence[float], *,
                   before: EndMatch | None = None, behind: EndMatch | None = None) -> str:
    """The crystal filter between its terminations: gain in dB at each of ``probes`` (Hz).

    That is power in the load over the power at hand, so never above 0 dB.  The measured names are
    ``g1``, ``g2`` … in the order of ``probes``.  With a transformer ``before`` or ``behind`` it,
    that end is the stage's own resistance, and what the transformer takes counts.
    """
    first, last = (end if isinstance(end, TransformedEnd) else None for end in (before, behind))
    source = first.stage if first else ladder.source_resistance
    load = last.stage if last else ladder.load_resistance
    taken = sum(end.loss_db for end in (first, last) if end)
    # So much voltage behind the source that all the power at hand makes one volt at the load.
    lines = [_title(title, "crystal filter"),
             f"V1 e0 0 DC 0 AC {2 * math.sqrt(source / load)!r}", f"Rsource e0 {'h0' if first else 'n0'} {source!r}"]
    if first:
        lines += _ring("1", first, "h0", "n0")
    for number, (crystal, series) in enumerate(
            zip(ladder.crystals, ladder.series, strict=True), start=1):
        one, other, after = f"n{number - 1}", f"y{number}", f"n{number}"
        if series is None:
            other = after
        lines += [
            f"* Y{number}: series resonance {crystal.frequency!r} Hz",
            f"Lm{number} {one} a{number} {crystal.motional_inductance!r}",
            f"Cm{number} a{number} b{number} {crystal.motional_capacitance!r}",
            f"Rm{number} b{number} {other} {max(crystal.resistance, 1e-3)!r}",
            f"Cp{number} {one} {other} {crystal.parallel_capacitance!r}",
        ]
        if series is not None:
            lines.append(f"Cs{number} {other} {after} {series!r}")
        if number <= len(ladder.couplings):
            lines.append(f"Cc{number} {after} 0 {ladder.couplings[number - 1]!r}")
    out = f"n{len(ladder.crystals)}"
    if last:
        lines += _ring("2", last, "h1", out)
        out = "h1"
    lines.append(f"Rload {out} 0 {load!r}")
    # Nodes between capacitors need a path for direct current, and far more than a crystal's ohms.
    lines.append(".options rshunt=1e14")
    losses = ladder.loss_db(list(probes))
    lines += [f"* the workbook says {-float(loss) - taken!r} dB at {probe!r} Hz"
              for probe, loss in zip(probes, losses, strict=True)]
    parts = [f"ac lin 1 {probe!r} {probe!r}\nlet g{number} = vdb({out})\nprint g{number}"
             for number, probe in enumerate(probes, start=1)]
    return _deck(lines, "\n".join(parts), [])


def _ring(name: str, end: TransformedEnd, high: str, low: str) -> list[str]:
    """A transformer: what lies across its tuned winding at ``high``, and the link at ``low``."""
    made = end.transformer
    across = [f"Rx{name} {high} 0 {end.resistor!r}"] if end.resistor else []
    return [
        f"* {made.coil.turns} turns on {made.coil.name}, {made.link} over them",
        f"Lt{name} {high} 0 {made.inductance!r}", f"Ll{name} {low} 0 {made.link_inductance!r}",
        f"K{name} Lt{name} Ll{name} {COUPLING!r}", f"Ct{name} {high} 0 {made.capacitance!r}",
        f"Rq{name} {high} 0 {made.loss_resistance!r}", *across,
    ]


def supply_netlist(title: str, supply: Supply, *, settle: float = 1.0, steps: int = 400) -> str:
    """The power supply, run for ``settle`` seconds from charged capacitors and then measured.

    The measured names are ``v1avg``, ``v1pp`` … for each capacitor and ``iamax`` for the
    rectifier's peak current.  Rectifiers stand in their published laws.
    """
    transformer = supply.transformer
    hertz = transformer.frequency
    found = solve(supply)
    stop = max(4, round(settle * hertz)) / hertz
    window = f"from={stop - 2 / hertz!r} to={stop!r}"
    lines = [
        _title(title, "power supply"),
        "* CAUTION: what this computes can kill. Read the power supply's lesson and your local "
        "code first.",
        *_windings(supply), *_filter(supply, [c.direct for c in found.capacitors]),
        ".options method=trap reltol=1e-4 abstol=1e-9 vntol=1e-6 numdgt=8",
    ]
    measures = [
        f"meas tran v{number}{what} {what} v(c{number}) {window}"
        for number in range(1, len(supply.sections) + 1) for what in ("avg", "pp")
    ]
    measures.append(f"meas tran iamax max i(vsa) {window}")
    for number, capacitor in enumerate(found.capacitors, start=1):
        lines.append(f"* {capacitor_name(number)}: the workbook says {capacitor.direct!r} V direct, "
                     f"{capacitor.ripple_peak_to_peak!r} V peak to peak")
    step = 1 / hertz / steps
    return _deck(lines, f"tran {step!r} {stop!r} {stop - 2 / hertz!r} {step!r} uic", measures)


def _windings(supply: Supply) -> list[str]:
    transformer = supply.transformer
    lead = supply.series_resistance
    halves = transformer.halves
    sines = [f"SIN(0 {peak(emf)!r} {transformer.frequency!r})" for emf, _ in halves]
    if supply.arrangement == BRIDGE:
        return [
            f"Ve w0 y {sines[0]}", *_copper("w0", "x", "w", halves[0][1], lead), "Rfloat y 0 1e9",
            "Vsa x xa 0", "Vsb y yb 0", _law(supply, "1", "xa", "in"),
            _law(supply, "2", "yb", "in"), _law(supply, "3", "0", "x"), _law(supply, "4", "0", "y"),
        ]
    names = "a" if supply.arrangement == HALF_WAVE else "ab"
    lines = []
    for name, (_, copper), sine in zip(names, halves, sines, strict=False):
        ends = f"w{name} 0" if name == "a" else f"0 w{name}"
        lines += [
            f"Ve{name} {ends} {sine}",
            *_copper(f"w{name}", f"r{name}", f"w{name}", copper, lead),
            f"Vs{name} r{name} p{name} 0", _law(supply, name, f"p{name}", "in"),
        ]
    return lines


def _copper(start: str, end: str, name: str, copper: float, lead: float) -> list[str]:
    """A winding's resistance, and the resistor in its lead where one is fitted."""
    if not lead:
        return [f"R{name} {start} {end} {copper!r}"]
    return [f"R{name} {start} {name}r {copper!r}", f"Rx{name} {name}r {end} {lead!r}"]


def _law(supply: Supply, name: str, plus: str, minus: str) -> str:
    across = f"v({plus},{minus})"
    rectifier = supply.rectifier
    if isinstance(rectifier, ValveRectifier):
        return f"B{name} {plus} {minus} I={rectifier.perveance!r}*(uramp({across}))^1.5"
    return (f"B{name} {plus} {minus} I=uramp({across}-{rectifier.drop!r})"
            f"/{rectifier.resistance!r}")


def _filter(supply: Supply, levels: Sequence[float]) -> list[str]:
    lines, node = [], "in"
    drawn = supply.load.current
    for resistance in (supply.bleeder, supply.load.resistance):
        drawn += levels[-1] / resistance if resistance else 0.0
    for number, (section, level) in enumerate(zip(supply.sections, levels, strict=True), start=1):
        top, resistance = f"c{number}", max(section.resistance, 1e-6)
        if section.inductance > 0:
            lines += [f"{supply.series_mark(number)} {node} l{number} {section.inductance!r} ic={drawn!r}",
                      f"Rs{number} l{number} {top} {resistance!r}"]
        else:
            lines.append(f"Rs{number} {node} {top} {resistance!r}")
        lines.append(f"C{number} {top} 0 {section.capacitance!r} ic={level!r}")
        node = top
    if supply.bleeder is not None:
        lines.append(f"Rb {node} 0 {supply.bleeder!r}")
    if supply.load.resistance:
        lines.append(f"Rl {node} 0 {supply.load.resistance!r}")
    if supply.load.current:
        lines.append(f"Il {node} 0 {supply.load.current!r}")
    return lines


def _transformer(name: str, link: str, coil: str, ratio: float) -> list[str]:
    """An ideal transformer: the coil's winding holds ``ratio`` turns to one of the link's."""
    return [f"E{name} {link} m{name} {coil} 0 {1 / ratio!r}", f"V{name} m{name} 0 0",
            f"F{name} 0 {coil} V{name} {1 / ratio!r}"]


def _capacitor(name: str, node: str, capacitance: float) -> list[str]:
    return [f"{name} {node} 0 {capacitance!r}"] if capacitance else []


def _title(title: str, what: str) -> str:
    return f"* {title}: {what}"


def _deck(lines: Sequence[str], analysis: str, measures: Sequence[str]) -> str:
    # Else ``ngspice -b`` takes a deck whose analyses stand here for one without any, and says so.
    leave = ["if $?batchmode", "  quit 0", "end"]
    control = [".control", analysis, *measures, *leave, ".endc"]
    return "\n".join([*lines, *control, ".end", ""])
