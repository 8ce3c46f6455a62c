"""Plans that a learner may come with: pairs that work, pairs that cannot, ends of every field.

Values are SI by field key, changes from the demo.  The pairs with a crystal each are the
workbook's own to be judged (arithmetic, not praise); the rest is made to be awkward.
"""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType

PF = 1e-12


def chessboard(rows: Iterable[str], columns: Iterable[str]) -> list[tuple[str, str]]:
    """Every second pair, as the black fields lie, and the first column whole.

    So each row and each column is tried many times in half the time.
    """
    return [(row, column) for i, row in enumerate(rows) for j, column in enumerate(columns)
            if j == 0 or (i + j) % 2]


def pair(lower: tuple, upper: tuple, intermediate: float, sides: tuple = ("high", "low"), **more):
    """Two bands as (name, low MHz, high MHz) on ``intermediate`` MHz, with their sides."""
    changes = {"intermediate_frequency": intermediate * 1e6, **more}
    for band, (name, low, high), side in zip(("lower_band", "upper_band"), (lower, upper), sides):
        changes |= {f"{band}.name": name, f"{band}.low": low * 1e6, f"{band}.high": high * 1e6,
                    f"{band}.injection": side}
    return changes


M160, M80, M40 = ("160 m", 1.8, 2.0), ("80 m", 3.5, 4.0), ("40 m", 7.0, 7.3)
M30, M20, M17 = ("30 m", 10.1, 10.15), ("20 m", 14.0, 14.35), ("17 m", 18.068, 18.168)
M12, M10 = ("12 m", 24.89, 24.99), ("10 m", 28.0, 29.7)

WORKING = MappingProxyType({
    "demo": {},
    "20 m and 17 m": pair(M20, M17, 2.0),
    "30 m and 17 m": pair(M30, M17, 4.0),
    "30 m and 20 m": pair(M30, M20, 2.048),
    "160 m and 30 m": pair(M160, M30, 4.096),
    "40 m and 20 m": pair(M40, M20, 3.579545),
    "80 m and 12 m": pair(M80, M12, 10.7),
    "17 m and 10 m": pair(M17, M10, 5.0),
    "region 1": pair(("80 m", 3.5, 3.8), M30, 3.2768, region=1),
    "region 3": pair(("80 m", 3.5, 3.9), ("40 m", 7.0, 7.2), 1.7, region=3),
    "very wide": pair(("short waves", 2.0, 9.0), ("all above", 10.0, 28.0), 0.9),
    "a hertz wide": pair(("one", 7.0, 7.000001), ("two", 14.0, 14.000001), 3.5),
    "narrow": pair(("60 m", 5.3515, 5.3665), ("30 m", 10.1, 10.11), 2.4),
    "lowest": pair(("long waves", 0.1, 0.11), ("medium waves", 0.6, 1.6), 0.05),
    "highest": pair(("below it", 49.9, 50.5), ("6 m", 54.0, 55.0), 2.0),
    "far apart": pair(("long waves", 0.1, 0.15), ("very high", 55.0, 60.0), 27.0),
    "with a converter": {"third_band.wanted": "yes", "converter.circuits": 3},
    "long names": {"receiver.name": "R" * 80, "lower_band.name": "the evening contacts " * 3 + "x" * 17,
                   "upper_band.name": "W" * 80},
    "markup": {"lower_band.name": "<b>$\\frac{8}{0}$</b>", "upper_band.name": "a\\b_{c}^$ & %"},
})
"""Plans whose two bands have an oscillator each, on one dial or nearly."""

UNSHARED = MappingProxyType({
    "both high": (pair(M40, M20, 3.579545, ("high", "high")), "Both bands use high injection"),
    "both low": (pair(M40, M20, 3.579545, ("low", "low")), "Both bands use low injection"),
    "sides exchanged": (pair(M40, M20, 3.579545, ("low", "high")),
                        "Injection low on the lower band and high on the upper never meets"),
})
"""Plans whose bands cannot share an oscillator, and how the reason begins."""

MISSED = MappingProxyType({
    "no meeting": pair(M160, M10, 0.455),
    "far apart": WORKING["far apart"],
})
"""Plans whose sides would do, but whose ranges have nothing in common on their frequency."""

WITHOUT_DIAL = MappingProxyType({
    "no swing": ({"tuning_capacitor.maximum": 5 * PF}, "has no swing"),
    "little swing": ({"tuning_capacitor.maximum": 20 * PF}, "has only 10 pF: take a larger one"),
    "tiny coil": ({"oscillator.inductance": 10e-9}, "The demo receiver stands in."),
    "huge coil": ({"oscillator.inductance": 10e-3}, "choose a smaller coil"),
    "strays fill it": ({"oscillator.inductance": 40e-6}, "choose a smaller coil"),
})
"""Plans whose coil and capacitor give no dial, and words of the reason."""

REFUSED = MappingProxyType({
    "low side below the intermediate frequency":
        (pair(M160, M30, 4.096, ("low", "low")), "choose high-side injection or a lower"),
    "on the intermediate frequency":
        (pair(M80, M20, 3.75), "lies inside the lower band (80 m): choose one below"),
    "bands exchanged": (pair(M20, M80, 2.0), "exchange the two"),
})
"""Nonsense that no plan takes, and words of the reason."""

SUPPLIES = MappingProxyType({
    "demo": {},
    "valve": {"supply.rectifier": "6X4"},
    "bridge": {"supply.connection": "bridge"},
    "half wave": {"supply.connection": "half wave"},
    "choke first": {"supply.input": "choke input"},
    "50 Hz": {"supply.mains_frequency": 50, "supply.mains_voltage": 230.0},
    "low winding": {"supply.winding_voltage": 10.0},
    "high winding": {"supply.winding_voltage": 1000.0},
    "nothing drawn": {"supply.load": 0.0},
    "bleeder a short": {"supply.bleeder": 100.0},
    "bleeder hardly there": {"supply.bleeder": 10e6},
    "no choke to speak of": {"supply.choke": 0.1},
})
"""Power supplies that work, well or badly."""

DEAD_SUPPLIES = MappingProxyType({
    "too much load": ({"supply.load": 1.0}, "is more than this supply can give"),
    "tiny capacitors": ({"supply.first_capacitor": 0.1e-6, "supply.second_capacitor": 0.1e-6},
                        "draw less current"),
    "valves in a bridge": ({"supply.connection": "bridge", "supply.rectifier": "6X4"},
                           "several heater windings"),
    "half wave, choke first": ({"supply.connection": "half wave", "supply.input": "choke input"},
                               "hardly any voltage"),
})
"""Power supplies that cannot give what is drawn, and words of the reason."""

PLANS = MappingProxyType({
    **WORKING,
    **{name: changes for name, (changes, _) in UNSHARED.items()},
    **MISSED,
    **{name: changes for name, (changes, _) in WITHOUT_DIAL.items()},
})
"""Every plan that can be saved, by name."""

NAMED = {"image_neighbourhood", "image_swapping", "meeting", "recentring", "preselector",
         "beat_side", "dial_rates", "multiband"}
"""Figures that name both bands of the plan."""
NARROWER = {"spread_network", "spread_parts", "switched_capacitor"}
"""Figures that name at least the narrower band."""
FREQUENCIES = {"mixing", "leaky_mixer", "injection", "image_neighbourhood"}
"""Figures that begin at the middle of the lower band."""
ABOUT_THE_PLAN = NAMED | NARROWER | FREQUENCIES | {"plate_laws", "tracking", "drift"}
