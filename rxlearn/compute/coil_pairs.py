"""Two like coils on one former as an intermediate-frequency transformer.  SI throughout.

The coupling comes from the windings' geometry (:mod:`rxlearn.compute.coaxial`), the response from
:mod:`rxlearn.compute.coupled_circuits`; both keep their limits.  A screening can lowers inductance
and coupling, capacitance between the windings adds to the coupling: neither is in here, so the gap
is where to begin.
"""

from __future__ import annotations

from dataclasses import dataclass

from rxlearn.compute.coaxial import coupling_between, gap_for
from rxlearn.compute.coils import Coil, turns_wanted
from rxlearn.compute.coupled_circuits import CoupledPair, CoupledSweep, sweep_pair
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.tank import inductance_for
from rxlearn.compute.wire import Wire


@dataclass(frozen=True, eq=False)
class CoilPair:
    """Two of ``coil``, ``gap`` (m) apart, each with ``capacitance`` (F) on ``centre`` (Hz).

    ``coupling`` is k and ``loaded_q`` the Q of either circuit, plain numbers; ``critical_gap`` (m)
    is where k is critical, None where no gap does it.
    """

    coil: Coil
    gap: float
    centre: float
    capacitance: float
    loaded_q: float
    coupling: float
    critical_gap: float | None
    sweep: CoupledSweep

    @property
    def pair(self) -> CoupledPair:
        """The two circuits as a pair."""
        return self.sweep.pair


def pair_on_former(centre: float, capacitance: float, former: float, wire: Wire, gap: float,
                   loaded_q: float, *, span: float) -> CoilPair:
    """Two close-wound coils of ``wire`` on a ``former`` (m), ``gap`` (m) between them.

    Each resonates with ``capacitance`` (F) on ``centre`` (Hz) with ``loaded_q``; the response is
    swept over ``span`` (Hz).  Raises :class:`Unclear` where no such coil can be wound.
    """
    coil = turns_wanted(inductance_for(centre, capacitance), former, wire, frequency=centre)
    coupling = min(0.5, max(1e-5, coupling_between(coil, coil, gap)))
    try:
        critical = gap_for(coil, coil, 1 / loaded_q)
    except Unclear:
        critical = None
    pair = CoupledPair(centre, loaded_q, loaded_q, coupling)
    return CoilPair(coil, gap, centre, capacitance, loaded_q, coupling, critical,
                    sweep_pair(pair, span))
