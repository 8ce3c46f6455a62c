"""What readings from the bench say of coil, strays and dial: fits with their confidence.

Both fits rest on the resonance formula written so that it is a straight line
in what is sought (DERIVED)::

    1/(4π²f²) = L·(C + C_fixed)

A coil is measured with known capacitors C; a dial with the variable's own
capacitance by its plate law, seen through the series capacitor.  Least squares by lmfit, each
reading weighed by its uncertainty; a reading's angle counts too, as the frequency that it is
worth at that place (effective variance: J. Orear, Am. J. Phys. 50, 1982, from memory).

Confidence: with uncertainties that fit the scatter, the standard errors are
those of the covariance matrix (GUM, JCGM 100:2008, annex H.3).  Where the
scatter is larger than chance allows, they grow by the Birge ratio and Student's
t takes the place of the normal law (R. T. Birge, Phys. Rev. 40, 1932, from
memory).  A reading is doubtful where its studentized residual, judged by the
scatter of all others, is beyond what one of so many would show by chance once
in a hundred times (R. D. Cook and S. Weisberg, *Residuals and Influence in
Regression*, 1982, from memory); it is left out and named.

What stands round the variable (its two ends, the series capacitor, the pointer's zero) cannot be
read from frequencies alone: a large coil with small capacitors tunes as a small one with large.
Each has a standard uncertainty of its own (:class:`PartsKnown`); what one such step makes of coil
and fixed capacitance is added in quadrature (GUM, 5.1.2).  By how much a dial must be moved
does not hang on them: that is a ratio of two readings of the same dial.

A row of residuals that bends where no chance bends it (an F test on the two next terms of a
polynomial: P. R. Bevington and D. K. Robinson, *Data Reduction and Error Analysis*, ch. 11, from
memory) says that none of the laws is the plates' own, or that something slips; no
interval is stated then.

Limits: a pointer that stands off zero looks like more or less fixed capacitance with straight-line
capacitance, and like another coil with the midline law, exactly; only with the two other laws
can readings tell it, and it is fitted then.  Behind a series capacitor it looks like another
capacitor and is not fitted, either.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
from scipy import stats

from rxlearn.compute.band_spread import Network, series_for_swing
from rxlearn.compute.quantities import PREFIXES, Range, Unclear, show
from rxlearn.compute.spread_parts import centred
from rxlearn.compute.tank import CAPACITANCE, FREQUENCY, INDUCTANCE
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

LEAST = 5
"""So few readings settle a dial: of four no slip can be told from the other three."""

FOR_MORE = 6
"""From so many readings on a pointer's zero is looked for, and a bow."""

SLIPPED = 5.0
"""A pointer may read so many degrees outside its dial."""

BENT = 0.03
"""A dial that no law fits still gives its coil to about so much (as a share, a choice)."""

APART = 2.6
"""Two values so many standard uncertainties apart are not one (99 % of the normal law)."""


@dataclass(frozen=True)
class PartsKnown:
    """How well one knows what stands round the variable: standard uncertainties.

    ``series`` as a share of the series capacitor, ``minimum`` and ``maximum`` (F) of the variable's
    two ends, ``zero`` (degrees) of the pointer.
    """

    series: float = 0.0
    minimum: float = 0.0
    maximum: float = 0.0
    zero: float = 0.0


@dataclass(frozen=True)
class Reading:
    """One reading: at ``at`` (degrees, or F of a known capacitor) the ``frequency`` (Hz).

    ``uncertainty`` (Hz) and ``at_uncertainty`` (in the unit of ``at``) are standard ones.  ``row``
    is its line where it was typed.
    """

    at: float
    frequency: float
    uncertainty: float
    at_uncertainty: float = 0.0
    row: int | None = None

    def __post_init__(self) -> None:
        FREQUENCY.check(self.frequency)
        Range("Uncertainty of a frequency", "Hz", 1e-6, self.frequency / 2).check(self.uncertainty)


@dataclass(frozen=True)
class Estimate:
    """A fitted quantity: ``value`` with its ``standard`` error and 95 % ``half_width``, SI.

    ``by_readings`` is the half-width by the readings alone; the rest comes from ``shifts``: what one
    standard uncertainty of each thing that is taken as known makes of the value.  Where the law does
    not hold, all half-widths are infinite.
    """

    name: str
    unit: str
    value: float
    standard: float
    half_width: float
    by_readings: float = math.nan
    shifts: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def says(self) -> str:
        """``coil 1.8300 µH ± 0.0067 µH``: no digit beyond the second of the half-width."""
        if not math.isfinite(self.half_width):
            return f"{self.name} about {show(self.value, self.unit, digits=2)}"
        prefix, decimals = _place(self.value, self.half_width, self.unit)
        value, half = (show(number, self.unit, prefix=prefix, decimals=decimals)
                       for number in (self.value, self.half_width))
        return f"{self.name} {value} ± {half}"


def _place(value: float, half_width: float, unit: str) -> tuple[str, int]:
    """The prefix of ``value``, and the decimals that show two digits of ``half_width``."""
    shown = show(max(abs(value), half_width), unit, digits=3)
    prefix = shown.partition(" ")[2].removesuffix(unit)
    scaled = half_width / 10.0 ** PREFIXES[prefix]
    if scaled <= 0:
        return prefix, 4
    return prefix, min(max(1 - math.floor(math.log10(float(f"{scaled:.1e}"))), 0), 6)


@dataclass(frozen=True, eq=False)
class BenchFit:
    """What a set of ``readings`` says.

    ``estimates`` by name; ``residuals`` (Hz, measured less fitted) and ``scores``
    (studentized) for every reading; ``doubtful`` are the numbers of those left
    out.  ``chi_square`` over ``freedom``; ``widened`` is the Birge ratio where the
    scatter was larger than the uncertainties allow, else 1.  ``bowed`` says that the
    residuals bend in a row: no law holds, and no interval is stated.  ``network`` is the
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
    bowed: bool = False
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
                      "are exchanged, or a digit or prefix is wrong.")
    guess = _ordinate(first.frequency) / (first.at + strays) if sole else slope
    start = {"L": guess}
    if not sole:
        start["C"] = max(_ordinate(first.frequency) / guess - first.at, 1e-13)

    def frequency(values: dict[str, float], at: np.ndarray) -> np.ndarray:
        fixed = strays if sole else values["C"]
        return 1 / (2 * math.pi * np.sqrt(_positive(values["L"] * (at + fixed))))

    found = _fit(readings, start, frequency, {"L": ("coil", "H"), "C": ("strays", "F")})
    left = found.estimates.get("strays")
    # A lead more or less is a picofarad; what lies beyond all doubt below zero is a slip.
    if left and left.value + max(2 * left.half_width, 2e-12) < 0:
        raise Unclear(f"These readings leave {show(left.value, 'F', digits=2)} of strays, less than "
                      "nothing: look at each capacitor and frequency for a wrong digit or prefix.")
    return found


def fit_dial(readings: Sequence[Reading], network: Network, *, law: str | None = None,
             known: PartsKnown | None = None) -> BenchFit:
    """Coil and fixed capacitance of the dial of ``network`` from oscillator readings.

    ``readings`` give the oscillator's frequency (Hz) at shaft angles (degrees).  Of ``network`` only
    what stands round the variable counts, ``known`` as well as it says.  Without ``law``
    all plate laws are tried and the best is taken; from :data:`FOR_MORE` readings on, with the
    pointer's zero where they tell it.  Raises :class:`Unclear` for too few
    readings or too small a stretch of the dial.
    """
    readings, known = tuple(readings), known or PartsKnown()
    degrees = network.variable.degrees
    if len(readings) < LEAST:
        raise Unclear(f"{len(readings)} readings do not settle a dial, and of four no slip can be "
                      "told: take at least five, from end to end; seven are better.")
    if max(map(_at, readings)) - min(map(_at, readings)) < degrees / 3:
        raise Unclear("These readings stand too close together: spread them over the whole dial.")
    for reading in readings:
        Range("Shaft angle", "°", -SLIPPED, degrees + SLIPPED).check(reading.at)
        DIAL_UNCERTAINTY.check(reading.at_uncertainty)
    if np.polyfit([r.at for r in readings], [r.frequency for r in readings], 1)[0] <= 0:
        raise Unclear("The frequency falls as the angle grows: count the angle from fully meshed "
                      f"plates, so that {show(degrees, '°')} less what you read is what to enter.")
    laws = tuple(PLATE_LAWS) if law is None else (law,)
    found, reason = {}, None
    for name in laws:
        try:
            found[name] = _fit_law(readings, network, name, known)
        except Unclear as fault:
            reason = fault
    if not found:
        raise reason
    # A reading that is left out costs what a doubtful one deviates at least: one slip must not
    # make a wrong law, which leaves none out because nothing fits it, the better one.
    price = float(stats.norm.isf(DOUBT / (2 * len(readings)))) ** 2

    def cost(fit: BenchFit) -> float:
        return fit.chi_square + price * len(fit.doubtful)

    best = min(found.values(), key=cost)
    # A difference of 9 in chi-square is three standard deviations of one parameter.
    clear = 9 * best.widened**2
    if len(readings) >= FOR_MORE:
        turned = [fit for fit in (_with_zero(one, known) for one in found.values()) if fit]
        if turned and cost(min(turned, key=cost)) + 9 < cost(best):
            best = min(turned, key=cost)
            found, clear = {fit.law: fit for fit in turned}, 9 * best.widened**2
    close = tuple(name for name, fit in found.items()
                  if name != best.law and cost(fit) - cost(best) < clear)
    return replace(best, close_laws=close)


ZERO = "pointer's zero"
"""What the pointer reads with the plates fully meshed: the name of its estimate."""

_TELLING = 1.0
"""A pointer's zero is told by readings that give it to so many degrees (standard)."""


def _fit_law(readings: tuple[Reading, ...], network: Network, law: str, known: PartsKnown, *,
             zero: bool = False) -> BenchFit:
    given = network.variable
    shape = replace(network, variable=VariableCapacitor(given.minimum, given.maximum, law,
                                                        given.degrees))

    def law_of(shape: Network, zero: float = 0.0) -> Law:
        def frequency(values: dict[str, float], at: np.ndarray) -> np.ndarray:
            shaft = at - values.get("Z", zero)
            branch = shape.branch(shape.variable.carried_on(shaft))
            return 1 / (2 * math.pi * np.sqrt(_positive(values["L"] * (branch + values["C"]))))
        return frequency

    # A straight line of 1/(2πf)² over the branch's capacitance is near enough to start from.
    at = np.array([r.at for r in readings])
    ordinates = np.array([_ordinate(r.frequency) for r in readings])
    slope, foot = np.polyfit(shape.branch(shape.variable.carried_on(at)) * 1e12, ordinates * 1e18, 1)
    slope = max(slope, 1e-9)
    start = {"L": slope * 1e-6, "C": max(foot / slope * 1e-12, 1e-13)}
    if zero:
        start["Z"] = 0.0
    found = _fit(readings, start, law_of(shape),
                 {"L": ("coil", "H"), "C": ("fixed capacitance", "F"), "Z": (ZERO, "°")},
                 _otherwise(shape, known, law_of, zero=zero))
    value = {name: estimate.value for name, estimate in found.estimates.items()}
    if not INDUCTANCE.low <= value["coil"] <= INDUCTANCE.high or value["fixed capacitance"] < 0:
        raise Unclear("No coil tunes as these readings do: look whether a signal was entered as the "
                      "oscillator, an angle counted from the open end, or a digit is wrong.")
    fitted = replace(shape, inductance=value["coil"], parallel=value["fixed capacitance"],
                     strays=0.0, valve=0.0)
    return replace(found, network=fitted, law=law)


def _with_zero(fit: BenchFit, known: PartsKnown) -> BenchFit | None:
    """``fit`` with the pointer's zero as a third unknown; None where the readings don't tell it."""
    assert fit.network is not None  # a dial's fit always has one
    if fit.network.series is not None or not _tells_zero(fit):
        return None
    try:
        found = _fit_law(fit.readings, fit.network, fit.law, known, zero=True)
    except Unclear:
        return None
    pointer = found.estimates[ZERO]
    told = pointer.by_readings < 2 * _TELLING and abs(pointer.value) <= 2 * SLIPPED
    return found if told and not found.bowed else None


def _tells_zero(fit: BenchFit) -> bool:
    """Whether the readings would give the pointer's zero to a degree: from the slopes at the fit.

    With two of the laws a turned pointer is exactly another coil or fixed capacitance, and a fit
    would search for ever.
    """
    network = fit.network
    at = np.array([r.at for r in fit.readings])
    shaft = at[:, None] + np.array([-1e-3, 1e-3])
    branch = network.branch(network.variable.carried_on(shaft))
    ordinate = (branch + network.parallel).mean(axis=1)
    turned = np.diff(branch, axis=1)[:, 0] / 2e-3
    # 1/(2πf)² of a reading, over the coil, and what a degree at that place is worth in it.
    worth = np.hypot(2 * ordinate * np.array([r.uncertainty / r.frequency for r in fit.readings]),
                     turned * np.array([r.at_uncertainty for r in fit.readings]))
    slopes = np.column_stack((ordinate, np.full(at.size, network.parallel), turned)) / worth[:, None]
    scale = np.linalg.norm(slopes, axis=0)
    information = (slopes / scale).T @ (slopes / scale)
    if np.linalg.cond(information) > 1e10:
        return False
    return math.sqrt(np.linalg.inv(information)[2, 2]) / scale[2] < _TELLING


def _otherwise(shape: Network, known: PartsKnown, law_of, *, zero: bool) -> dict[str, Law]:
    """The dial's law once more with each thing that is taken as known one uncertainty off."""
    variable, found = shape.variable, {}
    if known.minimum:
        least = min(variable.minimum + known.minimum, (variable.minimum + variable.maximum) / 2)
        found["minimum"] = law_of(replace(shape, variable=replace(variable, minimum=least)))
    if known.maximum:
        most = variable.maximum + known.maximum
        found["maximum"] = law_of(replace(shape, variable=replace(variable, maximum=most)))
    if known.series and shape.series is not None:
        found["series"] = law_of(replace(shape, series=shape.series * (1 + known.series)))
    if known.zero and not zero:
        found["zero"] = law_of(shape, known.zero)
    return found


Law = Callable[[dict[str, float], np.ndarray], np.ndarray]


def _fit(readings: tuple[Reading, ...], start: dict[str, float], law: Law,
         names: dict[str, tuple[str, str]], otherwise: Mapping[str, Law] | None = None) -> BenchFit:
    """Fit, leave out what is doubtful one by one, and gather what the rest says.

    ``otherwise`` holds the law as it would be with each thing taken as known one uncertainty off.
    """
    at = np.array([r.at for r in readings])
    measured = np.array([r.frequency for r in readings])
    kept = np.ones(len(readings), bool)
    while True:
        fit, sigma = _least_squares(readings, at, measured, kept, start, law)
        values = _values(fit)
        slopes = _slopes(fit, law(values, at), sigma, at, law)
        scores = _scores(fit, measured, law(values, at), sigma, kept, slopes)
        worst = int(np.argmax(np.where(kept, np.abs(scores), -1.0)))
        spare = int(kept.sum()) - len(start)
        left = (measured - law(values, at)) / sigma
        chi_square = float(np.sum(left[kept] ** 2))
        # Two readings more than unknowns, or there is nothing to doubt one by.
        if spare < 2:
            break
        others, limit = _reach(chi_square - scores[worst] ** 2, spare - 1,
                               DOUBT / len(readings))
        if abs(scores[worst]) <= others * limit:
            break
        kept[worst] = False
    bowed = _bends(at[kept], left[kept], slopes[kept])
    freedom = int(kept.sum()) - len(start)
    widened, reach = _reach(chi_square, freedom, 1 - CONFIDENCE)
    shifts = {name: _shift(fit, other(values, at) - law(values, at), sigma, slopes, kept)
              for name, other in (otherwise or {}).items()}
    estimates = {}
    for number, (key, parameter) in enumerate(fit.params.items()):
        name, unit = names[key]
        scale = _UNITS[key]
        standard = widened * scale * float(parameter.stderr)
        moved = {cause: scale * float(shift[number]) for cause, shift in shifts.items()}
        own = math.inf if bowed else reach * standard
        other = math.hypot(0.0, *moved.values())
        estimates[name] = Estimate(
            name, unit, scale * float(parameter.value), math.hypot(standard, other),
            math.hypot(own, float(stats.norm.isf((1 - CONFIDENCE) / 2)) * other), own,
            MappingProxyType(moved))
    return BenchFit(
        readings, estimates, law(values, at), measured - law(values, at), scores,
        tuple(int(n) for n in np.flatnonzero(~kept)), chi_square, freedom, widened, bowed)


def _shift(fit, moved: np.ndarray, sigma, slopes, kept) -> np.ndarray:
    """What the fitted numbers become where the law gives ``moved`` (Hz) more than it did.

    DERIVED: the first step of Gauss and Newton, covariance times slopes times residuals.
    """
    return -fit.covar @ slopes[kept].T @ (moved / sigma)[kept]


def _bends(at: np.ndarray, left: np.ndarray, slopes: np.ndarray) -> bool:
    """Whether what is ``left`` of the readings (in uncertainties) bends where no chance bends it.

    Two more terms, square and cube of the place, must take away more than chance allows, by the
    stated uncertainties and by the scatter that is left after them.
    """
    freedom = left.size - slopes.shape[1] - 2
    if left.size < FOR_MORE or freedom < 1:
        return False
    place = 2 * (at - at.min()) / np.ptp(at) - 1
    # Each reading weighs as in the fit: as the first column, the coil's, does over its place.
    weight = np.abs(slopes[:, 0])
    terms = np.column_stack((slopes, weight * place**2, weight * place**3))
    terms = terms / np.maximum(np.linalg.norm(terms, axis=0), 1e-300)
    rest = left - terms @ np.linalg.lstsq(terms, left, rcond=None)[0]
    before, after = float(left @ left), float(rest @ rest)
    taken = max(before - after, 0.0)
    if stats.chi2.sf(taken, 2) > SCATTER:
        return False
    return stats.f.sf(taken / 2 / max(after / freedom, 1e-12), 2, freedom) < SCATTER


def _reach(chi_square: float, freedom: int, chance: float) -> tuple[float, float]:
    """The Birge ratio (1 where the scatter is no wonder), and the two-sided limit for ``chance``."""
    if freedom > 0 and stats.chi2.sf(chi_square, freedom) < SCATTER:
        return math.sqrt(chi_square / freedom), float(stats.t.isf(chance / 2, freedom))
    return 1.0, float(stats.norm.isf(chance / 2))


_MOST_TRIES = 400
"""A fit that has not settled by then will not."""

_UNITS = {"L": 1e-6, "C": 1e-12, "Z": 1.0}
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
                             scale_covar=False, max_nfev=_MOST_TRIES)
    if not fit.success or fit.covar is None or any(p.stderr is None for p in fit.params.values()):
        raise Unclear("These readings do not determine what is sought: take more of them, "
                      "farther apart.")
    return fit, whole


def _slope(law: Law, values: dict[str, float], at: np.ndarray) -> np.ndarray:
    step = 1e-4 * max(float(np.ptp(at)), 1e-15)
    return np.abs(law(values, at + step) - law(values, at - step)) / (2 * step)


def _slopes(fit, fitted, sigma, at, law) -> np.ndarray:
    """What one unit more of each fitted number makes of every reading, in uncertainties."""
    values, columns = _values(fit), []
    for key in fit.params:
        step = 1e-6 * max(abs(values[key]), 1e-3 * _UNITS[key])
        moved = law({**values, key: values[key] + step}, at)
        columns.append((moved - fitted) / step * _UNITS[key] / sigma)
    return np.array(columns).T


def _scores(fit, measured, fitted, sigma, kept, slopes) -> np.ndarray:
    """Residuals over what they may scatter: a kept reading pulls the fit towards itself."""
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
    mend: the range too wide (positive) or too narrow.  ``meshed`` and ``opened`` (Hz) are what to
    read at the two ends then.
    """

    low: float
    high: float
    inductance_change: float
    capacitance_change: float
    span_error: float
    meshed: float
    opened: float


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
        return Adjustment(low, high, inductance / network.inductance - 1, fixed - network.fixed, 0.0,
                          low, high)
    moved = centred(network, (low + high) / 2)
    ends = [float(moved.frequency_at(angle)) for angle in (0.0, network.variable.degrees)]
    return Adjustment(low, high, 0.0, moved.fixed - network.fixed, ends[1] - ends[0] - (high - low),
                      *ends)


@dataclass(frozen=True)
class Quarrel:
    """Two dials that give one coil two values: ``first`` and ``second`` (H), ``apart`` (a share).

    ``series`` (F) is the second dial's series capacitor with which they would agree; None: none.
    """

    first: float
    second: float
    apart: float
    series: float | None


def quarrel(first: BenchFit, second: BenchFit) -> Quarrel | None:
    """Whether two dials of one coil contradict each other; None where they do not.

    What both take as known of the variable errs in both alike, so that much of it drops out.
    """
    one, other = first.estimates["coil"], second.estimates["coil"]
    apart = other.value / one.value - 1
    shared = ("minimum", "maximum", "zero")
    shifts = [other.shifts.get(name, 0.0) / other.value - one.shifts.get(name, 0.0) / one.value
              for name in shared]
    alone = [BENT if fit.bowed else each.by_readings / 1.96 / each.value
             for fit, each in ((first, one), (second, other))]
    alone += [each.shifts.get("series", 0.0) / each.value for each in (one, other)]
    if abs(apart) <= APART * math.hypot(*shifts, *alone):
        return None
    network = second.network
    series = None
    if network is not None and network.series is not None:
        # DERIVED: readings settle coil times swing, so the swing that agrees goes the other way.
        swing = float(network.branch(network.variable.maximum)
                      - network.branch(network.variable.minimum)) * other.value / one.value
        if swing < network.variable.swing:
            series = series_for_swing(network.variable, swing, across=network.across)
    return Quarrel(one.value, other.value, apart, series)
