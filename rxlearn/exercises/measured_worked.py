"""The worked example on readings: the practice receiver's dial, or the learner's own."""

from __future__ import annotations

from collections.abc import Iterator

from rxlearn.compute.practice_bench import practise
from rxlearn.compute.quantities import show
from rxlearn.plan.band_spread import OTHER, band_of, built, narrow_band
from rxlearn.plan.document import Plan
from rxlearn.plan.measured import dial_readings, measured_dial
from rxlearn.plan.oscillator_advice import advise


def measured_steps(plan: Plan) -> Iterator[str]:
    """From readings over a fit to what has to be turned; raises Unclear where it stops."""
    band = OTHER[narrow_band(plan)]
    name, planned, found = plan.value(f"{band}.name"), built(plan, band), band_of(plan, band)
    if dial_readings(plan, band):
        fit = measured_dial(plan, band)
        yield f"Your plan holds {len(fit.readings)} readings of {name}."
    else:
        fit = practise(planned, count=7, step=plan.value("measured.dial_step")).fit
        yield (f"Your plan holds no readings of {name} yet, so seven of a practice receiver "
               "stand in.")
    first, last = fit.readings[0], fit.readings[-1]
    yield (f"At {show(round(first.at, 2), '°', digits=4)} the oscillator is at "
           f"{_mhz(first.frequency)}, at {show(round(last.at, 2), '°', digits=4)} at "
           f"{_mhz(last.frequency)}.")
    yield "The fit: " + ", ".join(e.says() for e in fit.estimates.values()) + " (95 %)."
    coil = fit.estimates["coil"]
    off = 100 * (coil.value / planned.inductance - 1)
    yield (f"The plan has {show(planned.inductance, 'H', digits=4)}: the coil is "
           f"{abs(off):.2g} % {'too large' if off > 0 else 'too small'}.")
    network = fit.network
    ends = [float(network.frequency_at(angle)) for angle in (0.0, network.variable.degrees)]
    yield (f"From end to end it therefore covers {_mhz(ends[0])} to {_mhz(ends[1])}; wanted are "
           f"{_mhz(found.oscillator_low)} to {_mhz(found.oscillator_high)}.")
    yield " ".join(advise(plan, {band: fit})[band].sentences)


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", digits=6)
