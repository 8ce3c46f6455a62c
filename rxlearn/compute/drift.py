"""Drift with temperature: coil and capacitors, a compensating capacitor, Hz per degree Celsius.

A coefficient is a relative change per degree, here in ppm/°C: 30 means that a
part grows by 30 millionths of itself for each degree.

Model: every part follows a straight line and has the same temperature; warm-up
of the valve itself, humidity and supply voltage are left out.  They may be
larger.  The drift rule df/f = -(dC/C + dL/L)/2 is the differential of
f = 1/(2π√(LC)); :class:`Drift` goes through the root itself.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rxlearn.compute.band_spread import Network
from rxlearn.compute.quantities import Range, Unclear, show
from rxlearn.data.temperature_codes import MULTIPLIER, SIGNIFICANT, TOLERANCE, TRADE_NAMES

COEFFICIENT = Range("Temperature coefficient", "ppm", -100e3, 100e3)
FREQUENCY = Range("Frequency", "Hz", 1.0, 10e9)
RISE = Range("Temperature rise", "°C", -100.0, 200.0)
CAPACITANCE = Range("Capacitance", "F", 0.0, 1.0)

COPPER_RESISTANCE = 0.00393
"""Relative rise of copper's resistance per °C at 20 °C: IEC 60028."""

COPPER_EXPANSION = 16.5
"""Linear expansion of copper, ppm/°C (from memory); a free coil's inductance follows it."""


@dataclass(frozen=True)
class ClassOneCode:
    """A class-1 ceramic's ``code``: ``nominal`` coefficient and its ``tolerance``, ppm/°C.

    ``trade_name`` is the other name for it, empty where there is none in common use.
    """

    code: str
    nominal: float
    tolerance: float
    trade_name: str


def decode_class_one(code: str) -> ClassOneCode:
    """Read a class-1 code such as ``U2J``: -750 ppm/°C, ± 120 ppm/°C.  Source: EIA-198.

    Raises :class:`Unclear` for what is none.
    """
    clean = code.strip().upper() if isinstance(code, str) else ""
    # The middle sign is a nought, which people write as the letter.
    if len(clean) == 3 and clean[1] == "O":
        clean = f"{clean[0]}0{clean[2]}"
    if (
        len(clean) != 3 or clean[0] not in SIGNIFICANT or clean[1] not in MULTIPLIER
        or clean[2] not in TOLERANCE
    ):
        given = " ".join(str(code).split())[:10]
        raise Unclear(
            f"Code “{given}” is no class-1 code: it is a letter, a digit and a letter, such as "
            "C0G or U2J."
        )
    nominal = SIGNIFICANT[clean[0]] * MULTIPLIER[clean[1]] + 0.0
    return ClassOneCode(
        clean, round(nominal, 6), TOLERANCE[clean[2]], TRADE_NAMES.get(clean, "")
    )


@dataclass(frozen=True)
class Capacitor:
    """Part of a tank's capacitance: ``name``, its ``share`` (F of the total), coefficient, ppm/°C.

    ``share`` counts as the total moves with it: a capacitor C behind a series
    capacitor Cs has the share C·(Cs/(Cs + C))², see :func:`capacitors_of`.
    """

    name: str
    share: float
    coefficient: float


@dataclass(frozen=True)
class Drift:
    """What warmth does to a tank at ``frequency`` (Hz).

    ``coil`` and ``capacitors`` (their sum in proportion) in ppm/°C, ``tolerance`` (ppm/°C) what
    the compensating capacitor leaves uncertain.  ``relative`` is the frequency's
    ppm/°C, ``per_degree`` its Hz/°C.
    """

    frequency: float
    coil: float
    capacitors: float
    tolerance: float = 0.0

    @property
    def relative(self) -> float:
        """Relative drift, ppm/°C: half of coil's and capacitors' sum, turned round."""
        return -(self.coil + self.capacitors) / 2

    @property
    def per_degree(self) -> float:
        """Drift of the frequency, Hz/°C."""
        return self.relative * self.frequency / 1e6

    @property
    def uncertainty(self) -> float:
        """Half-width in Hz/°C that the compensating capacitor's tolerance leaves."""
        return self.tolerance / 2 * self.frequency / 1e6

    def moved_by(self, rise: float | np.ndarray, *, spread: float = 0.0) -> float | np.ndarray:
        """How far the frequency has moved (Hz) after a ``rise`` (°C), through the square root.

        ``spread`` (ppm/°C) is added to the capacitors' coefficient.
        """
        rise = RISE.check_each(rise)
        grown = (1 + self.coil * 1e-6 * rise) * (1 + (self.capacitors + spread) * 1e-6 * rise)
        if np.any(np.asarray(grown) <= 0):
            raise Unclear(
                f"A rise of {show(float(np.max(np.abs(rise))), '°C')} with such coefficients would "
                "leave nothing of the tank: a straight line does not hold so far."
            )
        return self.frequency * (1 / np.sqrt(grown) - 1)


def drift(frequency: float, coil: float, capacitors: Sequence[Capacitor]) -> Drift:
    """Drift of a tank at ``frequency`` (Hz): coil's coefficient (ppm/°C) and its capacitors.

    The capacitors' coefficients count by their share of the total.  Raises
    :class:`Unclear` for values out of range and for a tank without capacitance.
    """
    total = math.fsum(CAPACITANCE.check(one.share) for one in capacitors)
    if not total > 0:
        raise Unclear("A tank needs capacitance: give at least one capacitor above zero.")
    mean = math.fsum(
        one.share * COEFFICIENT.check(one.coefficient) for one in capacitors
    ) / total
    return Drift(FREQUENCY.check(frequency), COEFFICIENT.check(coil), mean)


def capacitors_of(
    network: Network, angle: float, coefficients: dict[str, float]
) -> tuple[Capacitor, ...]:
    """The shares of ``network``'s parts at ``angle`` (degrees); their sum is the total.

    ``coefficients`` (ppm/°C) by name: ``parallel``, ``series``, ``variable`` (which
    takes what lies across it along), ``strays``, ``valve``; what is missing counts as 0.
    DERIVED: C·∂(total)/∂C of each part; for series parts these add up to the branch.
    """
    own = float(network.variable.capacitance_at(angle)) + network.across
    shares = {"parallel": network.parallel, "strays": network.strays, "valve": network.valve}
    if network.series is None:
        shares["variable"] = own
    else:
        both = own + network.series
        shares["variable"] = own * (network.series / both) ** 2
        shares["series"] = network.series * (own / both) ** 2
    return tuple(
        Capacitor(name, share, coefficients.get(name, 0.0)) for name, share in shares.items()
    )


def compensating_share(coil: float, rest: float, compensator: float) -> float:
    """Share x of all capacitance to make of the compensating kind, so that nothing drifts.

    compensator·x + rest·(1 − x) + coil = 0, all in ppm/°C.  Raises
    :class:`Unclear` where no share between 0 and 1 does it.
    """
    coil, rest, compensator = (COEFFICIENT.check(one) for one in (coil, rest, compensator))
    total = coil + rest
    if total == 0:
        return 0.0
    share = total / (rest - compensator) if rest != compensator else math.inf
    if not 0 <= share <= 1:
        raise Unclear(
            f"Coil and capacitors together drift by {total:+.4g} ppm/°C, and a capacitor of "
            f"{compensator:+.4g} ppm/°C cannot make up for that: choose one "
            + ("more negative." if total > 0 else "more positive.")
        )
    return share


@dataclass(frozen=True, eq=False)
class Compensation:
    """A tank of ``total`` (F) before and after ``fitted`` (F) of it became a compensating kind.

    ``code`` says which kind; ``wanted`` (F) would leave no drift, None where none can.
    ``rises`` (°C) and the curves ``moved_before``, ``moved_after``, ``moved_least``,
    ``moved_most`` (Hz, the last two with the code's tolerance either way) run to ``rise``.
    ``rate`` is the dial's, Hz per degree of the shaft.
    """

    total: float
    code: ClassOneCode
    fitted: float
    wanted: float | None
    before: Drift
    after: Drift
    rise: float
    rate: float
    rises: np.ndarray
    moved_before: np.ndarray
    moved_after: np.ndarray
    moved_least: np.ndarray
    moved_most: np.ndarray


def compensate(
    frequency: float, total: float, coil: float, rest: float, code: str, fitted: float, *,
    rise: float = 15.0, rate: float = 1e3, points: int = 31,
) -> Compensation:
    """Put ``fitted`` (F) of kind ``code`` into a tank of ``total`` (F) in place of as much other.

    ``coil`` and ``rest`` (all other capacitance) in ppm/°C, ``rise`` in °C,
    ``rate`` in Hz per degree of the dial.  Raises :class:`Unclear` for more
    than the tank holds and for values out of range.
    """
    kind = decode_class_one(code)
    total = Range("Tank's capacitance", "F", 1e-15, 1.0).check(total)
    fitted = Range("Compensating capacitor", "F", 0.0, total).check(fitted)
    before = drift(frequency, coil, [Capacitor("rest", total, rest)])
    mixed = drift(frequency, coil, [
        Capacitor("rest", total - fitted, rest), Capacitor("compensator", fitted, kind.nominal),
    ])
    spread = kind.tolerance * fitted / total
    after = Drift(mixed.frequency, mixed.coil, mixed.capacitors, spread)
    try:
        wanted = total * compensating_share(coil, rest, kind.nominal)
    except Unclear:
        wanted = None
    rises = np.linspace(0.0, RISE.check(rise), points)
    return Compensation(
        total, kind, fitted, wanted, before, after, float(rise), float(rate), rises,
        before.moved_by(rises), after.moved_by(rises),
        after.moved_by(rises, spread=spread), after.moved_by(rises, spread=-spread),
    )


def ppm_to_hz(frequency: float, ppm: float) -> float:
    """What so many ppm are at ``frequency`` (Hz), Hz: a crystal's tolerance, for instance."""
    return FREQUENCY.check(frequency) * COEFFICIENT.check(ppm) * 1e-6


def copper_resistance_ratio(cold: float, warm: float) -> float:
    """Resistance of copper at ``warm`` (°C) over that at ``cold`` (°C).

    1 + 0.00393·(t − 20) of each.  Source of the coefficient: IEC 60028.  A coil's Q falls as it rises.
    """
    cold, warm = (Range("Temperature", "°C", -100.0, 200.0).check(one) for one in (cold, warm))
    return (1 + COPPER_RESISTANCE * (warm - 20)) / (1 + COPPER_RESISTANCE * (cold - 20))
