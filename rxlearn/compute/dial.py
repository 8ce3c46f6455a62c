"""What a dial and its drive make of a tuning range: kHz per degree, per turn, per division.

The knob turns ``reduction`` times while the capacitor's shaft turns once; a
scale of so many ``divisions`` goes round with the knob.

Model: no backlash and no slip in the drive; rates are those at one place and
hold for small steps from there.  What a hand can set, one degree of the knob,
is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.band_spread import Coverage, Network, cover
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.simple_set import SETTING_NEEDED

HAND_STEP = 1.0
"""The smallest step that a hand can set at the knob, degrees (common practice, no source)."""

REDUCTION = Range("Drive's reduction", "", 1.0, 200.0)
DIVISIONS = Range("Divisions per turn", "", 1.0, 1000.0)
HAND = Range("Hand's smallest step on the knob", "°", 0.05, 30.0)


@dataclass(frozen=True)
class Drive:
    """A drive of ``reduction`` turns of the knob to one of the shaft, with ``divisions`` a turn.

    Raises :class:`Unclear` for values out of range.
    """

    reduction: float = 8.0
    divisions: int = 100

    def __post_init__(self) -> None:
        REDUCTION.check(self.reduction)
        DIVISIONS.check(self.divisions)

    @property
    def degrees_per_turn(self) -> float:
        """Degrees of the capacitor's shaft to one turn of the knob."""
        return 360.0 / self.reduction

    @property
    def degrees_per_division(self) -> float:
        """Degrees of the capacitor's shaft to one division."""
        return self.degrees_per_turn / self.divisions

    def turns_for(self, degrees: float) -> float:
        """Turns of the knob that move the shaft by ``degrees``."""
        return degrees / self.degrees_per_turn


@dataclass(frozen=True, eq=False)
class DialRates:
    """A dial at one place: ``angle`` (degrees of the shaft) and ``frequency`` (Hz) there.

    ``per_degree`` (of the shaft), ``per_turn`` and ``per_division`` (of the
    knob) in Hz; ``hand_step`` (Hz) is what ``hand_degrees`` of the knob tune,
    ``needed`` (Hz) what the ``signal`` wants, ``times_too_coarse`` the one over
    the other.  ``turns`` and ``divisions`` are for the whole dial.
    """

    coverage: Coverage
    drive: Drive
    angle: float
    signal: str
    hand_degrees: float
    needed: float
    frequency: float
    per_degree: float

    @property
    def per_turn(self) -> float:
        """Hz to one turn of the knob, at the rate of this place."""
        return self.per_degree * self.drive.degrees_per_turn

    @property
    def per_division(self) -> float:
        """Hz to one division, at the rate of this place."""
        return self.per_turn / self.drive.divisions

    @property
    def hand_step(self) -> float:
        """Hz that the hand's smallest step tunes here."""
        return self.per_degree / self.drive.reduction * self.hand_degrees

    @property
    def times_too_coarse(self) -> float:
        """The hand's step over what is needed; below 1 it is fine enough."""
        return self.hand_step / self.needed

    @property
    def reduction_needed(self) -> float:
        """Reduction with which the hand's step here would be just what is needed."""
        return self.drive.reduction * self.times_too_coarse

    @property
    def turns(self) -> float:
        """Turns of the knob from end to end."""
        return self.drive.turns_for(self.coverage.network.variable.degrees)

    @property
    def divisions(self) -> float:
        """Divisions from end to end."""
        return self.turns * self.drive.divisions

    @property
    def hand_steps(self):
        """The hand's step (Hz) over the whole turn, an array beside ``coverage.angles``."""
        return self.coverage.rates / self.drive.reduction * self.hand_degrees


def rate_dial(
    network: Network | Coverage, drive: Drive, angle: float, *, signal: str = "code",
    hand_degrees: float = HAND_STEP,
) -> DialRates:
    """How a dial tunes at ``angle`` (degrees of the shaft), for a ``signal`` of SETTING_NEEDED.

    Raises :class:`Unclear` for an angle that is not on the dial and an unknown signal.
    """
    coverage = network if isinstance(network, Coverage) else cover(network)
    if not isinstance(signal, str) or signal not in SETTING_NEEDED:
        given = " ".join(str(signal).split())[:20]
        raise Unclear(f"Signal “{given}” is unknown: choose {', '.join(SETTING_NEEDED)}.")
    found = coverage.network
    return DialRates(
        coverage, drive, float(angle), signal, HAND.check(hand_degrees), SETTING_NEEDED[signal],
        float(found.frequency_at(angle)), float(found.rate_at(angle)),
    )
