"""The stages on the bench: any plan, covered voltages, diagrams that change, faults that are found."""

import re

import pytest

from rxlearn import bench
from rxlearn.bench.fault_finding import KEY, FaultPanel
from rxlearn.bench.panel import Stray
from rxlearn.data.cautions import COVERED, SAFETY_LIST
from rxlearn.exercises.worked_examples import worked_steps
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.fields import FIELDS
from rxlearn.plan.stages import STAGES
from rxlearn.store import desk as shelf
from tests.voltages import volts_in
from tests.workbench import settings_of

FIGURES = ("stage_currents", "block_diagram", "circuit_diagrams", "meter_readings")
FOLLOWED = ("block_diagram", "circuit_diagrams")
"""Figures that follow a signal."""


def pair(low, high, intermediate, sides=("high", "low")):
    return {"lower_band.low": low[0], "lower_band.high": low[1], "upper_band.low": high[0],
            "upper_band.high": high[1], "intermediate_frequency": intermediate,
            "lower_band.injection": sides[0], "upper_band.injection": sides[1]}


PLANS = {
    "demo": {},
    "20 m, 17 m": pair((14.0e6, 14.35e6), (18.068e6, 18.168e6), 2.0e6),
    "160 m, 30 m": pair((1.8e6, 2.0e6), (10.1e6, 10.15e6), 4.096e6),
    "17 m, 10 m": pair((18.068e6, 18.168e6), (28.0e6, 29.7e6), 5.0e6),
    "80 m, 12 m": pair((3.5e6, 4.0e6), (24.89e6, 24.99e6), 10.7e6),
    "no shared oscillator": pair((3.5e6, 4.0e6), (28.0e6, 29.7e6), 0.455e6),
    "two circuits, long names": {"preselector.circuits": 2, "lower_band.name": "the evening band",
                                 "band_spread.series": 9.4e-12, "recentring.capacitance": 15e-12},
    "own stages": {STAGES: FIELDS[STAGES].read(
        "preselector | coil\nsignal_amplifier | V0 EF93 | 0.3 A | 15.2 mA | 20 dB\n"
        "mixer | V1 6SA7 | 0.3 A | 12 mA | 7 dB\noscillator | V2 6C4 | 150 mA | 8 mA\n"
        "intermediate_amplifier | V3 something odd | 0.3 A | 9 mA | 40 dB\n"
        "detector | diode | | | -6 dB\naudio_amplifier | V4 ECC83 | 0.3 A | 1 mA | 34 dB\n"
        "output | V5 6V6GT | 0.45 A | 49.5 mA | 24 dB")},
    "no stages": {STAGES: ()},
}


@pytest.mark.parametrize("changes", PLANS.values(), ids=PLANS)
@pytest.mark.parametrize("name", FIGURES)
def test_every_setting_of_every_plan_says_something(planned, name, changes):
    figure = planned(name, changes)
    for statement in SAFETY_LIST:
        figure.desk.tick(statement.key)
    for setting in settings_of(figure, drawn=3):
        figure.turn(**setting)
        assert not re.search(r"\bnan\b|\binf\b|None", figure.sentence + figure.explanation)
        assert re.search(r"\d", figure.sentence) and figure.sentence.endswith(".")
    figure.close()


@pytest.mark.parametrize("name", FOLLOWED)
def test_a_plan_that_cannot_be_followed_gives_way_to_the_demo_in_words(planned, name):
    figure = planned(name, {STAGES: ()})
    assert "The demo stands in." in figure.sentence and "has no mixer" in figure.sentence
    figure.close()


def test_the_frequencies_are_the_plans_own(planned):
    figure = planned("block_diagram", PLANS["20 m, 17 m"])
    figure.turn(share=0.0)
    assert "14.0000 MHz: oscillator 16.0000 MHz" in figure.sentence
    figure.turn(band="upper_band")
    assert "18.0680 MHz: oscillator 16.0680 MHz" in figure.sentence
    figure.close()


def test_another_stage_is_another_drawing_and_the_same_stage_is_not(planned):
    figure = planned("circuit_diagrams", {})
    first = figure.panel.picture
    figure.turn(share=20.0)
    assert figure.panel.picture is first or figure.panel.picture == first
    figure.turn(stage="output")
    assert figure.panel.picture["svg"] != first["svg"] and "V5 12AU7" in figure.panel.picture["svg"]
    assert figure.panel.picture["nodes"] == first["nodes"]
    (picture,) = [part for part in figure.panel.parts if part["kind"] == "picture"]
    assert picture["drawn"].startswith("output")
    rows = figure.panel.texts["rows"]
    assert ["LS", "loudspeaker", "8 Ω", "L2; chassis"] in rows
    figure.close()


def test_what_names_high_voltages_is_covered_and_nothing_else_names_any(planned, shell):
    for name in FIGURES:
        figure = planned(name, {})
        told = repr(figure) + figure.panel._repr_mimebundle_()[0]["text/html"]
        if name == "meter_readings":
            assert COVERED in told
            assert any(volts > 50 for volts in volts_in(figure.sentence)), "else why cover it?"
        else:
            for setting in settings_of(figure, drawn=20):
                figure.turn(**setting)
                told += figure.sentence + figure.explanation + " ".join(figure.figure.texts())
        assert not [volts for volts in volts_in(told) if volts > 50], name
        figure.close()


def test_the_worked_example_follows_any_plan():
    for name, changes in PLANS.items():
        plan = Plan.demo().changed({
            key: Change(value=value, status="wished", origin="test")
            for key, value in changes.items()})
        steps = worked_steps("stage_by_stage", plan)
        assert steps and all(step.endswith(".") for step in steps)
        assert steps[-1].startswith("Here it stops") == (name == "no stages"), name
        assert not [volts for step in steps for volts in volts_in(step) if volts > 50]


def found_by(panel: FaultPanel) -> int:
    """Measure everything, then name the fault rightly; return how many readings were shown."""
    for number in range(len(panel._ways)):
        panel.pick("measure", number)
        panel.press("take")
    kinds = list(panel._names)
    panel.pick("name", kinds.index(panel.case.kind))
    panel.press("say")
    return len(panel.shown)


def test_a_fault_is_measured_named_and_kept(shell, desk):
    panel = bench.find_the_fault()
    panel.press("take")
    assert panel._word == ("Choose what to measure first.", "ask")
    panel.press("say")
    assert panel._word == ("Choose what you think it is.", "ask")
    wrong = next(n for n, kind in enumerate(panel._names) if kind != panel.case.kind)
    panel.pick("name", wrong)
    panel.press("say")
    assert not panel.done and panel._word[1] == "bad"
    assert found_by(panel) == len(panel._ways) and panel.done
    record = desk.recall("answer", KEY)[-1]
    assert record["state"] == "right" and record["seed"] == panel.case.seed
    asked = panel.case.symptom
    panel.press("again")
    assert panel.case.symptom != asked and panel.shown == [] and not panel.done
    # Who comes back after a fault that was found meets the next one.
    assert bench.find_the_fault().case.seed == record["seed"] + 1


def test_a_fault_named_without_measuring_is_asked_about(shell):
    panel = bench.find_the_fault()
    panel.pick("name", list(panel._names).index(panel.case.kind))
    panel.press("say")
    assert "without measuring anything" in panel._word[0]


@pytest.mark.parametrize("event, key, value", [
    ("pick", "measure", 99), ("pick", "name", 99), ("pick", "else", 0), ("press", "else", None),
    ("type", "measure", "x"),
])
def test_stray_messages_change_nothing(shell, event, key, value):
    panel = bench.find_the_fault()
    before = panel.panel.parts
    with pytest.raises(Stray):
        panel._hear(event, key, value)
    assert panel.panel.parts == before


@pytest.mark.parametrize("changes", PLANS.values(), ids=PLANS)
def test_faults_can_be_found_in_any_plan(shell, desk, changes):
    wished = {key: Change(value=value, status="wished", origin="test")
              for key, value in changes.items()}
    if wished:
        shelf.save_changes(desk.store, wished, Plan.demo())
    panel = bench.find_the_fault()
    assert bool(panel.note) == (changes == {STAGES: ()})
    for _ in range(8):
        found_by(panel)
        assert panel.done
        panel.press("again")
