"""Spurious responses of a tuned receiver: what else arrives on the intermediate frequency.  Hz.

With the oscillator on O, every signal with \\|m·O ± n·f\\| = IF is heard, that is
f = (σ·IF − m·O)/n for σ = ±1 and every pair of orders.  Straight lines over the
dial; where one crosses the tuning line, the wanted station whistles
(:mod:`~rxlearn.compute.whistles` finds those places in closed form).

Levels are the mixer's (:mod:`~rxlearn.compute.mixer_levels`) with the preselector's
response (:mod:`~rxlearn.compute.preselector`) before it, relative to a wanted signal
of the same strength at the aerial.

Limits: one signal at a time (no intermodulation of two stations), a beat oscillator
exactly on the IF, and the limits of both models named above; levels are an order of
merit, not a measurement.  Source of the relation: R. Langford-Smith, *Radiotron
Designer's Handbook*, 4th ed., ch. 25, from memory; all else DERIVED from it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rxlearn.compute.mixer_levels import Mixer, level_db
from rxlearn.compute.preselector import LOADED_Q, RESPONSE_FREQUENCY, check_circuits, response_db
from rxlearn.compute.quantities import Range
from rxlearn.compute.tuning import (
    HIGH,
    INTERMEDIATE_FREQUENCY,
    LOW,
    OSCILLATOR,
    SIGNAL,
    BandPlan,
    occupants_of,
    oscillator_frequency,
)
from rxlearn.compute.whistles import check_order, check_oscillator, product_name

WANTED = "wanted signal"
IMAGE = "image"
BREAKTHROUGH = "breakthrough on the intermediate frequency"
SUBHARMONIC = "a fraction of the intermediate frequency"
HALF_IF = "half-IF response"
HARMONIC_IMAGE = "mixes with a harmonic of the oscillator"
HIGHER = "higher order"
KINDS = (WANTED, IMAGE, BREAKTHROUGH, SUBHARMONIC, HALF_IF, HARMONIC_IMAGE, HIGHER)

STRAY_DB = 100.0
"""Most that a preselector is credited with: stray coupling goes round it (a choice, no source)."""

SINGLE_ORDER = Range("Order", "", 0, 40)


@dataclass(frozen=True)
class Response:
    """A signal ``frequency`` (Hz) that is heard, and by which product.

    ``sign``·(``oscillator_order``·O + ``signal_order``·f) = IF, the oscillator's order
    from 0 up and the signal's with its sign.  ``kind`` is one of :data:`KINDS`.
    ``attenuation_db`` is the preselector's (positive), ``level_db`` the level at the
    IF relative to a wanted signal of equal strength.  ``there`` names what the spectrum
    table holds on it; may be empty.
    """

    oscillator_order: int
    signal_order: int
    sign: int
    frequency: float
    kind: str
    attenuation_db: float
    level_db: float
    there: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The product in words, such as ``2·oscillator − 2·signal``."""
        return product_name(self.oscillator_order, self.signal_order, self.sign)


@dataclass(frozen=True, eq=False)
class Products:
    """Orders of all products up to some order: arrays of one length."""

    m: np.ndarray
    n: np.ndarray
    sign: np.ndarray

    def frequencies(self, oscillator: np.ndarray, intermediate: float) -> np.ndarray:
        """Signal (Hz) of each product (rows) at each oscillator (columns); may be negative."""
        oscillator = np.atleast_1d(oscillator)
        top = (self.sign * intermediate)[:, None] - self.m[:, None] * oscillator[None, :]
        return top / self.n[:, None]


def products_up_to(highest_oscillator: int, highest_signal: int, order: int) -> Products:
    """Every product with n of 1 up; with σ both ways, a negative n says all that is left."""
    m, n, sign = (
        grid.ravel() for grid in np.meshgrid(
            np.arange(highest_oscillator + 1),
            np.concatenate((np.arange(1, highest_signal + 1), -np.arange(1, highest_signal + 1))),
            (1, -1), indexing="ij",
        )
    )
    keep = (m + np.abs(n) <= order) & ((m > 0) | ((n > 0) & (sign > 0)))
    return Products(m[keep], n[keep], sign[keep])


def response_frequencies(
    oscillator: float, intermediate_frequency: float, *, highest_oscillator_order: int = 2,
    highest_signal_order: int = 2,
) -> tuple[tuple[float, int, int], ...]:
    """All signals (Hz) that this oscillator brings to the IF: (frequency, m, n), rising.

    Orders m from 0 and n from 1 (both without sign) up to those given.  No levels, no
    preselector.  Raises :class:`Unclear` out of range.
    """
    oscillator = OSCILLATOR.check(oscillator)
    intermediate = INTERMEDIATE_FREQUENCY.check(intermediate_frequency)
    highest = [
        int(SINGLE_ORDER.check(order)) for order in (highest_oscillator_order, highest_signal_order)
    ]
    products = products_up_to(*highest, sum(highest))
    places = products.frequencies(oscillator, intermediate)[:, 0]
    found = {
        (float(place), int(m), int(abs(n)))
        for place, m, n in zip(places, products.m, products.n) if place > 0
    }
    return tuple(sorted(found))


def kind_of(m: int, n: int, sign: int, injection: str) -> str:
    """Which of :data:`KINDS` a product is."""
    if m == 0:
        return BREAKTHROUGH if abs(n) == 1 else SUBHARMONIC
    if (m, abs(n)) == (1, 1):
        wanted = {HIGH: (-1, 1), LOW: (-1, -1)}.get(injection, (1, 1))
        return WANTED if (n, sign) == wanted else IMAGE
    if (m, n) == (2, -2):
        return HALF_IF
    return HARMONIC_IMAGE if abs(n) == 1 else HIGHER


@dataclass(frozen=True)
class Spurious:
    """Everything heard with the receiver tuned to ``signal`` (Hz): ``responses``, strongest first.

    The wanted one is among them, at 0 dB.
    """

    plan: BandPlan
    signal: float
    oscillator: float
    order: int
    mixer: Mixer
    loaded_q: float
    circuits: int
    responses: tuple[Response, ...]

    def of_kind(self, kind: str) -> tuple[Response, ...]:
        """The responses of one of :data:`KINDS`."""
        return tuple(row for row in self.responses if row.kind == kind)


def spurious_responses(
    plan: BandPlan, signal: float, *, order: int = 5, mixer: Mixer | None = None,
    loaded_q: float = 50.0, circuits: int = 1, region: int = 2,
) -> Spurious:
    """Tune ``plan``'s receiver to ``signal`` (Hz); list what else is heard up to ``order``.

    Signals below 1 kHz are left out.  Raises :class:`Unclear` for values out of range
    and for a plan without an oscillator.
    """
    check_oscillator(plan)
    order, mixer = check_order(order), mixer or Mixer()
    loaded_q, circuits = LOADED_Q.check(loaded_q), check_circuits(circuits)
    signal = SIGNAL.check(signal)
    oscillator = oscillator_frequency(signal, plan.intermediate_frequency, plan.injection)
    products = products_up_to(order, order, order)
    places = products.frequencies(oscillator, plan.intermediate_frequency)[:, 0]
    front = mixer, loaded_q, circuits
    taken, levels = front_end_levels(products, places[:, None], np.array([signal]), front)
    rows = []
    for row in np.flatnonzero(places >= SIGNAL.low):
        orders = int(products.m[row]), int(products.n[row]), int(products.sign[row])
        kind, place = kind_of(*orders, plan.injection), float(places[row])
        rows.append(Response(*orders, place, kind, float(taken[row, 0]), float(levels[row, 0]),
                             _there(place, region)))
    rows.sort(key=lambda row: (row.kind != WANTED, -row.level_db, row.frequency))
    return Spurious(plan, signal, oscillator, order, mixer, loaded_q, circuits, tuple(rows))


def _there(place: float, region: int) -> tuple[str, ...]:
    """Names of what the spectrum table holds on a frequency."""
    return tuple(dict.fromkeys(row.name for row in occupants_of(place, place, region)))


def front_end_levels(
    products: Products, places: np.ndarray, tuned: np.ndarray, front: tuple[Mixer, float, int]
) -> tuple[np.ndarray, np.ndarray]:
    """Preselector's attenuation and level (dB) of products (rows) at dial settings (columns).

    ``places`` (Hz) has shape (products, settings), ``tuned`` (Hz) is where the
    preselector stands; ``front`` is (mixer, loaded Q, circuits).
    """
    mixer, loaded_q, circuits = front
    clipped = np.maximum(places, RESPONSE_FREQUENCY.low)
    taken = -response_db(clipped, np.broadcast_to(tuned, clipped.shape), loaded_q, circuits)
    taken = np.minimum(taken + 0.0, STRAY_DB)
    return taken, level_db(mixer, products.m[:, None], products.n[:, None], taken)
