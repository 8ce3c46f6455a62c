"""What is weighed when frequencies are chosen: columns, costs, verdict words.

Each column has a *value* to show, a *cost* (lower is better) for comparing, and a
verdict: good, fair or poor.  The limits between the verdicts are a bench's rule of
thumb, not physics: each row below names where they come from.  Change them, and the
order changes; that is why the table shows the values beside the words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from rxlearn.compute.frequency_choice_columns import STRONG, Layout
from rxlearn.data.spectrum import Allocation

GOOD, FAIR, POOR = "good", "fair", "poor"
VERDICTS = (GOOD, FAIR, POOR)
POINTS = (0, 1, 3)
"""Points against a scheme for each verdict (a choice, no source)."""

BESIDE = 50e3
"""How near (Hz) the IF counts as beside an occupant: within a simple filter's skirts (a choice)."""


@dataclass(frozen=True)
class Column:
    """One thing to weigh: ``key``, what it is called, its unit and where its limits come from.

    ``good`` and ``fair`` are the largest costs of those verdicts; ``step`` is the least
    difference in cost worth noticing, used when schemes are compared for the front.
    """

    key: str
    label: str
    unit: str
    good: float
    fair: float
    step: float
    limits: str


COLUMNS: tuple[Column, ...] = (
    Column("miss", "middles apart on the dial", "Hz", 0.0, 1.0, 0.1,
           "good: the narrower band lies on the dial as it stands; fair: by less than a dial "
           "(a choice)"),
    Column("capacitor", "switched capacitor", "F", 0.05, 0.15, 0.02,
           "5 and 15 % of the tank's capacitance (a choice)"),
    Column("coil", "oscillator coil", "H", 1.0, 3.0, 0.5,
           "0.3 to 10 µH good, 0.1 to 30 µH fair (from memory: below it leads count, above it "
           "the coil's own capacitance)"),
    Column("share", "narrower band's share of the dial", "", 2.1, 5.2, 1.0,
           "about a half and a fifth of the dial (a choice)"),
    Column("oscillator", "oscillator's middle", "Hz", 8e6, 15e6, 1e6,
           "8 and 15 MHz (from memory: drift in hertz grows with frequency)"),
    Column("radiation", "tuned with the oscillator in an amateur band", "Hz", 0.0, 0.1, 0.1,
           "none; a tenth of what is tuned (a choice)"),
    Column("radiated_harmonic", "oscillator harmonic in an amateur band", "", 0.0, 1.0, 0.1,
           "none; any (a choice)"),
    Column("image_lower", "image rejection, lower band", "dB", -60.0, -40.0, 3.0,
           "60 and 40 dB (common practice, no source)"),
    Column("image_upper", "image rejection, upper band", "dB", -60.0, -40.0, 3.0,
           "60 and 40 dB (common practice, no source)"),
    Column("breakthrough", "rejection of a signal on the IF", "dB", -60.0, -40.0, 3.0,
           "60 and 40 dB (common practice, no source)"),
    Column("if_place", "IF from its nearest neighbour", "Hz", 0.0, 1.0, 1.0,
           "good: 50 kHz from any occupant in the table; poor: on a broadcast, amateur or "
           "time-signal frequency (a choice)"),
    Column("medium_wave", "IF from the medium-wave band", "Hz", -0.5e6, -0.1e6, 0.1e6,
           "500 and 100 kHz (a choice)"),
    Column("beat_harmonic", "IF harmonic in band", "", 0.0, 1 / 6, 0.05,
           "none; the sixth or higher (a choice)"),
    Column("whistles", "strongest whistle of a station", "dB", -100.0, -60.0, 10.0,
           "100 and 60 dB below the station (a choice)"),
    Column("self_made", "lowest order of a self-made whistle", "", 0.1, 1 / 6, 0.02,
           "order 10 and 6 (a choice)"),
    Column("sideband", "beat oscillator changes sides", "", 0.0, 1.0, 1.0,
           "no; yes (a choice)"),
    Column("direction", "lower band's dial runs backwards", "", 0.0, 1.0, 1.0,
           "no; yes (a choice)"),
)
"""Every column in the order of the table."""

COLUMN_OF: Mapping[str, Column] = MappingProxyType({column.key: column for column in COLUMNS})

FRONT_COLUMNS = ("miss", "oscillator", "radiation", "image_lower", "image_upper", "breakthrough",
                 "if_place", "beat_harmonic", "whistles")
"""Columns that decide the front unless others are asked for."""


def values_and_costs(
    layout: Layout, found: Mapping[str, np.ndarray], neighbours: tuple[Allocation, ...],
    beat_changes: np.ndarray,
) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
    """The value to show and the cost of every column, arrays of one length.

    ``found`` holds the arrays of :mod:`~rxlearn.compute.frequency_choice_columns`.
    """
    low, high = layout.wide
    spans = (layout.upper_high - layout.upper_low) + (layout.lower_high - layout.lower_low)
    strong = np.array([row.service in STRONG for row in neighbours])[found["neighbour"]]
    distance = np.abs(found["neighbour_distance"])
    on_it, beside = distance == 0, distance < BESIDE
    shift = layout.centre_shift
    values = {
        "miss": shift, "capacitor": np.abs(found["added"]), "coil": found["inductance"],
        "share": found["share"], "oscillator": (low + high) / 2,
        "radiation": found["radiation"], "radiated_harmonic": found["radiated_harmonic"],
        "image_lower": found["image_lower"], "image_upper": found["image_upper"],
        "breakthrough": found["breakthrough"], "if_place": found["neighbour_distance"],
        "medium_wave": found["medium_wave"], "beat_harmonic": found["beat_harmonic"],
        "whistles": found["whistle_db"], "self_made": found["self_made_order"],
        "sideband": beat_changes.astype(float), "direction": layout.summed.astype(float),
    }
    costs = dict(values)
    costs["miss"] = np.where(layout.outside <= 1e-3, 0.0, np.abs(shift) / (high - low))
    costs["capacitor"] = values["capacitor"] / found["capacitance_at_high"]
    coil = found["inductance"]
    costs["coil"] = np.select(
        [(coil >= 0.3e-6) & (coil <= 10e-6), (coil >= 0.1e-6) & (coil <= 30e-6)], [1.0, 2.0], 4.0
    )
    costs["share"] = np.where(found["share"] > 1.001, 3.0, 1 / found["share"])
    costs["radiation"] = found["radiation"] / spans
    for key in ("image_lower", "image_upper", "breakthrough", "medium_wave"):
        costs[key] = -values[key]
    costs["if_place"] = np.where(on_it & strong, 2.0, np.where(beside, 1.0, 0.0))
    for key in ("radiated_harmonic", "beat_harmonic", "self_made"):
        costs[key] = np.divide(1.0, values[key], out=np.zeros(len(shift)), where=values[key] > 0)
    return values, costs


def verdicts_of(costs: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Verdict of every column: 0 good, 1 fair, 2 poor (places in :data:`VERDICTS`)."""
    return {
        column.key: (costs[column.key] > column.good).astype(np.int8)
        + (costs[column.key] > column.fair)
        for column in COLUMNS
    }


def front_of(
    costs: Mapping[str, np.ndarray], group: np.ndarray, keys: tuple[str, ...]
) -> np.ndarray:
    """Whether each scheme is on its group's front: no other there is better in one and no worse.

    Compared in whole steps of :attr:`Column.step`, so that a decibel decides nothing.
    ``group`` (whole, sorted, shape (N,)) says which schemes compete.
    """
    steps = np.stack([
        np.round(np.clip(costs[key], -1e12, 1e12) / COLUMN_OF[key].step) for key in keys
    ])
    on_front = np.ones(len(group), dtype=bool)
    starts = np.flatnonzero(np.diff(group, prepend=-1))
    for start, end in zip(starts, np.append(starts[1:], len(group))):
        mine = steps[:, start:end]
        no_worse = np.all(mine[:, :, None] <= mine[:, None, :], axis=0)
        better = np.any(mine[:, :, None] < mine[:, None, :], axis=0)
        on_front[start:end] = ~np.any(no_worse & better, axis=0)
    return on_front
