"""A third band through a crystal-controlled converter: dial, image, whistles, what to reject.  Hz.

Builds on :mod:`~rxlearn.compute.converter`.  The main receiver tunes one of its bands with
its own oscillator O; the crystal X moves the third band there, f = X ± L with L the main
receiver's reading.  The converter's image is X ∓ L.  Two oscillators whistle where harmonics
of both, q·O + p·X, land on L (through the main receiver's front) or on the main receiver's IF;
with L = a·O + b·IF both are solved for O in closed form.  DERIVED from the definitions.

Model: the preselector of :mod:`~rxlearn.compute.preselector` as the converter's front end,
tuned to the wanted signal; the main receiver's own whistles are left to
:mod:`~rxlearn.compute.whistles`.  Limits: no levels for the whistles (screening decides
them); the crystal on the frequency stamped on it, as overtone crystals above about 25 MHz are
only when so operated.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from rxlearn.compute.converter import ConvertedBand, convert_band
from rxlearn.compute.preselector import LOADED_Q, RESPONSE_FREQUENCY, check_circuits, response_db
from rxlearn.compute.quantities import Unclear, show, show_span
from rxlearn.compute.tuning import HIGH, BandPlan, check_region, occupants_of
from rxlearn.compute.whistles import SIGNAL_IN_TERMS, check_order, check_oscillator
from rxlearn.data.spectrum import AMATEUR, Allocation

MARKS = 10
"""About how many marks to put on the third band's scale."""

STEPS = 41
"""Places in the band at which the front end is worked out."""

POOR_IMAGE_DB = 40.0
"""An image less far down than this is held against a crystal (common practice, no source)."""

CRYSTAL_HARMONICS = (1, 2, 3)
"""Harmonics of the crystal looked for in amateur bands (a choice, no source)."""


@dataclass(frozen=True)
class DialMark:
    """A mark of the third band: ``frequency`` (Hz) stands where the main dial reads ``reading``.

    ``place`` is that reading's share of the main dial, 0 at its low end and 1 at its high end.
    """

    frequency: float
    reading: float
    place: float


@dataclass(frozen=True)
class Reject:
    """What the converter's front end must keep out: a stretch (Hz), and how far it does (dB).

    ``rejection_db`` is the least over the band (infinite at zero frequency); ``there`` names
    what the spectrum table holds in the stretch.
    """

    name: str
    low: float
    high: float
    rejection_db: float
    there: tuple[str, ...]


@dataclass(frozen=True)
class CrystalWhistle:
    """Harmonics of crystal and main oscillator that meet: heard on ``frequency`` (Hz, third band).

    ``reading`` is the main dial's, ``oscillator`` the main oscillator's frequency (Hz).
    ``oscillator_order`` q·O with the signed ``crystal_order`` p·X, times ``sign``, lands on the
    main receiver's signal (``on_signal``) or else on its IF.  ``pitch_slope``: how many Hz the
    pitch moves for each Hz tuned.
    """

    frequency: float
    reading: float
    oscillator: float
    oscillator_order: int
    crystal_order: int
    sign: int
    on_signal: bool
    pitch_slope: int

    @property
    def order(self) -> int:
        """Both orders together, without sign."""
        return self.oscillator_order + abs(self.crystal_order)

    @property
    def name(self) -> str:
        """Which harmonics meet, and where."""
        where = "the frequency tuned" if self.on_signal else "the intermediate frequency"
        crystal = f"harmonic {abs(self.crystal_order)} of the crystal"
        if not self.oscillator_order:
            return f"{crystal} on {where}"
        return f"harmonic {self.oscillator_order} of the main oscillator with {crystal} on {where}"


@dataclass(frozen=True)
class ConverterPlan:
    """A band, a crystal and a main receiver, worked out.  Hz.

    ``stretch`` is the part of the main dial that the band uses (Hz of the main reading) and
    ``stretch_share`` the same as shares of that dial; None where nothing is reached.
    ``covered_share`` is the part of the band that is reached.  ``sideband_inverted`` and
    ``dial_reversed`` are for converter and main receiver together.
    ``crystal_in`` are the amateur bands that the crystal or a harmonic of it lies in, with
    that harmonic.  ``whistles`` come in order of the band; ``beat_harmonics`` are those of the
    main receiver's beat oscillator in the part reached (order, Hz).  ``reasons`` say why it
    cannot work.
    """

    converted: ConvertedBand
    main: BandPlan
    region: int
    loaded_q: float
    circuits: int
    order: int
    stretch: tuple[float, float] | None
    stretch_share: tuple[float, float] | None
    covered_share: float
    sideband_inverted: bool
    dial_reversed: bool
    marks: tuple[DialMark, ...]
    crystal_in: tuple[tuple[int, Allocation], ...]
    rejects: tuple[Reject, ...]
    whistles: tuple[CrystalWhistle, ...]
    beat_harmonics: tuple[tuple[int, float], ...]
    reasons: tuple[str, ...]

    @property
    def works(self) -> bool:
        """Whether any of the band is reached."""
        return not self.reasons

    @property
    def image(self) -> Reject | None:
        """The converter's own image; None where nothing is reached."""
        return self.rejects[0] if self.rejects else None

    @property
    def sentence(self) -> str:
        """What the crystal gives and what stands against it."""
        crystal = show(self.converted.crystal, "Hz", digits=8)
        if self.reasons:
            return f"A crystal of {crystal} does not serve: {self.reasons[0]}"
        way = "backwards" if self.dial_reversed else "upwards"
        covered = show_span(
            self.converted.covered_low, self.converted.covered_high, "Hz", digits=7
        )
        stretch = show_span(*self.stretch, "Hz", digits=7)
        return (f"A crystal of {crystal} puts {covered} on {stretch} of the main dial, tuning "
                f"{way}. Against it: {'; '.join(self.speaks_against) or 'nothing found'}.")

    @property
    def speaks_against(self) -> tuple[str, ...]:
        """What stands against this crystal, one short text each."""
        found = []
        if self.covered_share < 1:
            found.append(f"only {100 * self.covered_share:.0f} % of the band is reached")
        for order, row in self.crystal_in:
            what = "the crystal" if order == 1 else f"harmonic {order} of the crystal"
            found.append(f"{what} lies inside {row.name}")
        if self.dial_reversed:
            found.append("the dial runs backwards")
        if self.image and self.image.rejection_db < POOR_IMAGE_DB:
            found.append(f"the converter's image is only {self.image.rejection_db:.0f} dB down")
        for harmonic, frequency in self.beat_harmonics:
            found.append(f"harmonic {harmonic} of the beat oscillator falls on "
                         f"{show(frequency, 'Hz', digits=7)}")
        if self.whistles:
            lowest = min(self.whistles, key=lambda item: item.order)
            found.append(f"it whistles on {show(lowest.frequency, 'Hz', digits=7)}: {lowest.name}")
        return tuple(found)


def plan_converter(
    band_low: float, band_high: float, crystal: float, main: BandPlan, *, region: int = 2,
    loaded_q: float = 50.0, circuits: int = 1, order: int = 8,
) -> ConverterPlan:
    """Put a band (edges in Hz) on the ``main`` receiver's dial with a ``crystal`` (Hz).

    ``loaded_q`` and ``circuits`` are the converter's front end; ``order`` the highest sum of
    harmonics looked for.  Raises :class:`Unclear` for values out of range and a main
    receiver without an oscillator; a crystal that does not serve comes back with its reasons.
    """
    check_oscillator(main)
    region, order = check_region(region), check_order(order)
    loaded_q, circuits = LOADED_Q.check(loaded_q), check_circuits(circuits)
    converted = convert_band(band_low, band_high, crystal, main.band_low, main.band_high)
    inverted = converted.inverted
    stretch = share = None
    marks, rejects, whistles, beats = (), (), (), ()
    if converted.covered_low is not None:
        edges = converted.covered_low, converted.covered_high
        stretch = tuple(sorted(abs(edge - converted.crystal) for edge in edges))
        share = tuple(_place(main, reading) for reading in stretch)
        marks = _marks(converted, main)
        rejects = _rejects(converted, main, (region, loaded_q, circuits))
        whistles = _whistles(converted, main, order)
        beats = _beat_harmonics(edges, main.intermediate_frequency, order)
    return ConverterPlan(
        converted=converted, main=main, region=region, loaded_q=loaded_q, circuits=circuits,
        order=order, stretch=stretch, stretch_share=share, covered_share=covered_share(converted),
        sideband_inverted=inverted != main.sideband_inverted,
        dial_reversed=inverted != main.tunes_backwards, marks=marks,
        crystal_in=_crystal_in(converted.crystal, region), rejects=rejects, whistles=whistles,
        beat_harmonics=beats, reasons=converted.reasons,
    )


def compare_converters(
    band_low: float, band_high: float, crystals: Sequence[float], main: BandPlan, *,
    region: int = 2, loaded_q: float = 50.0, circuits: int = 1, order: int = 8,
) -> tuple[ConverterPlan, ...]:
    """One plan for each crystal (Hz): most of the band first, then fewest things against it.

    Raises :class:`Unclear` for an empty list and as :func:`plan_converter` does.
    """
    if not len(crystals):
        raise Unclear("Crystals are missing: give at least one frequency.")
    plans = [
        plan_converter(band_low, band_high, crystal, main, region=region, loaded_q=loaded_q,
                       circuits=circuits, order=order)
        for crystal in crystals
    ]
    return tuple(sorted(plans, key=lambda plan: (-plan.covered_share, len(plan.speaks_against))))


def covered_share(converted: ConvertedBand) -> float:
    """The part of the third band that the main dial reaches, 0 to 1."""
    if converted.covered_low is None:
        return 0.0
    return (converted.covered_high - converted.covered_low) / (
        converted.band_high - converted.band_low)


def _place(main: BandPlan, reading: float) -> float:
    """Share of the main dial."""
    return (reading - main.band_low) / (main.band_high - main.band_low)


def _marks(converted: ConvertedBand, main: BandPlan) -> tuple[DialMark, ...]:
    """Round frequencies of the third band at steps of 1, 2 or 5 times a power of ten."""
    low, high = converted.covered_low, converted.covered_high
    least = (high - low) / MARKS
    if least <= 0:
        places = [low]
    else:
        decade = 10.0 ** math.floor(math.log10(least))
        step = next(s * decade for s in (1, 2, 5, 10) if s * decade >= least * (1 - 1e-9))
        first = math.ceil(low / step - 1e-9)
        last = math.floor(high / step + 1e-9)
        places = [number * step for number in range(first, last + 1)]
    readings = [abs(place - converted.crystal) for place in places]
    return tuple(
        DialMark(place, reading, _place(main, reading)) for place, reading in zip(places, readings)
    )


def _crystal_in(crystal: float, region: int) -> tuple[tuple[int, Allocation], ...]:
    """Amateur bands in which the crystal or its harmonics lie."""
    return tuple(
        (order, row) for order in CRYSTAL_HARMONICS
        for row in occupants_of(order * crystal, order * crystal, region, services=(AMATEUR,))
    )


def _rejects(
    converted: ConvertedBand, main: BandPlan, front: tuple[int, float, int]
) -> tuple[Reject, ...]:
    """Image, direct reception of the main band, and the main receiver's image and IF."""
    wanted = np.linspace(converted.covered_low, converted.covered_high, STEPS)
    crystal, side = converted.crystal, -1 if converted.inverted else 1
    reading = side * (wanted - crystal)
    other = np.abs(_main_image(main, reading))
    return (
        _reject("the converter's image", np.abs(crystal - side * reading), wanted, front),
        _reject("signals on the main receiver's own band", reading, wanted, front),
        _reject("the main receiver's image, from the same side", np.abs(crystal + side * other),
                wanted, front),
        _reject("the main receiver's image, from the other side", np.abs(crystal - side * other),
                wanted, front),
        _reject("the main receiver's image, coming in directly", other, wanted, front),
        _reject("the main receiver's intermediate frequency",
                np.full(STEPS, main.intermediate_frequency), wanted, front),
    )


def _beat_harmonics(
    edges: tuple[float, float], intermediate: float, order: int
) -> tuple[tuple[int, float], ...]:
    """Harmonics of the main receiver's IF inside the part of the third band reached."""
    return tuple(
        (harmonic, harmonic * intermediate) for harmonic in range(2, order + 1)
        if edges[0] <= harmonic * intermediate <= edges[1]
    )


def _main_image(main: BandPlan, reading: np.ndarray) -> np.ndarray:
    """What else the main receiver hears at each reading; its sign does not matter."""
    twice = 2 * main.intermediate_frequency
    return reading + twice if main.injection == HIGH else twice - reading


def _reject(
    name: str, frequency: np.ndarray, wanted: np.ndarray, front: tuple[int, float, int]
) -> Reject:
    """One row: the least rejection while the front end follows the wanted signal."""
    region, loaded_q, circuits = front
    clipped = np.maximum(frequency, RESPONSE_FREQUENCY.low)
    rejection = -response_db(clipped, wanted, loaded_q, circuits)
    rejection = np.where(frequency < RESPONSE_FREQUENCY.low, np.inf, rejection)
    low, high = float(frequency.min()), float(frequency.max())
    there = tuple(dict.fromkeys(row.name for row in occupants_of(low, high, region)))
    return Reject(name, low, high, float(rejection.min()) + 0.0, there)


def lowest_whistle(converted: ConvertedBand, main: BandPlan, order: int) -> float:
    """The lowest order at which the two oscillators whistle in what is reached; NaN if none does.

    Orders up to ``order``; the same whistles as :func:`plan_converter` lists.
    """
    if converted.covered_low is None:
        return math.nan
    orders = _harmonics(order).orders[_meetings(converted, main, order)[0]]
    return float(orders.min()) if len(orders) else math.nan


@dataclass(frozen=True, eq=False)
class _Harmonics:
    """All q·O + p·X up to an order, with either sign, on the signal and on the IF; one row each."""

    q: np.ndarray
    p: np.ndarray
    sign: np.ndarray
    on_signal: np.ndarray

    @property
    def orders(self) -> np.ndarray:
        return self.q + abs(self.p)


@cache
def _harmonics(order: int) -> _Harmonics:
    rows = [(q, p, sign, on_signal) for q in range(order)
            for p in (*range(q - order, 0), *range(1, order - q + 1))
            for sign in (1, -1) for on_signal in (True, False)]
    return _Harmonics(*map(np.array, zip(*rows)))


def _meetings(
    converted: ConvertedBand, main: BandPlan, order: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Rows of :func:`_harmonics` that land in the part reached: row, slope, oscillator, reading."""
    a, b = SIGNAL_IN_TERMS[main.injection]
    sums, crystal, intermediate = _harmonics(order), converted.crystal, main.intermediate_frequency
    # On the signal: sign·(q·O + p·X) = a·O + b·IF.  On the IF: = IF.
    slope = sums.sign * sums.q - np.where(sums.on_signal, a, 0)
    rest = np.where(sums.on_signal, b, 1) * intermediate - sums.sign * sums.p * crystal
    rows = np.flatnonzero(slope)
    oscillator = rest[rows] / slope[rows]
    reading = a * oscillator + b * intermediate
    frequency = crystal + (-1 if converted.inverted else 1) * reading
    inside = (converted.covered_low <= frequency) & (frequency <= converted.covered_high)
    return rows[inside], slope[rows][inside], oscillator[inside], reading[inside]


def _whistles(converted: ConvertedBand, main: BandPlan, order: int) -> tuple[CrystalWhistle, ...]:
    """Where q·O + p·X lands on the main signal or on its IF, in the part of the band reached."""
    side, sums = -1 if converted.inverted else 1, _harmonics(order)
    found = {}
    for row, slope, oscillator, reading in zip(
            *(part.tolist() for part in _meetings(converted, main, order))):
        whistle = CrystalWhistle(
            converted.crystal + side * reading, reading, oscillator, int(sums.q[row]),
            int(sums.p[row]), int(sums.sign[row]), bool(sums.on_signal[row]), abs(slope))
        # What lands on the signal lands on the IF by one more O: one whistle.
        key = round(whistle.frequency)
        if key not in found or whistle.order < found[key].order:
            found[key] = whistle
    return tuple(sorted(found.values(), key=lambda row: (row.frequency, row.order)))
