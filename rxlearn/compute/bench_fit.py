"""What readings from the bench say of coil, strays and dial: fits with their confidence.

Both fits rest on the resonance formula written so that it is a straight line
in what is sought (DERIVED)::

    1/(4π²f²) = L·(C + C_fixed)

A coil is measured with known capacitors C; a dial with the variable's own
capacitance by its plate law, seen through the series capacitor.  Least squares by lmfit, each reading weighed
by its uncertainty; a reading's angle counts too, as the frequency that it is
worth at that place (effective variance: J. Orear, Am. J. Phys. 50, 1982, from
memory).

Confidence: with uncertainties that fit the scatter, the standard errors are
those of the covariance matrix (GUM, JCGM 100:2008, annex H.3).  Where the
scatter is larger than chance allows, they grow by the Birge ratio and Student's
t takes the place of the normal law (R. T. Birge, Phys. Rev. 40, 1932, from
memory).  A reading is doubtful where its studentized residual, judged by the
scatter of all others, is beyond what one of so many would show by chance once
in a hundred times (R. D. Cook and S. Weisberg, *Residuals and Influence in
Regression*, 1982, from memory); it is left out and named.

Limits: the variable's capacitance at both ends is taken as known, since
frequencies alone cannot tell a large coil with small capacitors from a small
one with large; an error of it goes into the coil one to one.  A pointer that
stands off zero looks like more or less fixed capacitance, exactly so with
straight-line capacitance, and is not told from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy import stats

from rxlearn.compute.band_spread import Network
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import CAPACITANCE, FREQUENCY
from rxlearn.compute.variable_capacitor import PLATE_LAWS, VariableCapacitor

if TYPE_CHECKING:
    import lmfit

CONFIDENCE = 0.95
DOUBT = 0.01
"""Chance, over all readings of a bench, that a good one is called doubtful."""

SCATTER = 0.01
"""Chance that honest uncertainties are found too small for the scatter."""

RELATIVE_UNCERTAINTY = Range("Uncertainty", "", 1e-9, 0.5)
DIAL_UNCERTAINTY = Range("Uncertainty of a dial reading", "°", 0.0, 20.0)
COUNTER = 1e-5
"""Standard uncertainty of a frequency of which none is given: 10 ppm (common practice)."""


@dataclass(frozen=True)
class Reading:
    """One reading: at ``at`` (degrees, or F of a known capacitor) the ``frequency`` (Hz).

    ``uncertainty`` (Hz) and ``at_uncertainty`` (in the unit of ``at``) are standard ones.
    """

    at: float
    frequency: float
    uncertainty: float
    at_uncertainty: float = 0.0

    def __post_init__(self) -> None:
        FREQUENCY.check(self.frequency)
        Range("Uncertainty of a frequency", "Hz", 1e-6, self.frequency / 2).check(self.uncertainty)


@dataclass(frozen=True)
class Estimate:
    """A fitted quantity: ``value`` with its ``standard`` error and 95 % ``half_width``, SI."""

    name: str
    unit: str
    value: float
    standard: float
    half_width: float

    def says(self) -> str:
        """``1.83 µH ± 0.01 µH``, the half-width to two digits."""
        return (f"{self.name} {show(self.value, self.unit, digits=5)} "
                f"± {show(self.half_width, self.unit, digits=2)}")


@dataclass(frozen=True, eq=False)
class BenchFit:
    """What a set of ``readings`` says.

    ``estimates`` by name; ``residuals`` (Hz, measured less fitted) and ``scores``
    (studentized) for every reading; ``doubtful`` are the numbers of those left
    out.  ``chi_square`` over ``freedom``; ``widened`` is the Birge ratio where the
    scatter was larger than the uncertainties allow, else 1.  ``network`` is the
    fitted dial (None for a coil), ``law`` its plate law, and ``close_laws`` those
    that the readings cannot tell from it.
    """

    readings: tuple[Reading, ...]
    estimates: dict[str, Estimate]
    fitted: np.ndarray
    residuals: np.ndarray
    scores: np.ndarray
    doubtful: tuple[int, ...]
    chi_square: float
    freedom: int
    widened: float
    network: Network | None = None
    law: str = ""
    close_laws: tuple[str, ...] = ()


def fit_coil(readings: Sequence[Reading], *, strays: float | None = None) -> BenchFit:
    """Inductance (and strays, from two readings on) of a coil across known capacitors.

    ``strays`` (F) is taken as known for a single reading, and must be given then.
    Raises :class:`Unclear` for readings that do not determine a coil.
    """
    readings = tuple(readings)
    if not readings:
        raise Unclear("There is no reading of the coil yet: enter a capacitor and a resonance.")
    for reading in readings:
        CAPACITANCE.check(reading.at)
    sole = len({reading.at for reading in readings}) < 2
    if sole and strays is None:
        raise Unclear("One capacitor alone cannot tell coil and strays apart: measure with a "
                      "second, much larger or smaller one, or say what the strays are.")
    first, last = min(readings, key=_at), max(readings, key=_at)
    slope = 1e-30 if sole else (_ordinate(last.frequency) - _ordinate(first.frequency)) / (
        last.at - first.at)
    if not sole and slope <= 0:
        raise Unclear("A larger capacitor must give a lower frequency: look whether two readings "
                      "are exchanged.")
    guess = _ordinate(first.frequency) / (first.at + strays) if sole else slope
    start = {"L": guess}
    if not sole:
        start["C"] = max(_ordinate(first.frequency) / guess - first.at, 1e-13)

    def frequency(values: dict[str, float], at: np.ndarray) -> np.ndarray:
        fixed = strays if sole else values["C"]
        return 1 / (2 * math.pi * np.sqrt(_positive(values["L"] * (at + fixed))))

    return _fit(readings, start, frequency, {"L": ("coil", "H"), "C": ("strays", "F")})


def fit_dial(readings: Sequence[Reading], network: Network, *, law: str | None = None) -> BenchFit:
    """Coil and fixed capacitance of the dial of ``network`` from oscillator readings.

    ``readings`` give the oscillator's frequency (Hz) at shaft angles (degrees).  Without ``law``
    all plate laws are tried and the best is taken.  Raises :class:`Unclear` for fewer than four
    readings or too small a stretch of the dial.
    """
    readings = tuple(readings)
    degrees = network.variable.degrees
    if len(readings) < 4:
        raise Unclear(f"{len(readings)} readings do not settle a dial: take at least four, from end "
                      "to end; seven are better.")
    if max(map(_at, readings)) - min(map(_at, readings)) < degrees / 3:
        raise Unclear("These readings stand too close together: spread them over the whole dial.")
    for reading in readings:
        Range("Shaft angle", "°", 0.0, degrees).check(reading.at)
        DIAL_UNCERTAINTY.check(reading.at_uncertainty)
    laws = tuple(PLATE_LAWS) if law is None else (law,)
    found = {name: _fit_law(readings, network, name) for name in laws}
    # A reading that is left out costs what a doubtful one deviates at least: one slip must not
    # make a wrong law, which leaves none out because nothing fits it, the better one.
    price = float(stats.norm.isf(DOUBT / (2 * len(readings)))) ** 2

    def cost(name: str) -> float:
        return found[name].chi_square + price * len(found[name].doubtful)

    best = min(found, key=cost)
    # A difference of 9 in chi-square is three standard deviations of one parameter.
    close = tuple(
        name for name in laws if name != best
        and cost(name) - cost(best) < 9 * found[best].widened**2
    )
    return replace(found[best], close_laws=close)


def _fit_law(readings: tuple[Reading, ...], network: Network, law: str) -> BenchFit:
    given = network.variable
    variable = VariableCapacitor(given.minimum, given.maximum, law, given.degrees)
    shape = replace(network, variable=variable)

    def frequency(values: dict[str, float], at: np.ndarray) -> np.ndarray:
        branch = shape.branch(variable.capacitance_at(np.clip(at, 0.0, variable.degrees)))
        return 1 / (2 * math.pi * np.sqrt(_positive(values["L"] * (branch + values["C"]))))

    start = {"L": network.inductance, "C": max(network.fixed, 1e-13)}
    found = _fit(readings, start, frequency,
                 {"L": ("coil", "H"), "C": ("fixed capacitance", "F")})
    value = {name: estimate.value for name, estimate in found.estimates.items()}
    fitted = replace(shape, inductance=value["coil"], parallel=value["fixed capacitance"],
                     strays=0.0, valve=0.0)
    return replace(found, network=fitted, law=law)


Law = Callable[[dict[str, float], np.ndarray], np.ndarray]


def _fit(readings: tuple[Reading, ...], start: dict[str, float], law: Law,
         names: dict[str, tuple[str, str]]) -> BenchFit:
    """Fit, leave out what is doubtful one by one, and gather what the rest says."""
    at = np.array([r.at for r in readings])
    measured = np.array([r.frequency for r in readings])
    kept = np.ones(len(readings), bool)
    while True:
        fit, sigma = _least_squares(readings, at, measured, kept, start, law)
        values = _values(fit)
        scores = _scores(fit, measured, law(values, at), sigma, kept, at, law)
        worst = int(np.argmax(np.where(kept, np.abs(scores), -1.0)))
        spare = int(kept.sum()) - len(start)
        chi_square = float(np.sum(((measured - law(values, at)) / sigma)[kept] ** 2))
        # Two readings more than unknowns, or there is nothing to doubt one by.
        if spare < 2:
            break
        others, limit = _reach(chi_square - scores[worst] ** 2, spare - 1,
                               DOUBT / len(readings))
        if abs(scores[worst]) <= others * limit:
            break
        kept[worst] = False
    freedom = int(kept.sum()) - len(start)
    widened, reach = _reach(chi_square, freedom, 1 - CONFIDENCE)
    estimates = {}
    for key, parameter in fit.params.items():
        name, unit = names[key]
        scale = _UNITS[key]
        standard = widened * scale * float(parameter.stderr)
        estimates[name] = Estimate(name, unit, scale * float(parameter.value), standard,
                                   reach * standard)
    return BenchFit(
        readings, estimates, law(values, at), measured - law(values, at), scores,
        tuple(int(n) for n in np.flatnonzero(~kept)), chi_square, freedom, widened)


def _reach(chi_square: float, freedom: int, chance: float) -> tuple[float, float]:
    """The Birge ratio (1 where the scatter is no wonder), and the two-sided limit for ``chance``."""
    if freedom > 0 and stats.chi2.sf(chi_square, freedom) < SCATTER:
        return math.sqrt(chi_square / freedom), float(stats.t.isf(chance / 2, freedom))
    return 1.0, float(stats.norm.isf(chance / 2))


_UNITS = {"L": 1e-6, "C": 1e-12}
"""What one unit of each fitted number is, so that the fit sees numbers near one."""


def _values(fit: lmfit.minimizer.MinimizerResult) -> dict[str, float]:
    return {key: _UNITS[key] * float(p.value) for key, p in fit.params.items()}


def _least_squares(readings, at, measured, kept, start, law):
    """One weighed fit to the readings that are kept; and the standard uncertainties, Hz."""
    import lmfit  # here, since it takes a second that only one lesson needs

    parameters = lmfit.Parameters()
    for key, value in start.items():
        parameters.add(key, value=value / _UNITS[key])
    sigma = np.array([r.uncertainty for r in readings])
    sideways = np.array([r.at_uncertainty for r in readings])
    fit = None
    # The slope that turns an angle's uncertainty into hertz is that of the fit: twice is enough.
    for _ in range(2 if sideways.any() else 1):
        values = _values(fit) if fit is not None else start
        whole = np.hypot(sigma, sideways * _slope(law, values, at))

        def residual(trial, whole=whole):
            there = {key: _UNITS[key] * trial[key].value for key in trial}
            return ((measured - law(there, at)) / whole)[kept]

        fit = lmfit.minimize(residual, fit.params if fit is not None else parameters,
                             scale_covar=False)
    if not fit.success or fit.covar is None or any(p.stderr is None for p in fit.params.values()):
        raise Unclear("These readings do not determine what is sought: take more of them, "
                      "farther apart.")
    return fit, whole


def _slope(law: Law, values: dict[str, float], at: np.ndarray) -> np.ndarray:
    step = 1e-4 * max(float(np.ptp(at)), 1e-15)
    return np.abs(law(values, at + step) - law(values, at - step)) / (2 * step)


def _scores(fit, measured, fitted, sigma, kept, at, law) -> np.ndarray:
    """Residuals over what they may scatter: a kept reading pulls the fit towards itself."""
    values = _values(fit)
    columns = []
    for key in fit.params:
        step = 1e-6 * max(abs(values[key]), 1e-3 * _UNITS[key])
        moved = law({**values, key: values[key] + step}, at)
        columns.append((moved - fitted) / step * _UNITS[key] / sigma)
    slopes = np.array(columns).T
    leverage = np.einsum("ij,jk,ik->i", slopes, fit.covar, slopes)
    spread = np.where(kept, 1 - np.minimum(leverage, 1 - 1e-9), 1 + leverage)
    return (measured - fitted) / sigma / np.sqrt(np.maximum(spread, 1e-6))


def _positive(product: np.ndarray) -> np.ndarray:
    """L·C, kept above zero while the fit still looks around."""
    return np.maximum(product, 1e-30)


def _at(reading: Reading) -> float:
    return reading.at


def _ordinate(frequency: float) -> float:
    return 1 / (2 * math.pi * frequency) ** 2


@dataclass(frozen=True)
class Adjustment:
    """How to bring a measured dial to ``low``..``high`` (Hz of the oscillator).

    ``inductance_change`` is a share of the coil's, ``capacitance_change`` (F) the trimmer's.  With
    the coil left alone ``inductance_change`` is 0 and ``span_error`` (Hz) what the trimmer cannot
    mend: the range too wide (positive) or too narrow.
    """

    low: float
    high: float
    inductance_change: float
    capacitance_change: float
    span_error: float

    def says(self) -> tuple[str, ...]:
        """What to turn, which way and by how much, one sentence each."""
        found = []
        if abs(self.inductance_change) >= 5e-4:
            way = "in (an iron core; a brass one out)" if self.inductance_change > 0 else \
                "out (an iron core; a brass one in)"
            found.append(f"Turn the core {way}: the coil wants "
                         f"{abs(100 * self.inductance_change):.2g} % "
                         f"{'more' if self.inductance_change > 0 else 'less'} inductance.")
        if abs(self.capacitance_change) >= 0.05e-12:
            closing = self.capacitance_change > 0
            found.append(f"{'Close' if closing else 'Open'} the trimmer by "
                         f"{show(abs(self.capacitance_change), 'F', digits=2)}: the tank wants "
                         f"{'more' if closing else 'less'} capacitance.")
        if abs(self.span_error) >= 0.01 * (self.high - self.low):
            wide = self.span_error > 0
            found.append(f"The range is {show(abs(self.span_error), 'Hz', digits=2)} too "
                         f"{'wide' if wide else 'narrow'}: the series capacitor should be "
                         f"{'smaller' if wide else 'larger'}.")
        return tuple(found) or ("Nothing: the range is where it should be.",)


def adjust(network: Network, low: float, high: float, *, coil: bool = True) -> Adjustment:
    """What brings the measured dial of ``network`` to ``low``..``high`` (Hz of the oscillator).

    ``coil`` False leaves the coil alone and puts the middle right by the trimmer.
    """
    low, high = FREQUENCY.check(low), FREQUENCY.check(high)
    if not low < high:
        raise Unclear(f"The range from {show(low, 'Hz')} to {show(high, 'Hz')} stands the wrong way "
                      "round: give the lower end first.")
    meshed = float(network.branch(network.variable.maximum))
    opened = float(network.branch(network.variable.minimum))
    if coil:
        inductance = (_ordinate(low) - _ordinate(high)) / (meshed - opened)
        fixed = _ordinate(high) / inductance - opened
        return Adjustment(low, high, inductance / network.inductance - 1, fixed - network.fixed, 0.0)
    middle = (meshed + opened) / 2
    wanted = (low + high) / 2
    fixed = _ordinate(wanted) / network.inductance - middle
    moved = replace(network, parallel=max(network.parallel + fixed - network.fixed, 0.0))
    span = float(moved.frequency_at(network.variable.degrees)) - float(moved.frequency_at(0.0))
    return Adjustment(low, high, 0.0, fixed - network.fixed, span - (high - low))
