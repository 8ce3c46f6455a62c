"""The numbers behind a choice of frequencies, for many schemes at once.  SI; arrays of one length.

A scheme is a lower band, an upper band, an arrangement and an intermediate frequency.
Two arrangements let one oscillator range serve both bands:

- ``difference``: high side on the lower band, low side on the upper; the bands' middles
  meet where IF is half their difference.
- ``sum``: oscillator and signal add up to the IF on the lower band, low side on the upper;
  they meet where IF is half the sum of the middles.

Low side on the lower band with high side on the upper never meets: it would need
f₁ − IF = f₂ + IF with f₂ above f₁.  DERIVED from oscillator = signal ± IF.

Model: those of :mod:`~rxlearn.compute.image_swapping`, :mod:`~rxlearn.compute.recentring`
(an ideal tank whose swing covers the wider band exactly), :mod:`~rxlearn.compute.preselector`
and :mod:`~rxlearn.compute.whistles`, done with arrays.  The crystal is taken at the
frequency stamped on it; a filter built from it sits some hundred hertz away.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.mixer_levels import FLOOR_DB, Mixer
from rxlearn.compute.tuning import HIGH, LOW, OSCILLATOR, SUM
from rxlearn.compute.whistles import (
    EDGE,
    crossings_between,
    self_made_crossings,
    signal_crossings,
)
from rxlearn.data.spectrum import (
    AMATEUR,
    AMATEUR_BANDS,
    BROADCAST,
    BROADCAST_BANDS,
    EVERYWHERE,
    OTHER_SERVICES,
    STANDARD_FREQUENCY,
    STANDARD_FREQUENCY_BANDS,
    TIME,
    TIME_STATIONS,
    VHF_BANDS,
    Allocation,
)

DIFFERENCE, SUMMED = "difference", "sum"
ARRANGEMENTS = (DIFFERENCE, SUMMED)
INJECTIONS_OF = {DIFFERENCE: (HIGH, LOW), SUMMED: (SUM, LOW)}
"""Arrangement to the injections on the lower and the upper band."""

NO_OSCILLATOR, IF_IN_BAND, TOO_FAR, TANK_EMPTY = 1, 2, 4, 8
"""Bits of the reasons why a scheme cannot work."""

RADIATED_HARMONICS = (2, 3)
"""Harmonics of the oscillator looked for in amateur bands (a choice, no source)."""

STRONG = (BROADCAST, AMATEUR, TIME, STANDARD_FREQUENCY)
"""Services that are heard everywhere or all day, so that an IF on them is a mistake."""


@dataclass(frozen=True, eq=False)
class Layout:
    """Where the bands and their oscillator ranges lie: everything in Hz, shape (N,).

    ``summed`` is true for the sum arrangement, ``upper_wider`` where the upper band's
    range is the wider one.  Ranges may lie below zero where a scheme cannot work.
    """

    lower_low: np.ndarray
    lower_high: np.ndarray
    upper_low: np.ndarray
    upper_high: np.ndarray
    intermediate: np.ndarray
    summed: np.ndarray

    def __post_init__(self) -> None:
        intermediate, summed = self.intermediate, self.summed
        derived = {
            "low_a": np.where(
                summed, intermediate - self.lower_high, self.lower_low + intermediate
            ),
            "high_a": np.where(
                summed, intermediate - self.lower_low, self.lower_high + intermediate
            ),
            "low_b": self.upper_low - intermediate,
            "high_b": self.upper_high - intermediate,
        }
        for name, values in derived.items():
            object.__setattr__(self, name, values)

    @property
    def upper_wider(self) -> np.ndarray:
        """Whether the upper band is the wider one."""
        return self.high_b - self.low_b > self.high_a - self.low_a

    @property
    def centre_shift(self) -> np.ndarray:
        """Middle of the upper band's oscillator range less that of the lower band's."""
        return (self.low_b + self.high_b - self.low_a - self.high_a) / 2

    @property
    def outside(self) -> np.ndarray:
        """What the narrower range leaves beyond the wider one, without a switched capacitor."""
        overlap = np.minimum(self.high_a, self.high_b) - np.maximum(self.low_a, self.low_b)
        narrow = np.minimum(self.high_a - self.low_a, self.high_b - self.low_b)
        return narrow - np.maximum(overlap, 0.0)

    @property
    def wide(self) -> tuple[np.ndarray, np.ndarray]:
        """The dial: the wider range's edges."""
        return (np.where(self.upper_wider, self.low_b, self.low_a),
                np.where(self.upper_wider, self.high_b, self.high_a))

    @property
    def narrow(self) -> tuple[np.ndarray, np.ndarray]:
        """The narrower range's edges."""
        return (np.where(self.upper_wider, self.low_a, self.low_b),
                np.where(self.upper_wider, self.high_a, self.high_b))

    def take(self, rows: np.ndarray) -> Layout:
        """The schemes at ``rows`` alone."""
        return Layout(*(part[rows] for part in (
            self.lower_low, self.lower_high, self.upper_low, self.upper_high,
            self.intermediate, self.summed,
        )))


def failures(layout: Layout, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Reasons (bits, shape (N,)) why schemes cannot work, and the shift over the dial's middle.

    ``reach`` is the largest shift, as a share of the oscillator frequency, that counts as
    recentring; beyond it another coil is wanted, as in any multiband receiver.
    """
    bottom = np.minimum(layout.low_a, layout.low_b)
    no_oscillator = bottom < OSCILLATOR.low
    intermediate = layout.intermediate
    inside = (
        ((layout.lower_low <= intermediate) & (intermediate <= layout.lower_high))
        | ((layout.upper_low <= intermediate) & (intermediate <= layout.upper_high))
    )
    low, high = layout.wide
    middle = np.where(no_oscillator, 1.0, (low + high) / 2)
    away = np.where(no_oscillator, np.inf, np.abs(layout.centre_shift) / middle)
    with np.errstate(divide="ignore", invalid="ignore"):
        narrow = layout.narrow
        # The tank's total at the top of the dial and what is to be added, both times 4π²L.
        left = 1 / high**2 + 4 / (narrow[0] + narrow[1]) ** 2 - 4 / (low + high) ** 2
    reasons = (
        np.where(no_oscillator, NO_OSCILLATOR, 0)
        | np.where(inside, IF_IN_BAND, 0)
        | np.where(away > reach, TOO_FAR, 0)
        | np.where(~no_oscillator & (left <= 0), TANK_EMPTY, 0)
    )
    return reasons, away


def tank_columns(layout: Layout, swing: float) -> dict[str, np.ndarray]:
    """The tank whose ``swing`` (F) covers the wider band, and what the switched capacitor does.

    ``inductance`` (H), ``capacitance_at_high`` and signed ``added`` (F: positive belongs on
    the narrower band), ``share`` of the dial that the narrower band then fills, ``covered``.
    """
    (low, high), narrow = layout.wide, layout.narrow
    turns = (2 * np.pi) ** 2
    inductance = (1 / low**2 - 1 / high**2) / (turns * swing)
    total = 1 / (turns * high**2 * inductance)
    scale = 1 / (turns * inductance)
    added = scale * (4 / (narrow[0] + narrow[1]) ** 2 - 4 / (low + high) ** 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        bottom = np.sqrt(scale / (total + swing + added))
        top = np.sqrt(scale / (total + added))
    return {
        "inductance": inductance, "capacitance_at_high": total, "added": added,
        "share": (narrow[1] - narrow[0]) / (top - bottom),
        "covered": (bottom <= narrow[0]) & (narrow[1] <= top),
    }


def radiation_columns(layout: Layout, region: int) -> dict[str, np.ndarray]:
    """``radiation`` (Hz of both bands tuned with the oscillator in an amateur band) and
    ``radiated_harmonic``, the lowest of :data:`RADIATED_HARMONICS` that meets one, 0 if none.
    """
    rows = (*AMATEUR_BANDS[region],
            *(row for row in VHF_BANDS if row.service == AMATEUR and row.region == region))
    low, high = np.array([row.low for row in rows]), np.array([row.high for row in rows])

    def crossed(order: int) -> np.ndarray:
        met = np.zeros((2, len(layout.intermediate)))
        for row, (bottom, top) in enumerate(
            ((layout.low_a, layout.high_a), (layout.low_b, layout.high_b))
        ):
            shared = np.minimum(order * top[:, None], high) - np.maximum(
                order * bottom[:, None], low
            )
            met[row] = np.maximum(shared, 0.0).sum(axis=1) / order
        return met.sum(axis=0)

    harmonic = np.zeros(len(layout.intermediate), dtype=int)
    for order in reversed(RADIATED_HARMONICS):
        harmonic[crossed(order) > 0] = order
    return {"radiation": crossed(1), "radiated_harmonic": harmonic}


def rejection_columns(layout: Layout, loaded_q: float, circuits: int) -> dict[str, np.ndarray]:
    """Least rejection (dB) over each band: of the image on both, and of the IF on either band.

    The least stands at a band's edge: over a band the image draws steadily nearer or farther,
    except where it passes through zero, where it is farthest.
    """
    intermediate, summed = layout.intermediate, layout.summed
    found = {}
    through = []
    for name, edges in (
        ("lower", (layout.lower_low, layout.lower_high)),
        ("upper", (layout.upper_low, layout.upper_high)),
    ):
        images, breakthrough = [], []
        for edge in edges:
            image = np.abs(edge - 2 * intermediate)
            if name == "lower":
                image = np.where(summed, image, edge + 2 * intermediate)
            images.append(_rejection(image, edge, loaded_q, circuits))
            breakthrough.append(_rejection(intermediate, edge, loaded_q, circuits))
        found[f"image_{name}"] = np.minimum(*images)
        # An IF inside the band is tuned through: nothing is rejected there.
        inside = (edges[0] <= intermediate) & (intermediate <= edges[1])
        through.append(np.where(inside, 0.0, np.minimum(*breakthrough)))
    return found | {"breakthrough": np.minimum(*through)}


def _rejection(
    frequency: np.ndarray, centre: np.ndarray, loaded_q: float, circuits: int
) -> np.ndarray:
    """Rejection (dB) of isolated resonators; infinite at zero frequency."""
    with np.errstate(divide="ignore", over="ignore"):
        detuning = loaded_q * (frequency / centre - centre / frequency)
        return 10 * circuits / np.log(10) * np.log1p(detuning**2)


def neighbours_of(
    frequencies: np.ndarray, region: int
) -> tuple[tuple[Allocation, ...], np.ndarray, np.ndarray, np.ndarray]:
    """What lies on or nearest to each frequency (Hz, shape (M,)): rows, index, distances.

    The first distance is 0 inside (edges included), else signed to the nearest edge: positive
    if the occupant lies above.  A strong service goes before any other at equal distance.
    The last array is the distance (Hz, 0 inside) from the medium-wave broadcast band.
    """
    rows = tuple(
        row for row in (*BROADCAST_BANDS, *AMATEUR_BANDS[region], *TIME_STATIONS,
                        *STANDARD_FREQUENCY_BANDS, *OTHER_SERVICES)
        if row.region in (EVERYWHERE, region)
    )
    low = np.array([row.low for row in rows])
    high = np.array([row.high for row in rows])
    column = np.asarray(frequencies, dtype=float)[:, None]
    distance = np.where(column < low, low - column, np.where(column > high, high - column, 0.0))
    nearest = np.argmin(np.abs(distance), axis=1)
    medium = next(index for index, row in enumerate(rows) if row.name == "medium wave")
    return (rows, nearest, distance[np.arange(len(nearest)), nearest],
            np.abs(distance[:, medium]))


def beat_columns(layout: Layout, order: int) -> dict[str, np.ndarray]:
    """``beat_harmonic``: lowest harmonic (2 to ``order``) of the IF in either band, 0 if none."""
    lowest = np.full(len(layout.intermediate), order + 1)
    for low, high in (
        (layout.lower_low, layout.lower_high), (layout.upper_low, layout.upper_high)
    ):
        first = np.maximum(np.ceil(low / layout.intermediate * (1 - EDGE)), 2)
        inside = first * layout.intermediate <= high * (1 + EDGE)
        lowest = np.where(inside, np.minimum(lowest, first), lowest)
    return {"beat_harmonic": np.where(lowest > order, 0, lowest).astype(int)}


def whistle_columns(layout: Layout, order: int, mixer: Mixer) -> dict[str, np.ndarray]:
    """Crossings in both bands up to ``order``: ``whistle_count``, ``whistle_db`` of the strongest,
    ``self_made_count`` and ``self_made_order``, the lowest (0 if none).

    Self-made ones with the oscillator's fundamental are the beat oscillator's own
    harmonics and are left to :func:`beat_columns`.
    """
    size = len(layout.intermediate)
    count, level = np.zeros(size, dtype=int), np.full(size, FLOOR_DB)
    made, made_order = np.zeros(size, dtype=int), np.full(size, -np.inf)
    parts = (
        (HIGH, ~layout.summed, layout.low_a, layout.high_a),
        (SUM, layout.summed, layout.low_a, layout.high_a),
        (LOW, np.ones(size, dtype=bool), layout.low_b, layout.high_b),
    )
    for injection, rows, low, high in parts:
        if not rows.any():
            continue
        stretch = low[rows] / layout.intermediate[rows], high[rows] / layout.intermediate[rows]
        found = crossings_between(signal_crossings(injection, order, mixer), *stretch)
        count[rows] += found.count
        level[rows] = np.maximum(level[rows], found.strongest_db)
        table = self_made_crossings(injection, order, fundamental=False)
        found = crossings_between(table, *stretch)
        made[rows] += found.count
        here = np.full(len(found.count), -np.inf)
        some = found.count > 0
        here[some] = table.level_db[found.strongest[some]]
        made_order[rows] = np.maximum(made_order[rows], here)
    return {
        "whistle_count": count, "whistle_db": level, "self_made_count": made,
        "self_made_order": np.where(np.isfinite(made_order), -made_order, 0).astype(int),
    }
