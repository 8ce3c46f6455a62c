"""A ring core and a wire that do what a coil is wanted for, as near as can be to what is at hand.

Every core of the trade's table is tried with every wire of the learner's system.  What does: whole
turns that lie in one layer, within the reach of adjusting, on iron that is meant for the frequency,
with a Q as one usually measures it.  Near is the least change of size and of wire together, each as a
ratio (a choice).  Limits: those of :mod:`rxlearn.compute.toroid`; price and drawer are not known here.
"""

from __future__ import annotations

import math

from rxlearn.compute.coil_ways import Way, ring_way
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.toroid import wind_ring
from rxlearn.compute.wire import WIRES, Wire
from rxlearn.data.cores import RING_CORES

GAUGE = "AWG"
"""How the names of gauge numbers begin: who has a reel of those is not sent to buy metric wire."""


def ring_for(wanted: float, frequency: float, *, size: float, wire: Wire, reach: float,
             least_q: float = 0.0, fewest: int = 1) -> Way | None:
    """The nearest ring for ``wanted`` (H) at ``frequency`` (Hz); None where no common one does.

    ``size`` (m) and ``wire`` are those at hand; ``reach`` is how far off, a ratio, adjusting makes
    up; ``least_q`` what is wanted of its middling Q, ``fewest`` of its turns, plain numbers.
    """
    cores = [name for name, core in RING_CORES.items() if core.lowest <= frequency <= core.highest]
    wires = [one for name, one in WIRES.items() if name.startswith(GAUGE) == wire.name.startswith(GAUGE)]

    def change(pair: tuple[str, Wire]) -> float:
        return (abs(math.log(RING_CORES[pair[0]].outer / size))
                + abs(math.log(pair[1].diameter / wire.diameter)))

    for name, tried in sorted(((name, one) for name in cores for one in wires), key=change):
        try:
            ring = wind_ring(wanted, name, tried)
        except Unclear:
            continue
        if not ring.fits or ring.turns < fewest or abs(ring.inductance / wanted - 1) > reach:
            continue
        way = ring_way(ring, wanted, frequency)
        if way.middling_q >= least_q:
            return way
    return None
