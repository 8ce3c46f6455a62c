"""The plan's aerial, matched to the preselector's coil of either band."""

from __future__ import annotations

import math

from rxlearn.compute.aerial_match import AerialMatch, match_aerial
from rxlearn.plan.coil_fields import CAPACITANCES
from rxlearn.plan.document import Plan


def match_of(plan: Plan, band: str) -> AerialMatch:
    """The preselector of ``band`` as it is matched to the aerial, at the band's middle."""
    centre = math.sqrt(plan.value(f"{band}.low") * plan.value(f"{band}.high"))
    capacitance = plan.value(CAPACITANCES[band.replace("_band", "_coil")])
    return match_aerial(1 / (2 * math.pi * centre * capacitance), plan.value("preselector.loaded_q"),
                        plan.value("preselector.circuits"))
