"""Band spread: what a variable capacitor's network covers, and the network for a wanted range.

The network, from the coil outwards: coil; fixed capacitance across it (the
``parallel`` capacitor, the wiring's ``strays``, the ``valve``'s share); and, through
the ``series`` capacitor, the variable with a fixed capacitor ``across`` it::

    total = parallel + strays + valve + series·(variable + across)/(series + variable + across)

Frequencies in Hz, capacitances in F, inductances in H, angles in degrees from
fully meshed plates.

Model: lossless parts, so f = 1/(2π√(LC)); strays stay the same over the turn;
the coil's own capacitance counts among them.  DERIVED from the definitions of
series and parallel capacitance and the resonance formula.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import (
    INDUCTANCE,
    capacitance_for,
    capacitance_ratio,
    resonant_frequency,
)
from rxlearn.compute.variable_capacitor import Angles, VariableCapacitor

SERIES = Range("Series capacitor", "F", 0.01e-12, 1e-3)
PARALLEL = Range("Parallel capacitor", "F", 0.0, 1e-6)
ACROSS = Range("Capacitor across the variable", "F", 0.0, 1e-6)
STRAYS = Range("Stray capacitance", "F", 0.0, 1e-6)
VALVE = Range("Valve's share of the capacitance", "F", 0.0, 1e-6)

NEEDLESS = 1000.0
"""A series capacitor so many times the variable's maximum changes its swing by less than 0.3 %."""


@dataclass(frozen=True)
class Network:
    """A coil with a variable capacitor and what stands around it; see the module.

    ``series`` None joins the variable to the coil directly.  Raises
    :class:`Unclear` for values out of range.
    """

    inductance: float
    variable: VariableCapacitor
    series: float | None = None
    parallel: float = 0.0
    across: float = 0.0
    strays: float = 0.0
    valve: float = 0.0

    def __post_init__(self) -> None:
        INDUCTANCE.check(self.inductance)
        if self.series is not None:
            SERIES.check(self.series)
        for span, value in ((PARALLEL, self.parallel), (ACROSS, self.across),
                            (STRAYS, self.strays), (VALVE, self.valve)):
            span.check(value)

    @property
    def fixed(self) -> float:
        """What lies across the coil whatever the dial does, F."""
        return self.parallel + self.strays + self.valve

    def branch(self, variable: Angles) -> Angles:
        """Capacitance (F) of the variable's branch when the variable has ``variable`` (F)."""
        own = variable + self.across
        return own if self.series is None else own * self.series / (own + self.series)

    def total_at(self, angle: Angles) -> Angles:
        """Capacitance across the coil (F) at ``angle``, float or array."""
        return self.fixed + self.branch(self.variable.capacitance_at(angle))

    def frequency_at(self, angle: Angles) -> Angles:
        """Resonant frequency (Hz) at ``angle``, float or array."""
        return resonant_frequency(self.inductance, self.total_at(angle))

    def rate_at(self, angle: Angles) -> Angles:
        """How fast it tunes at ``angle``, Hz per degree of the variable's shaft.

        DERIVED: df/dθ = -(f/2C)·(dC/dCv)·(dCv/dθ), with dC/dCv = (Cs/(Cs + Cv))².
        """
        own = self.variable.capacitance_at(angle) + self.across
        tapped = 1.0 if self.series is None else (self.series / (self.series + own)) ** 2
        total = self.fixed + self.branch(own - self.across)
        frequency = resonant_frequency(self.inductance, total)
        return -frequency / (2 * total) * tapped * self.variable.slope_at(angle)

    def angles_for(self, frequencies: np.ndarray) -> np.ndarray:
        """Angles at which it resonates at ``frequencies`` (Hz, array); NaN where it cannot.

        Closed form: the branch's share of the total, then the variable behind the series capacitor.
        """
        branch = capacitance_for(frequencies, self.inductance) - self.fixed
        if self.series is not None:
            with np.errstate(divide="ignore", invalid="ignore"):
                behind = branch * self.series / (self.series - branch)
            branch = np.where(branch < self.series, behind, np.nan)
        wanted = branch - self.across
        least, most = self.variable.minimum, self.variable.maximum
        on_dial = (wanted >= least * (1 - 1e-9)) & (wanted <= most * (1 + 1e-9))
        angles = np.full(np.shape(wanted), np.nan)
        angles[on_dial] = self.variable.angle_for(np.clip(wanted[on_dial], least, most))
        return angles

    def angle_for(self, frequency: float) -> float | None:
        """Angle at which it resonates at ``frequency`` (Hz); None where it cannot."""
        angle = float(self.angles_for(np.array([frequency]))[0])
        return None if math.isnan(angle) else angle


@dataclass(frozen=True, eq=False)
class Coverage:
    """What ``network`` covers: ``low`` (plates meshed) to ``high`` (plates open), Hz.

    ``total_at_low`` and ``total_at_high`` (F) tune the two ends.  ``angles``
    (degrees), ``frequencies`` (Hz) and ``rates`` (Hz per degree) are curves
    over the turn.
    """

    network: Network
    low: float
    high: float
    total_at_low: float
    total_at_high: float
    angles: np.ndarray
    frequencies: np.ndarray
    rates: np.ndarray

    @property
    def span(self) -> float:
        """Width of the range, Hz."""
        return self.high - self.low

    @property
    def swing(self) -> float:
        """How much the total capacitance changes, F."""
        return self.total_at_low - self.total_at_high

    @property
    def unevenness(self) -> float:
        """The fastest tuning rate over the slowest: 1 for a dial with even divisions."""
        return float(self.rates.max() / self.rates.min())

    @property
    def bow(self) -> float:
        """How far the dial departs from an even one, as a share of its range; signed.

        The largest distance of the frequency from the straight line between its ends.
        """
        straight = np.linspace(self.low, self.high, len(self.frequencies))
        away = self.frequencies - straight
        return float(away[np.argmax(np.abs(away))]) / self.span

    def share_of(self, low: float, high: float) -> float:
        """Share of the turn that the part of ``low``..``high`` (Hz) on the dial takes."""
        first, last = (min(max(edge, self.low), self.high) for edge in (low, high))
        if not first < last:
            return 0.0
        places = [self.network.angle_for(edge) for edge in (first, last)]
        return (places[1] - places[0]) / self.network.variable.degrees


def cover(network: Network, *, points: int = 181) -> Coverage:
    """What ``network`` covers from end to end; ``points`` is the number on the curves."""
    angles = np.linspace(0.0, network.variable.degrees, points)
    frequencies = network.frequency_at(angles)
    total_at_low, total_at_high = (
        float(network.total_at(angle)) for angle in (0.0, network.variable.degrees)
    )
    return Coverage(
        network, float(frequencies[0]), float(frequencies[-1]), total_at_low, total_at_high,
        angles, frequencies, network.rate_at(angles),
    )


def solve_network(
    low: float, high: float, inductance: float, variable: VariableCapacitor, *,
    across: float = 0.0, strays: float = 0.0, valve: float = 0.0,
) -> Network:
    """The network whose dial covers ``low``..``high`` (Hz) exactly: series and parallel capacitor.

    The coil asks for the totals; their difference is the swing S that the
    series capacitor must leave of the variable's.  With a and b the
    variable's ends (its own plus ``across``), series·a/(series + a) and series·b/(series + b)
    differ by S where (b − a − S)·x² − S(a + b)·x − S·a·b = 0: one positive
    root.  The parallel capacitor fills up the rest.  Raises :class:`Unclear`,
    with the reason, where no such network exists.
    """
    capacitance_ratio(low, high)  # refuses edges that are none
    bare = Network(inductance, variable, None, 0.0, across, strays, valve)
    at_low, at_high = (float(capacitance_for(edge, inductance)) for edge in (low, high))
    swing = at_low - at_high
    series = series_for_swing(variable, swing, across=across)
    network = replace(bare, series=series)
    parallel = at_high - network.fixed - float(network.branch(variable.minimum))
    if parallel < -1e-9 * at_high:
        held = at_high - parallel
        raise Unclear(
            f"The coil of {show(inductance, 'H', digits=4)} reaches {show(high, 'Hz', digits=7)} "
            f"with {show(at_high, 'F', digits=4)} in all, and strays, valve and variable already "
            f"hold {show(held, 'F', digits=4)}: choose a smaller coil."
        )
    return replace(network, parallel=max(parallel, 0.0))


def series_for_swing(
    variable: VariableCapacitor, swing: float, *, across: float = 0.0
) -> float | None:
    """Series capacitor (F) that leaves ``swing`` (F) of a variable's; None where none is needed.

    ``across`` (F) is fixed across the variable.  Raises :class:`Unclear` for a
    swing that the variable does not have.
    """
    swing = Range("Swing wanted", "F", 1e-18, 1e-3).check(swing)
    least = variable.minimum + ACROSS.check(across)
    most = variable.maximum + across
    spare = variable.swing - swing
    if spare < -1e-9 * swing:
        raise Unclear(
            f"This range asks for a swing of {show(swing, 'F', digits=4)}, and the variable "
            f"capacitor has only {show(variable.swing, 'F', digits=4)}: take a larger one, or a "
            "larger coil with less capacitance."
        )
    if spare <= 1e-9 * swing:
        return None
    half = swing * (least + most) / 2
    series = (half + math.sqrt(half**2 + spare * swing * least * most)) / spare
    return None if series > NEEDLESS * most else series


@dataclass(frozen=True)
class StandIn:
    """What makes ``have`` behave between its ends as ``wanted`` does.

    ``series`` (F) goes in series with it (None: none), ``parallel`` (F) across
    the two; a negative ``parallel`` says how much to take from the fixed
    capacitance instead.  The law between the ends is not the same.
    """

    wanted: VariableCapacitor
    have: VariableCapacitor
    series: float | None
    parallel: float


def stand_in(wanted: VariableCapacitor, have: VariableCapacitor) -> StandIn:
    """Replace a variable capacitor that can't be had by a larger one: same two ends.

    Raises :class:`Unclear` if ``have`` has less swing than ``wanted``.
    """
    series = series_for_swing(have, wanted.swing)
    smallest = have.minimum
    if series is not None:
        smallest = smallest * series / (smallest + series)
    return StandIn(wanted, have, series, wanted.minimum - smallest)
