"""What follows from a plan, checked by arithmetic written out here."""

import math
from types import MappingProxyType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.block_diagram import follow_blocks
from rxlearn.plan.alignment import alignment_steps
from rxlearn.plan.consequences import compare, derive
from rxlearn.plan.document import Change, Entry, Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.stages import followed, receiver_of


def changed(**values):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=at, status="wished", origin="a test")
        for key, at in values.items()
    })


def unchecked(values):
    """A plan that no rule has seen."""
    demo = Plan.demo()
    entries = {
        key: Entry(
            value=values.get(key, demo.value(key)), unit=row.unit, status="wished", origin="x"
        )
        for key, row in FIELDS.items()
    }
    return Plan(MappingProxyType(entries))


def rejection_db(frequency, centre, loaded_q, circuits=1):
    """DERIVED from the impedance of a parallel circuit: 20·n·lg √(1 + Q²(f/f₀ − f₀/f)²)."""
    detuning = frequency / centre - centre / frequency
    return 20 * circuits * math.log10(math.hypot(1, loaded_q * detuning))


def test_the_demo_plan_says_what_arithmetic_says():
    """DERIVED: high side f + IF, low side f − IF, image a further IF away (definitions)."""
    found = derive(Plan.demo())
    text = {label: row.text for label, row in found.items()}
    assert text["Lower band, oscillator"] == "6.7768 to 7.2768 MHz"
    assert text["Upper band, oscillator"] == "6.8232 to 6.8732 MHz"
    assert text["Lower band, image"] == "10.0536 to 10.5536 MHz"
    assert text["Upper band, image"] == "3.5464 to 3.5964 MHz"
    assert text["Intermediate frequency at which the bands meet"] == "3.1875 MHz"
    assert text["Dial, share of the upper band"] == "10 %"
    assert text["Lower band, sideband"] == "comes out inverted"
    assert text["Upper band, sideband"] == "comes out upright"
    assert "40 m while 3.7232 to 4 MHz is tuned" in text[
        "Amateur bands that the oscillator crosses"]
    assert all(row.possible for row in found.values())


def test_the_beat_oscillator_stands_beside_what_the_filter_passes():
    """DERIVED: upper sideband 1.5 kHz above the filter's middle where inverted, below where
    upright.  Crystals pass above their series resonance (any text on ladder filters)."""
    labels = [f"{band} band, beat oscillator for an upper sideband" for band in ("Lower", "Upper")]
    above, below = (derive(Plan.demo())[label].value for label in labels)
    assert above - below == pytest.approx(3e3, rel=1e-6, abs=0)
    assert 3.2768e6 < (above + below) / 2 < 3.2768e6 + 6e3
    marks = [step.expect for step in alignment_steps(Plan.demo()) if "mark the knob" in step.text]
    assert [derive(Plan.demo())[label].text for label in labels] == marks
    at = [followed(Plan.demo(), band).beat for band in ("lower_band", "upper_band")]
    blocks = follow_blocks(receiver_of(Plan.demo()), band=0, share=50.0, aerial_dbm=-73.0,
                           place="residential")
    assert [one.beat for one in blocks.followed] == at == [above, below]
    bare = changed(stages__list=tuple(
        row for row in Plan.demo().value("stages.list") if row[0] != "filter"))
    assert [derive(bare)[label].text for label in labels] == ["3.2783 MHz", "3.2753 MHz"]


def test_the_demo_plans_numbers_follow_from_the_definitions():
    found = {label: row.value for label, row in derive(Plan.demo()).items()}
    shift = (10.125e6 - 3.2768e6) - (3.75e6 + 3.2768e6)
    assert found["Upper band's oscillator centre above the lower band's"] == pytest.approx(shift, rel=1e-6, abs=0)
    assert found["Intermediate frequency, miss"] == pytest.approx(3.2768e6 - 3.1875e6, rel=1e-6, abs=0)
    assert found["Lower band, image rejection at the worse edge"] == pytest.approx(
        rejection_db(4.0e6 + 2 * 3.2768e6, 4.0e6, 50), rel=1e-6, abs=0)
    assert found[
        "Lower band, rejection of a signal on the intermediate frequency at the worse edge"
    ] == pytest.approx(rejection_db(3.2768e6, 3.5e6, 50), rel=1e-6, abs=0)
    # DERIVED from f = 1/(2π√(LC)): L = (1/ω₁² − 1/ω₂²)/ΔC.
    low, high = (2 * math.pi * at for at in (6.7768e6, 7.2768e6))
    coil = (1 / low**2 - 1 / high**2) / 40e-12
    assert found["Coil that your swing asks for"] == pytest.approx(coil, rel=1e-6, abs=0)
    # The demo plan's own coil is that one, rounded to what a hand can wind.
    assert Plan.demo().value("oscillator.inductance") == pytest.approx(coil, rel=2e-3, abs=0)


def test_recentring_with_the_capacitor_that_is_asked_for_leaves_nothing():
    # DERIVED from the resonance formula, at the middles of both oscillator ranges.
    def capacitance(frequency):
        return 1 / ((2 * math.pi * frequency) ** 2 * 1.83e-6)

    fitted = capacitance(6.8482e6) - capacitance(7.0268e6)
    label = "Narrower band's middle off the dial's with your recentring capacitor"
    assert derive(Plan.demo())["Recentring capacitor wanted"].text.startswith(
        f"{fitted * 1e12:.1f} pF, switched in on the upper band")
    found = derive(changed(recentring__capacitance=fitted))
    assert found[label].value == pytest.approx(0, abs=1e-3)
    assert derive(Plan.demo())[label].value == pytest.approx(-178.6e3, rel=1e-6, abs=0)


def test_a_capacitor_on_the_lower_band_recentres_the_other_way():
    """160 m and 30 m with a 4.096 MHz crystal: the upper band's oscillator lies 33 kHz higher."""
    pair = dict(lower_band__low=1.8e6, lower_band__high=2.0e6, intermediate_frequency=4.096e6)
    found = derive(changed(**pair))
    shift = found["Upper band's oscillator centre above the lower band's"].value
    assert shift == pytest.approx(33e3, rel=1e-6, abs=0)
    assert found["Recentring capacitor wanted"].text.endswith("switched in on the lower band")
    def capacitance(frequency):
        return 1 / ((2 * math.pi * frequency) ** 2 * 1.83e-6)
    fitted = capacitance(5.996e6) - capacitance(6.029e6)
    label = "Narrower band's middle off the dial's with your recentring capacitor"
    left = derive(changed(**pair, recentring__capacitance=fitted))[label].value
    assert left == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize("values", [
    {"intermediate_frequency": 3.7e6}, {"intermediate_frequency": 20e6},
    {"lower_band.low": 5e6}, {"upper_band.low": 1e6, "upper_band.high": 2e6},
    {"lower_band.injection": "low", "upper_band.injection": "high"},
    {"oscillator.inductance": 10e-3}, {"oscillator.inductance": 10e-9},
    {"lower_band.low": 10.1e6, "lower_band.high": 10.15e6},
])
def test_a_scheme_that_cannot_work_gives_reasons_in_words(values):
    found = derive(unchecked(values))
    reasons = [row for row in found.values() if not row.possible]
    if "oscillator.inductance" not in values or values["oscillator.inductance"] > 1e-6:
        assert reasons
    for row in reasons:
        assert row.value is None and len(row.text) > 20 and row.text.endswith(".")
    assert list(found) == list(derive(Plan.demo()))


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_any_plan_derives_even_one_that_no_rule_has_seen(data):
    values = {}
    for key, row in FIELDS.items():
        if row.kind == "quantity":
            values[key] = data.draw(st.floats(row.range.low, row.range.high), label=key)
        elif row.kind == "choice":
            values[key] = data.draw(st.sampled_from(list(row.choices)), label=key)
    for row in derive(unchecked(values)).values():
        assert row.text and "\n" not in row.text and "nan" not in row.text.lower().split()


def test_a_change_shows_what_it_alters_and_what_changes_with_it():
    differences = compare(Plan.demo(), changed(preselector__circuits=2))
    assert [(row.label, row.before, row.after) for row in differences if row.direct] == [
        ("Preselector, tuned circuits", "1", "2")]
    # Two isolated circuits reject twice as many decibels (DERIVED: responses multiply).
    follows = {row.label: row for row in differences if not row.direct}
    assert set(follows) == {
        f"{band} band, {what} at the worse edge"
        for band in ("Lower", "Upper")
        for what in ("image rejection", "rejection of a signal on the intermediate frequency")
    } | {f"{band} band, strongest unwanted response, mid-band" for band in ("Lower", "Upper")} | {
        "Parts, still to find", "Parts, money",
        # The second circuit takes half of the power: 3 dB less for all that follow.
        "Stages, gain from aerial to output valve", "Stages, own noise figure",
        "Stages, overload before the detector from"}
    worst = follows["Lower band, image rejection at the worse edge"]
    once = rejection_db(4.0e6 + 2 * 3.2768e6, 4.0e6, 50)
    assert (worst.before, worst.after) == (f"{once:.1f} dB", f"{2 * once:.1f} dB")


def test_a_change_of_status_alone_is_a_difference():
    before = Plan.demo()
    after = before.changed({"intermediate_frequency": Change(
        value=3.2768e6, status="measured", origin="counter")})
    [only] = compare(before, after)
    assert (only.before, only.after) == ("3.2768 MHz (wished)", "3.2768 MHz (measured)")
    assert compare(before, before) == []


def test_a_name_carries_nothing_with_it():
    [only] = compare(Plan.demo(), changed(receiver__name="<b>mine</b>"))
    assert only.direct and only.after == "<b>mine</b>"
