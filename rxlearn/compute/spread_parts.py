"""From exact series and parallel capacitors to parts that can be bought.

The nearest preferred value of the series capacitor changes how wide the dial is,
that of the parallel one where it lies.  A trimmer across the parallel capacitor
puts the middle back; nothing but another series capacitor puts the width back.

Frequencies in Hz, capacitances in F.  Model: parts have the value printed on
them; their tolerance comes on top.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from scipy.optimize import brentq

from rxlearn.compute.band_spread import Coverage, Network, cover, solve_network
from rxlearn.compute.preferred_values import (
    nearest_preferred,
    preferred_below,
    preferred_not_below,
)
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.compute.tank import capacitance_for
from rxlearn.compute.variable_capacitor import VariableCapacitor

LEAST_TRIMMER = 2e-12
"""What a small trimmer still has when it is open, F (common practice, no source)."""

MARGIN = Range("Room beyond each end", "Hz", 0.0, 1e6)


@dataclass(frozen=True, eq=False)
class BoughtSpread:
    """The exact network for a range, and what preferred values make of it.

    ``low`` and ``high`` (Hz) are the range wanted, ``margin`` (Hz) the room
    beyond each end that was asked for; ``exact`` covers both.  ``rounded``
    has the nearest values of the series ``preferred``, ``trimmed`` the same
    series capacitor and a parallel capacitor that puts the middle of the dial back: a
    ``fixed`` preferred value (F, 0 for none) and a ``trimmer`` set to the rest (F).
    """

    low: float
    high: float
    margin: float
    preferred: str
    exact: Coverage
    rounded: Coverage
    trimmed: Coverage
    fixed: float
    trimmer: float

    def misses(self, coverage: Coverage) -> tuple[float, float]:
        """How far ``coverage`` falls short at either end of what is wanted, Hz; negative: room."""
        return coverage.low - self.low, self.high - coverage.high


def spread_with_parts(
    low: float, high: float, inductance: float, variable: VariableCapacitor, *,
    preferred: str = "E12", margin: float = 0.0, across: float = 0.0, strays: float = 0.0,
    valve: float = 0.0, covering: bool = False,
) -> BoughtSpread:
    """Solve for ``low``..``high`` (Hz) with ``margin`` (Hz) to spare, and round to ``preferred``.

    The series capacitor goes to the nearest value; ``covering`` takes the next one up, so that the
    dial is never narrower than the range.
    Raises :class:`Unclear` where no network exists; see
    :func:`~rxlearn.compute.band_spread.solve_network`.
    """
    margin = MARGIN.check(margin)
    if not margin < low:
        raise Unclear(
            f"Room of {show(margin, 'Hz')} beyond a range that begins at {show(low, 'Hz')} leaves "
            "no frequency: ask for less."
        )
    network = solve_network(
        low - margin, high + margin, inductance, variable, across=across, strays=strays,
        valve=valve,
    )
    rounding = preferred_not_below if covering else nearest_preferred
    series = None if network.series is None else rounding(network.series, preferred)
    parallel = _rounded_or_none(network.parallel, preferred)
    rounded = replace(network, series=series, parallel=parallel)
    trimmed = centred(rounded, (low + high) / 2)
    fixed = trimmed.parallel - LEAST_TRIMMER
    fixed = preferred_below(fixed, preferred) if fixed > 1e-12 else 0.0
    return BoughtSpread(
        low, high, margin, preferred, cover(network), cover(rounded), cover(trimmed),
        fixed, trimmed.parallel - fixed,
    )


def centred(network: Network, middle: float) -> Network:
    """``network`` with the parallel capacitor that puts the middle of its range on ``middle`` (Hz).

    Solved by bisection, since both ends move.  Raises :class:`Unclear` where
    even no parallel capacitor leaves the dial below ``middle``.
    """
    def off(parallel: float) -> float:
        tried = replace(network, parallel=parallel)
        ends = (tried.frequency_at(0.0), tried.frequency_at(network.variable.degrees))
        return float(sum(ends)) / 2 - middle

    if off(0.0) < 0:
        raise Unclear(
            f"The dial's middle stays below {show(middle, 'Hz', digits=7)} even without a parallel "
            "capacitor: choose a smaller coil."
        )
    # With all that the coil needs there in the parallel capacitor, the middle lies too low.
    most = float(capacitance_for(middle, network.inductance))
    return replace(network, parallel=brentq(off, 0.0, most, xtol=1e-20, rtol=1e-14))


def _rounded_or_none(value: float, preferred: str) -> float:
    """The nearest preferred value; none at all for less than a tenth of a picofarad."""
    return nearest_preferred(value, preferred) if value >= 0.1e-12 else 0.0
