"""The choice of frequencies again, by plain loops.  Imports nothing from the package.

Slow on purpose: exact fractions where edges matter, every product tried one by one, every
scheme compared with every other.  Formulas DERIVED from oscillator = signal ± IF, from
f = 1/(2π√(LC)), from a resonator's response and from a mixer's two characteristics (here a
switch behind an exponential bend; Bessel functions by their series).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from fractions import Fraction


@dataclass
class Bench:
    """What is at hand, as plain numbers; ``spectrum`` rows are (low, high, strong, name)."""

    spectrum: list
    amateur: list
    medium_wave: tuple
    loaded_q: float = 50.0
    circuits: int = 1
    swing: float = 40e-12
    reach: float = 0.05
    order: int = 15
    drive: float = 0.1
    duty: float = 0.48
    levels: dict = field(default_factory=dict)


def bessel(order: int, x: float) -> float:
    """Modified Bessel function of the first kind by its power series."""
    return sum((x / 2) ** (2 * k + order) / (math.factorial(k) * math.factorial(k + order))
               for k in range(12))


def product_level(bench: Bench, m: int, n: int) -> float:
    """Level (dB) of a product against the wanted one; not below −160."""
    if (m, n) not in bench.levels:
        def switch(order):
            if order == 0:
                return 2 * abs(2 * bench.duty - 1)  # not split in two
            return abs(4 * math.sin(math.pi * order * bench.duty) / (math.pi * order))

        size = switch(m) * bessel(n, bench.drive) / (switch(1) * bessel(1, bench.drive))
        bench.levels[m, n] = max(-160.0, 20 * math.log10(size)) if size > 0 else -160.0
    return bench.levels[m, n]


def rejection(bench: Bench, frequency: float, centre: float) -> float:
    """Rejection (dB) of the preselector."""
    if frequency == 0:
        return math.inf
    slope = bench.loaded_q * (frequency / centre - centre / frequency)
    return 10 * bench.circuits * math.log10(1 + slope**2)


def try_scheme(
    bench: Bench, lower, upper, crystal, summed: bool, *, stop_if_far: bool = False
) -> dict:
    """One scheme: reasons against it and, if there is an oscillator, all the numbers.

    ``stop_if_far`` spares the numbers where the middles lie too far apart.
    """
    l0, l1, u0, u1, f = (Fraction(x) for x in (*lower, *upper, crystal))
    low_osc = (f - l1, f - l0) if summed else (l0 + f, l1 + f)
    high_osc = u0 - f, u1 - f
    reasons = set()
    if min(low_osc[0], high_osc[0]) < 1000:
        reasons.add("no oscillator")
    if l0 <= f <= l1 or u0 <= f <= u1:
        reasons.add("IF in band")
    wide, narrow = low_osc, high_osc
    if u1 - u0 > l1 - l0:
        wide, narrow = high_osc, low_osc
    shift = (sum(high_osc) - sum(low_osc)) / 2
    found = {"shift": float(shift), "reasons": reasons, "away": math.inf}
    if "no oscillator" in reasons:
        reasons.add("too far")
        return found
    found["away"] = float(abs(shift) / (sum(wide) / 2))
    if abs(shift) / (sum(wide) / 2) > bench.reach:
        reasons.add("too far")
        if stop_if_far:
            return found
    total = {edge: 1 / (4 * math.pi**2 * float(edge) ** 2) for edge in wide}
    inductance = (total[wide[0]] - total[wide[1]]) / bench.swing
    at_high = total[wide[1]] / inductance
    middles = [float(sum(band) / 2) for band in (wide, narrow)]
    added = sum(sign / (4 * math.pi**2 * middle**2 * inductance)
                for sign, middle in zip((-1, 1), middles))
    if at_high + added <= 0:
        reasons.add("tank empty")
        return found
    ends = [1 / (2 * math.pi * math.sqrt(inductance * (at_high + extra + added)))
            for extra in (bench.swing, 0)]
    found |= {
        "coil": inductance, "capacitor": abs(added), "tank": at_high,
        "share": float(narrow[1] - narrow[0]) / (ends[1] - ends[0]),
        "oscillator": float(sum(wide) / 2),
        "outside": float(max(0, wide[0] - narrow[0]) + max(0, narrow[1] - wide[1]))
        if narrow[0] < wide[1] and wide[0] < narrow[1] else float(narrow[1] - narrow[0]),
        "dial": float(wide[1] - wide[0]),
    }
    found |= radiation(bench, low_osc, high_osc)
    found |= fronts(bench, (l0, l1), (u0, u1), f, summed)
    found |= places(bench, f)
    found |= whistling(bench, (l0, l1), (u0, u1), f, summed)
    return found


def radiation(bench: Bench, *ranges) -> dict:
    """Stretch of tuning with the oscillator in an amateur band; lowest harmonic that meets one."""
    total, harmonics = 0, []
    for low, high in ranges:
        for order in (1, 2, 3):
            for bottom, top in bench.amateur:
                shared = min(order * high, Fraction(top)) - max(order * low, Fraction(bottom))
                if shared > 0 and order == 1:
                    total += shared
                elif shared > 0:
                    harmonics.append(order)
    return {"radiation": float(total), "radiated_harmonic": min(harmonics, default=0)}


def fronts(bench: Bench, lower, upper, f, summed: bool) -> dict:
    """Least rejections, looked for at many places of each band."""
    found = {}
    through = []
    for name, (low, high) in (("lower", lower), ("upper", upper)):
        worst = math.inf
        for step in range(101):
            signal = float(low + (high - low) * step / 100)
            image = signal + 2 * float(f)
            if name == "upper" or summed:
                image = abs(signal - 2 * float(f))
            worst = min(worst, rejection(bench, image, signal))
            through.append(rejection(bench, float(f), signal))
        if low <= f <= high:
            through.append(0.0)
        found[f"image_{name}"] = worst
    return found | {"breakthrough": min(through)}


def places(bench: Bench, f) -> dict:
    """Distance (signed) to the nearest occupant; the medium-wave band's distance."""
    def distance(low, high):
        low, high = Fraction(low), Fraction(high)
        return low - f if f < low else high - f if f > high else Fraction(0)

    nearest = min(abs(distance(low, high)) for low, high, _, _ in bench.spectrum)
    strong = any(distance(low, high) == 0 and is_strong
                 for low, high, is_strong, _ in bench.spectrum)
    return {"if_place": float(nearest), "on_strong": strong,
            "medium_wave": abs(float(distance(*bench.medium_wave)))}


def whistling(bench: Bench, lower, upper, f, summed: bool) -> dict:
    """Products that cross the bands: tried one by one, the dial solved for, looked up in band."""
    crossings, made, beats = {}, {}, []
    for name, (low, high) in (("lower", lower), ("upper", upper)):
        backwards = summed and name == "lower"
        a, b = (-1, f) if backwards else (1, -f) if name == "upper" else (1, f)
        # Oscillator = a·signal + b; product σ·(m·O + n·f) = IF solved for the signal.
        for m in range(bench.order + 1):
            for n in range(-bench.order, bench.order + 1):
                for target in (f, -f):
                    slope = m * a + n
                    if slope == 0:
                        continue
                    signal = (target - m * b) / slope
                    if not low <= signal <= high:
                        continue
                    if n and m + abs(n) <= bench.order:
                        level = product_level(bench, m, abs(n))
                        key = name, signal
                        crossings[key] = max(level, crossings.get(key, -math.inf))
        for m in range(1, bench.order + 1):
            for k in range(bench.order + 1 - m):
                for target in (k + 1, k - 1):
                    signal = (target * f / m - b) / a
                    if target > 0 and low <= signal <= high:
                        made.setdefault((name, signal), []).append((m + k, m))
        beats += [k for k in range(2, bench.order + 1) if low <= k * f <= high]
    without = {key: min(rows)[0] for key, rows in made.items() if all(m > 1 for _, m in rows)}
    return {
        "whistle_count": len(crossings), "whistle_db": max(crossings.values(), default=-160.0),
        "self_made_count": len(without), "self_made_order": min(without.values(), default=0),
        "beat_harmonic": min(beats, default=0),
    }


def costs_of(found: dict, spans: float) -> dict:
    """What the front is decided on, lower being better, as the columns define it."""
    return {
        "miss": 0.0 if found["outside"] == 0 else abs(found["shift"]) / found["dial"],
        "oscillator": found["oscillator"], "radiation": found["radiation"] / spans,
        "image_lower": -found["image_lower"], "image_upper": -found["image_upper"],
        "breakthrough": -found["breakthrough"],
        "if_place": 2.0 if found["on_strong"] else 1.0 if found["if_place"] < 50e3 else 0.0,
        "beat_harmonic": 1 / found["beat_harmonic"] if found["beat_harmonic"] else 0.0,
        "whistles": found["whistle_db"],
    }


def beaten(mine: list, others: list) -> bool:
    """Whether any other row of whole steps is nowhere worse and somewhere better."""
    return any(
        all(theirs <= own for theirs, own in zip(other, mine)) and other != mine
        for other in others
    )
