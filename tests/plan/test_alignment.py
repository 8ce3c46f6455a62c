"""First power and alignment: in order, each step with what the plan expects."""

import math
import re

import pytest

from rxlearn.compute.quantities import Unclear, parse
from rxlearn.plan.alignment import (
    alignment_steps,
    can_be_aligned,
    first_power_steps,
    rise_for_one_per_cent,
)
from rxlearn.plan.band_spread import built
from rxlearn.plan.document import Change, Plan


def changed(**values):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=value, status="wished", origin="test")
        for key, value in values.items()
    })


def expected(steps, *words):
    """What is expected at the steps whose text holds all ``words``."""
    return [step.expect for step in steps if all(word in step.text for word in words)]


def test_the_demo_s_readings_are_the_scenario_s():
    steps = alignment_steps(Plan.demo())
    # DERIVED: the filter's middle ± 1.5 kHz, the side by the sideband's inversion: 80 m with the
    # oscillator above comes out inverted.
    plus, minus = (expected(steps, f"“{mark}”: ")[0] for mark in "+−")
    assert parse(plus, "Hz") - parse(minus, "Hz") == pytest.approx(3e3, abs=1.0)
    assert any("“+”: upper sideband on 80 m, lower sideband on 30 m" in step.text for step in steps)
    middle = (parse(plus, "Hz") + parse(minus, "Hz")) / 2
    # Crystals pass above their series resonance (any text on ladder filters), below the parallel one.
    assert 3.2768e6 < middle < 3.2768e6 + 6e3
    # Then the oscillator's range, whose low end the demo's coil reaches to its four digits.
    readings = [parse(reading, "Hz") for reading in (
        *expected(steps, "80 m", "capacitor fully"), *expected(steps, "30 m", "fully meshed, counter"))]
    assert readings == pytest.approx([6.7768e6, 7.2768e6, 6.8232e6], rel=3e-4, abs=0)
    # DERIVED: 10.1 and 10.15 MHz less 3.2768 MHz.
    assert expected(steps, "30 m", "capacitor fully open") == [
        "span at least 50 kHz; 6.8232 MHz and 6.8732 MHz both on the dial"]


def test_without_crystals_the_beat_oscillator_stands_round_the_intermediate_frequency():
    rows = tuple(row for row in Plan.demo().value("stages.list") if row[0] != "filter")
    steps = alignment_steps(changed(stages__list=rows))
    assert expected(steps, "“+”: ") == ["3.2783 MHz"] and expected(steps, "“−”: ") == ["3.2753 MHz"]
    assert not expected(steps, "has halved")


def test_what_later_steps_build_on_comes_first():
    texts = [step.text for step in alignment_steps(Plan.demo())]
    firsts = [next(n for n, text in enumerate(texts) if word in text)
              for word in ("Voltages at the valves", "beat oscillator's coil", "transformer's coils",
                           "the oscillator's coil", "parallel trimmer; leave", "preselector's capacitor",
                           "Calibrate the dial")]
    assert firsts == sorted(firsts)


@pytest.mark.parametrize("kind, turned, not_turned", [
    ("air", "end turns of", "the core of"), ("slug", "turn the core of", "end turns"),
    ("T50-6", "turns on the ring of", "the core of"),
])
def test_only_what_a_coil_has_is_turned(kind, turned, not_turned):
    """Common practice, no source: an air coil has no core, and nothing on a ring can be turned."""
    for coil, words in (("oscillator_coil", "the oscillator's coil"), ("lower_coil", "this band's coil"),
                        ("beat_coil", "the beat oscillator's coil")):
        texts = [step.text for step in alignment_steps(changed(**{f"{coil}__kind": kind}))
                 if words in step.text]
        assert texts and turned in texts[0] and not_turned not in texts[0]
        assert (kind == "slug") or "plug out, discharged" in texts[0]
    assert not any("sideband switch" in step.text for step in alignment_steps(Plan.demo()))


def test_a_transformer_without_cores_is_peaked_by_its_trimmers():
    steps = alignment_steps(changed(transformer_coil__kind="T50-2"))
    assert expected(steps, "trimmer across each of the transformer's coils")


def test_every_reading_says_how_near_and_each_band_has_five_places_of_the_dial():
    steps = alignment_steps(Plan.demo())
    for step in steps:
        if step.expect.endswith("Hz"):
            assert step.near.startswith("± ") and step.near in step.wanted
    for name in ("80 m", "30 m"):
        angles = [float(step.text.split("shaft ")[1].split()[0]) for step in steps
                  if f"{name}, shaft" in step.text]
        assert angles == [0.0, 45.0, 90.0, 135.0, 180.0]


def test_a_narrow_band_that_falls_off_its_dial_does_not_pass():
    """What holds is the span, not the open end: 12 pF for 12.2 leave less than the band, and no
    reading of the open end alone tells."""
    plan = changed(band_spread__series=12e-12, band_spread__parallel=273.6e-12)
    network = built(plan, "upper_band")
    assert network.frequency_at(180.0) - network.frequency_at(0.0) < 50e3
    hold = next(step for step in alignment_steps(plan) if "30 m, capacitor fully open" in step.text)
    assert hold.hold and "at least 50 kHz" in hold.expect and not hold.near
    assert "larger series capacitor" in hold.why


def farads(hertz, henries):
    return 1 / ((2 * math.pi * hertz) ** 2 * henries)


def hertz(capacitance, henries):
    return 1 / (2 * math.pi * math.sqrt(henries * capacitance))


def test_the_paper_rule_sets_the_span_right():
    """A coil 2 % too large, its open end set by the trimmer, as the steps have it: then once the
    rule.  DERIVED: f = 1/(2π√(LC)), with the variable's swing a constant number of farads.
    """
    network = built(Plan.demo(), "lower_band")
    coil = 1.02 * network.inductance
    low, high = (float(network.frequency_at(angle)) for angle in (0.0, 180.0))
    swing = farads(low, network.inductance) - farads(high, network.inductance)
    least = farads(high, coil)
    meshed = hertz(least + swing, coil)
    wide = (high - meshed) / (high - low) - 1
    assert wide > 0.01
    rise = rise_for_one_per_cent(network) * 100 * wide
    mended = coil * (meshed / (meshed + rise)) ** 2
    again = hertz(farads(low, mended) - swing, mended)
    assert again - low == pytest.approx(high - low, rel=2e-3)
    said = next(step.text for step in alignment_steps(Plan.demo()) if "80 m, capacitor fully open" in step.text)
    assert "For each 5 kHz (1 %) that it is above 500 kHz" in said


@pytest.mark.parametrize("values", [{}, {"preselector__circuits": 2}, {"upper_coil__capacitance": 150e-12}])
def test_the_preselector_peaks_where_its_drawn_parts_put_it(values):
    """DERIVED: mid-band's capacitance times the square of the frequencies' ratio, less half of a
    30 pF trimmer and 15 pF of strays."""
    plan = changed(**values)
    for band, low, high in (("lower", 3.5e6, 4e6), ("upper", 10.1e6, 10.15e6)):
        step = next(step for step in alignment_steps(plan) if "trimmer half in" in step.text
                    and plan.value(f"{band}_band.name") in step.text)
        most = 1.5 * max(plan.value("lower_coil.capacitance"), plan.value("upper_coil.capacitance"))
        shares = [float(found) for found in re.findall(r"(-?\d+) %", step.expect)]
        for edge, share in zip((low, high), shares, strict=True):
            own = plan.value(f"{band}_coil.capacitance") * low * high / edge**2 - 30e-12
            assert share == pytest.approx(100 * (own / most - 0.05) / 0.95, abs=0.6)
        assert "As planned" not in step.text
        assert ("second circuit's trimmer" in step.text) == ("preselector__circuits" in values)


def test_a_preselector_that_falls_off_its_variable_says_so_before_it_is_wound():
    steps = alignment_steps(changed(upper_coil__capacitance=30e-12))
    assert sum("As planned an edge lies beyond its travel" in step.text for step in steps) == 1


@pytest.mark.parametrize("values", [
    {"lower_band__low": 14.0e6, "lower_band__high": 14.35e6, "upper_band__low": 18.068e6,
     "upper_band__high": 18.168e6, "intermediate_frequency": 2.0e6,
     "oscillator__inductance": 0.5e-6},
    {"lower_band__low": 1.8e6, "lower_band__high": 2.0e6, "intermediate_frequency": 4.096e6},
])
def test_another_pair_is_aligned_to_its_own_frequencies(values):
    plan = changed(**values, band_spread__parallel=0.0, band_spread__series=0.0)
    readings = [parse(one, "Hz") for step in expected(alignment_steps(plan), "capacitor fully")
                for one in re.findall(r"[\d.]+ MHz", step)]
    shift = plan.value("intermediate_frequency")
    # DERIVED: oscillator = signal + IF on the high side, signal - IF on the low side; what can be
    # bought for the series capacitors leaves some of a percent.
    wanted = {plan.value("lower_band.low") + shift, plan.value("lower_band.high") + shift,
              plan.value("upper_band.low") - shift, plan.value("upper_band.high") - shift}
    for one in wanted:
        assert min(abs(reading / one - 1) for reading in readings) < 2e-3


def test_first_power_waits_at_every_step_that_could_kill():
    steps = first_power_steps(Plan.demo())
    assert sum(step.hold for step in steps) >= 6 and all(step.expect for step in steps)
    # Hands only where the plug is out.
    for step in steps:
        if any(word in step.text for word in ("Clip the meter", "clip the meter", "clipped")):
            assert "plug out" in step.text.lower() or "stands back" in step.text
    assert "50 V" in steps[1].expect and any("to 50 V" in step.text for step in steps)
    # Common practice, no source: what was under power is discharged and measured before hands go in.
    under_power = False
    for step in steps:
        hands = any(word in step.text for word in ("clip the meter", "the valves", "feel"))
        if under_power and hands:
            start = step.text.lower()
            assert start.index("plug out") < start.index("discharge") < start.index("measure")
        under_power = under_power or "plug in" in step.text
    assert under_power


def test_the_heaters_are_read_without_the_lamp_whose_watts_are_said():
    texts = [step.text for step in first_power_steps(Plan.demo())]
    # DERIVED, P = U I: 25 W and 60 W at 120 V are 0.208 A and 0.5 A.
    assert expected(first_power_steps(Plan.demo()), "25 W to 60 W", "208 mA to 500 mA at the most")
    assert expected(first_power_steps(changed(supply__mains_voltage=230.0)), "for 230 V", "109 mA to 261 mA")
    heaters = next(n for n, text in enumerate(texts) if "heater winding" in text)
    assert heaters > next(n for n, text in enumerate(texts) if "Without the limit" in text)


def test_a_plan_that_cannot_work_says_why():
    plan = changed(oscillator__inductance=50e-6)
    with pytest.raises(Unclear):
        alignment_steps(plan)
    assert can_be_aligned(plan).endswith(".") and can_be_aligned(Plan.demo()) == ""
