"""What each column of a frequency choice says about one scheme, as a short text.

Each function takes the scheme (a :class:`~rxlearn.compute.frequency_choice_words.WeighedScheme`),
the choice it stands in and its row, and words numbers that are there already.
"""

from __future__ import annotations

from rxlearn.compute.frequency_choice_verdicts import BESIDE, FAIR, GOOD, POOR, VERDICTS
from rxlearn.compute.quantities import show, show_span
from rxlearn.data.spectrum import BROADCAST

INAUDIBLE_DB = -130.0
"""Whistles below this (dB under the station) are called too weak to be heard (a choice)."""


def in_hz(frequency: float) -> str:
    """A frequency to seven digits."""
    return show(frequency, "Hz", digits=7)


def _kilo(frequency: float) -> str:
    return show(frequency, "Hz", digits=4)


def in_pf(capacitance: float) -> str:
    """A capacitance to three digits."""
    return show(capacitance, "F", digits=3)


def _bands(scheme) -> tuple:
    """The wider band and the narrower one."""
    both = scheme.lower, scheme.upper
    return both if scheme.plan.wider == "lower" else both[::-1]


def _miss(scheme, choice, row) -> str:
    wide, narrow = _bands(scheme)
    shift = scheme.plan.centre_shift
    apart = f"the middles lie {_kilo(abs(shift))} apart"
    if scheme.plan.outside <= 1e-3:
        return f"{narrow.name} lies on the {wide.name} dial as it stands, though {apart}"
    return f"{apart} and {_kilo(scheme.plan.outside)} of {narrow.name} lie beyond the dial"


def _capacitor(scheme, choice, row) -> str:
    shift = scheme.plan.centre_shift
    if not shift:
        return "no capacitor need be switched"
    on = scheme.upper if shift < 0 else scheme.lower
    share = choice.costs["capacitor"][row]
    size = in_pf(choice.values["capacitor"][row])
    return (f"{size}, {100 * share:.1f} % of the tank, is switched in on {on.name} to bring the "
            "middles together")


def _coil(scheme, choice, row) -> str:
    coil = show(choice.values["coil"][row], "H", digits=3)
    swing = in_pf(choice.at_hand.capacitance_swing)
    text = f"a swing of {swing} over the dial wants a coil of {coil}"
    verdict = VERDICTS[choice.verdicts["coil"][row]]
    if verdict == GOOD:
        return text
    degree = "rather" if verdict == FAIR else "too"
    if choice.values["coil"][row] < 1e-6:
        return f"{text}, {degree} little: spread the band with less swing"
    return f"{text}, {degree} much: take more swing"


def _share(scheme, choice, row) -> str:
    wide, narrow = _bands(scheme)
    share = choice.values["share"][row]
    if share > 1.001:
        return f"{narrow.name} wants a dial {100 * (share - 1):.0f} % wider than {wide.name}'s own"
    return (f"{narrow.name} fills {100 * share:.0f} % of the dial, as {wide.name} is "
            f"{wide.width / narrow.width:.1f} times as wide; a dial laid out for {narrow.name} "
            f"would show only {_kilo(narrow.width)} of {wide.name}")


def _oscillator(scheme, choice, row) -> str:
    plan = scheme.plan
    return f"the oscillator runs from {show_span(plan.dial_low, plan.dial_high, 'Hz', digits=7)}"


def _radiation(scheme, choice, row) -> str:
    if not scheme.plan.radiation:
        return "the oscillator keeps out of the amateur bands"
    named = {"lower": scheme.lower.name, "upper": scheme.upper.name}
    return " and ".join(
        f"the oscillator crosses {item.crossed.name} while "
        f"{show_span(item.signal_low, item.signal_high, 'Hz', digits=7)} of "
        f"{named[item.tuned_band]} is tuned"
        for item in scheme.plan.radiation
    )


def _radiated_harmonic(scheme, choice, row) -> str:
    order = int(choice.values["radiated_harmonic"][row])
    if not order:
        return "neither harmonic 2 nor 3 of the oscillator meets an amateur band"
    return f"harmonic {order} of the oscillator meets an amateur band"


def _image(key):
    def text(scheme, choice, row) -> str:
        band = scheme.lower if key == "image_lower" else scheme.upper
        return (f"the image is {choice.values[key][row]:.0f} dB down at worst on {band.name}")
    return text


def _breakthrough(scheme, choice, row) -> str:
    frequency = scheme.crystal.frequency
    gaps = []
    for band in (scheme.lower, scheme.upper):
        edge = min((band.low, band.high), key=lambda edge: abs(edge - frequency))
        gaps.append((abs(edge - frequency), "below" if frequency < edge else "above", band.name))
    gap, side, name = min(gaps)
    only = "only " if choice.verdicts["breakthrough"][row] == VERDICTS.index(POOR) else ""
    return (f"a signal on the IF, {_kilo(gap)} {side} {name}, is {only}"
            f"{choice.values['breakthrough'][row]:.1f} dB down at worst")


def _if_place(scheme, choice, row) -> str:
    there = choice.neighbours[choice.found["neighbour"][row]]
    distance = choice.values["if_place"][row]
    if distance == 0:
        names = dict.fromkeys(
            f"{item.name} ({item.note})" if item.service == BROADCAST and item.note else item.name
            for item in scheme.plan.on_intermediate_frequency
        )
        on_edge = there.low < there.high and scheme.crystal.frequency in (there.low, there.high)
        return f"the IF lies {'at the edge of' if on_edge else 'on'} {' and '.join(names)}"
    side = "below" if distance > 0 else "above"
    near = "only " if abs(distance) < BESIDE else ""
    return f"the IF lies {near}{_kilo(abs(distance))} {side} {there.name}"


def _medium_wave(scheme, choice, row) -> str:
    distance = choice.values["medium_wave"][row]
    if distance == 0:
        return "the IF lies in the medium-wave broadcast band"
    return f"the IF lies {_kilo(distance)} from the medium-wave broadcast band"


def _beat_harmonic(scheme, choice, row) -> str:
    if not choice.values["beat_harmonic"][row]:
        return f"no harmonic of the IF up to {choice.at_hand.order} falls in either band"
    frequency = scheme.crystal.frequency
    found = [
        f"{order} × {in_hz(frequency)} = {in_hz(order * frequency)} falls in {band.name}"
        for order in range(2, choice.at_hand.order + 1)
        for band in (scheme.lower, scheme.upper)
        if band.low <= order * frequency <= band.high
    ]
    return " and ".join(found)


def _whistles(scheme, choice, row) -> str:
    heard = [
        (item, band)
        for items, band in ((scheme.whistles_lower, scheme.lower),
                            (scheme.whistles_upper, scheme.upper))
        for item in items if not item.self_made
    ]
    if not heard:
        return f"no product up to order {choice.at_hand.order} crosses either band"
    item, band = max(heard, key=lambda pair: (pair[0].level_db, -pair[0].order))
    more = f", the strongest of {len(heard)}" if len(heard) > 1 else ""
    down = (f"{-item.level_db:.0f} dB down" if item.level_db > INAUDIBLE_DB
            else "too weak to be heard")
    return f"a station on {in_hz(item.signal)} in {band.name} whistles by {item.name}, {down}{more}"


def _self_made(scheme, choice, row) -> str:
    order = int(choice.values["self_made"][row])
    if not order:
        return f"no harmonics of both oscillators meet in band up to order {choice.at_hand.order}"
    item, band = next(
        (item, band)
        for items, band in ((scheme.whistles_lower, scheme.lower),
                            (scheme.whistles_upper, scheme.upper))
        for item in items
        if item.self_made and item.oscillator_order > 1 and item.order == order
    )
    return f"on {in_hz(item.signal)} in {band.name} the set whistles by itself: {item.name}"


def _sideband(scheme, choice, row) -> str:
    if choice.values["sideband"][row]:
        return "one band comes out with its sideband inverted, so the beat oscillator changes sides"
    return "the beat oscillator keeps its side on both bands"


def _direction(scheme, choice, row) -> str:
    if choice.values["direction"][row]:
        return f"the dial of {scheme.lower.name} runs backwards"
    return "both dials run the same way"


TEXTS = {
    "miss": _miss, "capacitor": _capacitor, "coil": _coil, "share": _share,
    "oscillator": _oscillator, "radiation": _radiation, "radiated_harmonic": _radiated_harmonic,
    "image_lower": _image("image_lower"), "image_upper": _image("image_upper"),
    "breakthrough": _breakthrough, "if_place": _if_place, "medium_wave": _medium_wave,
    "beat_harmonic": _beat_harmonic, "whistles": _whistles, "self_made": _self_made,
    "sideband": _sideband, "direction": _direction,
}
"""Column key to the function that words it."""
