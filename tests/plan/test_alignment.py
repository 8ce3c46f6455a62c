"""First power and alignment: in order, each step with what the plan expects."""

import pytest

from rxlearn.compute.quantities import Unclear, parse
from rxlearn.plan.alignment import alignment_steps, can_be_aligned, first_power_steps
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
    readings = [parse(reading, "Hz") for word in ("80 m", "30 m")
                for reading in expected(steps, word, "capacitor fully")]
    assert readings == pytest.approx([6.7768e6, 7.2768e6, 6.8232e6, 6.8732e6], rel=3e-4, abs=0)


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


def test_what_is_built_lies_within_what_is_expected():
    """The narrower band's readings are those of the capacitor that is bought, 12 pF for 12.2, so
    that building as printed passes the hold."""
    steps = alignment_steps(changed(band_spread__series=12e-12, band_spread__parallel=273.6e-12))
    low, high = (parse(one, "Hz") for one in expected(steps, "30 m", "capacitor fully"))
    assert 45e3 < high - low < 50e3


@pytest.mark.parametrize("values", [
    {"lower_band__low": 14.0e6, "lower_band__high": 14.35e6, "upper_band__low": 18.068e6,
     "upper_band__high": 18.168e6, "intermediate_frequency": 2.0e6,
     "oscillator__inductance": 0.5e-6},
    {"lower_band__low": 1.8e6, "lower_band__high": 2.0e6, "intermediate_frequency": 4.096e6},
])
def test_another_pair_is_aligned_to_its_own_frequencies(values):
    plan = changed(**values, band_spread__parallel=0.0, band_spread__series=0.0)
    readings = [parse(one, "Hz") for one in expected(alignment_steps(plan), "capacitor fully")]
    shift = plan.value("intermediate_frequency")
    # DERIVED: oscillator = signal + IF on the high side, signal - IF on the low side; what can be
    # bought for the series capacitors leaves some of a percent.
    wanted = {plan.value("lower_band.low") + shift, plan.value("lower_band.high") + shift,
              plan.value("upper_band.low") - shift, plan.value("upper_band.high") - shift}
    assert sorted(readings) == pytest.approx(sorted(wanted), rel=2e-3, abs=0)


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
