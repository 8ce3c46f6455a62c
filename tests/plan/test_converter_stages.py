"""A plan with a third band gets a converter everywhere; one without stays as it was."""

import math

import pytest

from rxlearn.compute.block_diagram import follow_blocks
from rxlearn.compute.stages import CONVERTER_STAGES
from rxlearn.plan.alignment import alignment_steps
from rxlearn.plan.circuits import circuits_in
from rxlearn.plan.converter_coils import converter_cards
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.parts import uses_of
from rxlearn.plan.stages import STAGES, currents_of, receiver_of, stages_of


def planned(**changes):
    return Plan.demo().changed({key.replace("__", "."): Change(
        value=value, status="wished", origin="test") for key, value in changes.items()})


THIRD = planned(third_band__wanted="yes")


def converter_in(plan):
    return [stage for stage in stages_of(plan) if stage.function in CONVERTER_STAGES]


def test_a_plan_without_a_third_band_is_as_it_was():
    assert not converter_in(Plan.demo()) and not converter_cards(Plan.demo())
    assert not set(circuits_in(Plan.demo())) & set(CONVERTER_STAGES)
    assert receiver_of(Plan.demo()).third is None
    assert not any("onverter" in step.text for step in alignment_steps(Plan.demo()))


def test_its_currents_count():
    # RCA receiving-tube manuals (from memory): 6BE6 0.3 A, 9.7 mA; 6C4 0.15 A; and the 4 mA chosen.
    before, after = currents_of(Plan.demo()), currents_of(THIRD)
    assert after.heaters - before.heaters == pytest.approx(0.45)
    assert after.supply - before.supply == pytest.approx(13.7e-3)


def test_who_lists_a_converter_keeps_it():
    rows = (*Plan.demo().value(STAGES), ("converter", "V7 6SA7", 0.3, 12e-3, None, None))
    plan = planned(third_band__wanted="yes", stages__list=rows)
    assert [stage.device for stage in converter_in(plan)] == ["V7 6SA7"]
    assert "crystal_oscillator" not in circuits_in(plan) and "converter" in circuits_in(plan)


def test_a_converter_that_cannot_work_is_not_built():
    # A crystal far off: nothing of the band lands on the main dial.
    plan = planned(third_band__wanted="yes", converter__crystal=50e6)
    assert not converter_in(plan) and not converter_cards(plan)
    # Nor is its crystal listed: nobody should buy one for a converter that is not built.
    assert not any("converter" in use.where for use in uses_of(plan))


def test_its_parts_are_listed_once():
    uses = uses_of(THIRD)
    assert sum(use.amount == 14.31818e6 for use in uses) == 1
    switches = [use for use in uses if use.what == "converter switch"]
    assert [use.value for use in switches] == ["two positions, three poles"]
    # 47 pF from crystal oscillator to mixer is drawn in both circuits.
    assert [use.where for use in uses if use.value == "47 pF" and "converter" in use.where] == [
        "converter's input circuits C1", "converter's crystal oscillator C4"]
    assert {"6BE6", "6C4"} <= {use.value for use in uses if use.what == "valve"}
    cores = [use for use in uses if use.kind == "coil" and "converter" in use.where]
    assert len(cores) == 2 and all(use.value.startswith("ring core") for use in cores)


@pytest.mark.parametrize("circuits", [1, 2, 3])
def test_each_input_circuit_has_its_parts(circuits):
    uses = uses_of(planned(third_band__wanted="yes", converter__circuits=circuits))
    found = [use for use in uses if use.where.startswith("converter's input circuits")]
    assert sum(use.count for use in found if use.kind == "trimmer") == circuits
    assert sum(use.count for use in uses if use.where.startswith("converter's input coil")) == circuits


def test_its_coils_can_be_wound():
    # The trade's rule, from memory: L = A_L N², A_L of T50-6 and T50-2 4.0 nH and 4.9 nH.
    # 18.07 MHz and 3.80 MHz in the middle; 56 pF and 100 pF by the circuits.
    wanted = [1 / ((2 * math.pi * f) ** 2 * c) for f, c in ((18.118e6, 56e-12), (3.8e6, 100e-12))]
    factors = {"T50-6": 4.0e-9, "T50-2": 4.9e-9, "T68-2": 5.7e-9}
    for card, henries in zip(converter_cards(THIRD), wanted, strict=True):
        assert card.way.wanted == pytest.approx(henries, rel=2e-3, abs=0)
        factor = factors[card.on.removeprefix("ring core ")]
        turns = math.sqrt(henries / factor)
        assert abs(card.way.turns - turns) < 0.6 and not card.problem
        assert dict(card.lines)["winding"].startswith(f"{card.way.turns} turns")


def test_the_steps_expect_what_arithmetic_says():
    # By hand, crystal 14.31818 MHz: 18.068 and 18.168 MHz less it; image 2 × 14.31818 - 18.11793.
    steps = {step.text: step.expect for step in alignment_steps(THIRD)}
    crystal = next(expect for text, expect in steps.items() if "crystal oscillator" in text)
    edges = next(expect for text, expect in steps.items() if "18.068 MHz" in text)
    assert crystal == "14.31818 MHz" and edges == "3.74982 MHz and 3.84982 MHz on the main dial"
    assert any("10.51843 MHz" in text and "image" in text for text in steps)
    assert "nothing, while its heaters glow" in steps.values()


def test_the_block_diagram_has_it_at_each_place_of_the_dial():
    receiver = receiver_of(THIRD)
    found = follow_blocks(receiver, band=0, share=25.0, aerial_dbm=-73.0, place="rural")
    signal, reading = found.receiver.third.at(found.share)
    assert signal == pytest.approx(18.093e6, rel=1e-9, abs=0)
    assert reading == pytest.approx(18.093e6 - 14.31818e6, rel=1e-9, abs=0)
