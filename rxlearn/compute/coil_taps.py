"""Taps and links: a low impedance brought to a tuned circuit.  SI throughout.

The rule of thumb takes every turn to catch the same flux: impedances go with the turns squared.
In an air coil they do not, so the voltage at a tap is (L₁ + M)/L and what a link takes over goes
with M² (DERIVED from the definition of mutual inductance; F. E. Terman, *Radio Engineering*,
coupled circuits).  Limits: at resonance, with the load light enough for a Q of ten or more, and a
link whose own reactance is small beside its load or tuned out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from rxlearn.compute.coaxial import coil_mutual, split_inductances
from rxlearn.compute.coils import Coil
from rxlearn.compute.quantities import Range, Unclear
from rxlearn.compute.wire import Wire

LOAD = Range("Impedance to match", "Ω", 1.0, 1e6)
CIRCUIT_Q = Range("Unloaded Q", "", 10.0, 1000.0)
BESIDE = 2e-3
"""Gap (m) of a link beside the coil's earthed end."""

TAP_FREQUENCY = Range("Frequency", "Hz", 10e3, 300e6)


@dataclass(frozen=True)
class Tapped:
    """A coil tapped at ``turns`` from its earthed end.

    ``coupling`` of the two parts, ``ideal`` and ``true`` share of the voltage are ratios;
    ``impedance`` (Ω) is what the tap of a circuit with ``parallel`` (Ω) at resonance looks like,
    ``ideal_impedance`` what the rule of turns says.
    """

    coil: Coil
    turns: float
    coupling: float
    ideal: float
    true: float
    parallel: float

    @property
    def impedance(self) -> float:
        """Impedance (Ω) at the tap."""
        return self.parallel * self.true**2

    @property
    def ideal_impedance(self) -> float:
        """The same by the rule of turns (Ω)."""
        return self.parallel * self.ideal**2


def parallel_resistance(inductance: float, frequency: float, q: float) -> float:
    """Resistance (Ω) of a circuit at resonance: Q·ω·L; H, Hz, and ``q`` a plain number."""
    return CIRCUIT_Q.check(q) * 2 * math.pi * TAP_FREQUENCY.check(frequency) * inductance


def tap(coil: Coil, turns: float, parallel: float) -> Tapped:
    """``coil`` tapped at ``turns``, ``parallel`` (Ω) the circuit's resistance at resonance.

    Raises :class:`Unclear` for a tap less than a turn from either end.
    """
    part, rest, mutual = split_inductances(coil, turns)
    true = (part + mutual) / (part + rest + 2 * mutual)
    return Tapped(coil, turns, mutual / math.sqrt(part * rest), turns / coil.turns, true, parallel)


def tap_for(coil: Coil, impedance: float, parallel: float) -> Tapped:
    """The tap at which the circuit looks like ``impedance`` (Ω); ``parallel`` (Ω) at its top.

    Raises :class:`Unclear` where that lies within a turn of an end.
    """
    impedance = LOAD.check(impedance)

    def miss(turns: float) -> float:
        return tap(coil, turns, parallel).impedance - impedance

    low, high = 1.0, coil.turns - 1.0
    if high <= low or miss(low) > 0 or miss(high) < 0:
        raise Unclear(
            f"No tap of this coil gives {impedance:.3g} Ω: between one turn and one less than all "
            f"it has {tap(coil, 1.0, parallel).impedance:.3g} Ω and more. Use a link, or choose "
            "another impedance." if high > low else
            "This coil has too few turns for a tap: use a link."
        )
    return tap(coil, float(brentq(miss, low, high, xtol=1e-6)), parallel)


@dataclass(frozen=True)
class Linked:
    """A link of ``turns`` beside or over the earthed end of ``coil``.

    ``coupling`` is a ratio; ``coupled`` (Ω) what a source of ``source`` (Ω) on the link puts in
    series with the coil, beside the coil's ``own`` loss (Ω); ``reactance`` (Ω) is the link's.
    ``loaded_q`` is the coil's Q with both.
    """

    coil: Coil
    turns: float
    coupling: float
    source: float
    coupled: float
    own: float
    reactance: float
    loaded_q: float

    @property
    def match(self) -> float:
        """Coupled over own loss: 1 where all the power there is goes into the coil, a ratio."""
        return self.coupled / self.own

    @property
    def taken(self) -> float:
        """Share of the source's available power that reaches the circuit, a ratio."""
        return 4 * self.match / (1 + self.match) ** 2


def link(coil: Coil, turns: float, source: float, frequency: float, q: float, *,
         gap: float = 0.0, wire: Wire | None = None) -> Linked:
    """A link of ``turns``, ``gap`` (m) from the coil's earthed end; negative: wound over it.

    ``source`` (Ω) hangs on it; ``frequency`` in Hz, ``q`` the coil's unloaded Q, a plain number;
    ``wire`` that of the link, else the coil's.  The link's own reactance is taken into account.
    """
    source, frequency = LOAD.check(source), TAP_FREQUENCY.check(frequency)
    wire = coil.wire if wire is None else wire
    over = gap < 0
    second = Coil(turns=turns, former=coil.former + (2 * coil.wire.overall if over else 0.0),
                  length=turns * wire.overall, wire=wire)
    mutual = coil_mutual(second, coil, max(gap, -second.length))
    omega = 2 * math.pi * frequency
    own = omega * coil.inductance / CIRCUIT_Q.check(q)
    reactance = omega * second.inductance
    coupled = (omega * mutual) ** 2 * source / (source**2 + reactance**2)
    return Linked(
        coil, turns, mutual / math.sqrt(coil.inductance * second.inductance), source, coupled, own,
        reactance, omega * coil.inductance / (own + coupled),
    )


@dataclass(frozen=True, eq=False)
class Feeds:
    """Every tap, or every link, that ``coil`` could have: ``turns`` in steps.

    ``how`` is ``tap``, ``over`` (a link wound over the earthed end) or ``beside``.  ``shares``
    are for each of ``turns`` the share of the circuit's voltage: that at a tap, or M/L, that
    across an open link (ratios); ``reactances`` the inductance (H) of the link, zero for a tap.
    """

    coil: Coil
    how: str
    turns: np.ndarray
    shares: np.ndarray
    reactances: np.ndarray


@dataclass(frozen=True, eq=False)
class Fed:
    """A circuit fed by a source of ``source`` (Ω) at ``turns``; arrays go with ``feeds.turns``.

    ``match`` (a ratio, 1 for all the power there is) is what the source loads the circuit with,
    beside its own loss; ``by_turns`` what the rule of turns says of it.  ``taken`` is the share of
    the power, ``loaded_q`` what is left of ``q``, for the turns in use; ``taken_at`` and
    ``rule_at`` for all of them.
    """

    feeds: Feeds
    turns: float
    source: float
    frequency: float
    q: float
    match: float
    by_turns: float
    taken: float
    loaded_q: float
    taken_at: np.ndarray
    rule_at: np.ndarray

    @property
    def best(self) -> float:
        """The turns, of those in steps, that take most power."""
        return float(self.feeds.turns[int(np.argmax(self.taken_at))])

    @property
    def best_by_turns(self) -> float:
        """The same by the rule of turns."""
        return float(self.feeds.turns[int(np.argmax(self.rule_at))])


def all_feeds(coil: Coil, how: str, *, steps: int = 2) -> Feeds:
    """Taps of ``coil``, or links over or beside it, ``steps`` to a turn, from one turn up.

    ``how`` as in :class:`Feeds`.  A tap stops a turn short of the end, a link at half the turns.
    Raises :class:`Unclear` for a coil of less than three turns.
    """
    if coil.turns < 3:
        raise Unclear(f"A coil of {coil.turns:.3g} turns is too short for a tap or a link.")
    most = coil.turns - 1 if how == "tap" else max(2.0, coil.turns / 2)
    turns = np.arange(steps, math.floor(steps * most) + 1) / steps
    if how == "tap":
        parts = [split_inductances(coil, float(n)) for n in turns]
        shares = [(one + mutual) / (one + two + 2 * mutual) for one, two, mutual in parts]
        return Feeds(coil, how, turns, np.array(shares), np.zeros(len(turns)))
    links = [link(coil, float(n), 50.0, 1e6, 100.0, gap=-1.0 if how == "over" else BESIDE)
             for n in turns]
    second = np.array([one.reactance for one in links]) / (2 * math.pi * 1e6)
    mutual = np.array([one.coupling for one in links]) * np.sqrt(coil.inductance * second)
    return Feeds(coil, how, turns, mutual / coil.inductance, second)


def feed(feeds: Feeds, turns: float, source: float, frequency: float, q: float) -> Fed:
    """Feed the circuit at ``turns`` from ``source`` (Ω) at ``frequency`` (Hz); ``q`` is its own Q.

    ``turns`` is taken to the nearest step; :class:`Unclear` beyond the last one.  Match at a tap: Q·ω·L·n²/R; of a link: ω²M²/(R₀² +
    X²)·R₀ over the coil's own resistance.
    """
    source, q = LOAD.check(source), CIRCUIT_Q.check(q)
    most = float(feeds.turns[-1])
    if not 1.0 <= turns <= most + 1e-9:
        what = "tap" if feeds.how == "tap" else "link"
        raise Unclear(f"A {what} of {turns:g} turns is more than this coil takes here: stay between "
                      f"1 and {most:g} turns.")
    omega = 2 * math.pi * TAP_FREQUENCY.check(frequency)
    circuit = q * omega * feeds.coil.inductance
    reactances = omega * feeds.reactances
    matches = circuit * feeds.shares**2 * source / (source**2 + reactances**2)
    rule = circuit * (feeds.turns / feeds.coil.turns) ** 2 / source
    here = int(np.argmin(np.abs(feeds.turns - turns)))
    match = float(matches[here])
    return Fed(
        feeds, float(feeds.turns[here]), source, frequency, q, match, float(rule[here]),
        4 * match / (1 + match) ** 2, q / (1 + match), 4 * matches / (1 + matches) ** 2,
        4 * rule / (1 + rule) ** 2,
    )
