"""Every file that the plan can be taken away in, by its name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

import numpy as np

from rxlearn.compute.preselector_network import PreselectorNetwork
from rxlearn.compute.quantities import Unclear
from rxlearn.plan.band_spread import band_of
from rxlearn.plan.coil_fields import CAPACITANCES
from rxlearn.plan.coils import way_of
from rxlearn.plan.crystal_filter import filter_of
from rxlearn.plan.document import Plan
from rxlearn.plan.measured import dial_network
from rxlearn.plan.power_supply import supply_of
from rxlearn.sheets.as_html import as_html
from rxlearn.sheets.build_sheet import build_sheet
from rxlearn.sheets.netlists import (
    ladder_netlist,
    preselector_netlist,
    supply_netlist,
    tank_netlist,
)
from rxlearn.sheets.pages import Sheet
from rxlearn.sheets.parts_csv import parts_csv
from rxlearn.sheets.touchstone import touchstone

DECADES, POINTS = 1.0, 801
"""A sweep for the Touchstone file: decades to either side of the centre, and points."""

BANDWIDTHS, DENSE = 3.0, 601
"""A close look at the passband besides: bandwidths to either side of the centre, and points."""


def preselector_of(plan: Plan, band: str) -> PreselectorNetwork:
    """The preselector tuned to the middle of ``band``, in parts, with the plan's own coil.

    Its Q is the middle of what one usually measures of such a coil.  Raises :class:`Unclear`
    where the coil cannot be wound or is no better than the loaded Q that is wanted.
    """
    found, coil = band_of(plan, band), band.replace("_band", "_coil")
    way = way_of(plan, coil)
    if way.problem:
        raise Unclear(way.problem)
    return PreselectorNetwork(
        (found.band_low * found.band_high) ** 0.5, plan.value(CAPACITANCES[coil]),
        plan.value("preselector.loaded_q"), way.middling_q,
        plan.value("preselector.circuits"))


def _pdf(sheet: Sheet) -> bytes:
    from rxlearn.sheets.as_pdf import as_pdf  # here, since its library is slow to import

    return as_pdf(sheet)


PRINTED: Mapping[str, Callable[[Sheet], bytes]] = MappingProxyType({
    "build-sheet.pdf": _pdf,
    "build-sheet.html": lambda sheet: as_html(sheet).encode(),
})
"""File name to what writes a build sheet that is made already."""


def _print(name: str) -> Callable[[Plan], bytes]:
    return lambda plan: PRINTED[name](build_sheet(plan))


def _tank(band: str) -> Callable[[Plan], bytes]:
    def text(plan: Plan) -> bytes:
        degrees = plan.value("dial.degrees")
        title = f"{plan.value('receiver.name')}, {plan.value(f'{band}.name')}"
        return tank_netlist(title, dial_network(plan, band), (0.0, degrees / 2, degrees)).encode()
    return text


def _preselector_deck(band: str) -> Callable[[Plan], bytes]:
    def text(plan: Plan) -> bytes:
        found, network = band_of(plan, band), preselector_of(plan, band)
        title = f"{plan.value('receiver.name')}, {plan.value(f'{band}.name')}"
        probes = (network.centre, found.band_low, found.band_high, found.intermediate_frequency)
        return preselector_netlist(title, network, probes).encode()
    return text


def _touchstone(band: str) -> Callable[[Plan], bytes]:
    def text(plan: Plan) -> bytes:
        network = preselector_of(plan, band)
        title = f"{plan.value('receiver.name')}, {plan.value(f'{band}.name')}"
        return touchstone(title, network, sweep(network)).encode()
    return text


def sweep(network: PreselectorNetwork) -> np.ndarray:
    """Rising frequencies (Hz) for a Touchstone file: two decades, and the passband closely."""
    wide = np.logspace(-DECADES, DECADES, POINTS)
    reach = min(BANDWIDTHS / network.loaded_q, 0.9)
    close = np.linspace(1 - reach, 1 + reach, DENSE)
    outside = wide[(wide < close[0]) | (wide > close[-1])]
    return network.centre * np.concatenate((
        outside[outside < 1], close, outside[outside > 1]))


def _ladder(plan: Plan) -> bytes:
    """The filter as it is built: its top, its slopes 3 and 6 dB down, and a width to either side."""
    built = filter_of(plan)
    found = built.measures
    probes = (found.top, found.low[0], found.high[0], found.low[1], found.high[1],
              found.low[0] - found.width, found.high[0] + found.width)
    return ladder_netlist(plan.value("receiver.name"), found.ladder, probes, before=built.source,
                          behind=built.load).encode()


def _supply(plan: Plan) -> bytes:
    return supply_netlist(plan.value("receiver.name"), supply_of(plan)).encode()


FILES: Mapping[str, Callable[[Plan], bytes]] = MappingProxyType({
    **{name: _print(name) for name in PRINTED},
    "parts-list.csv": parts_csv,
    "tank-lower-band.cir": _tank("lower_band"),
    "tank-upper-band.cir": _tank("upper_band"),
    "preselector-lower-band.cir": _preselector_deck("lower_band"),
    "preselector-upper-band.cir": _preselector_deck("upper_band"),
    "preselector-lower-band.s2p": _touchstone("lower_band"),
    "preselector-upper-band.s2p": _touchstone("upper_band"),
    "crystal-filter.cir": _ladder,
    "power-supply.cir": _supply,
})
"""File name to what writes its bytes; raises :class:`Unclear` where the plan has no such thing."""


def save_all(plan: Plan, folder: Path) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Write every file into ``folder``; return the names written and why others were not."""
    folder.mkdir(parents=True, exist_ok=True)
    written, refused = [], []
    for name, write in FILES.items():
        try:
            content = write(plan)
        except Unclear as reason:
            refused.append(f"{name}: {reason}")
            continue
        (folder / name).write_bytes(content)
        written.append(name)
    return tuple(written), tuple(refused)
