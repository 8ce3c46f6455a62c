"""Readings in the page: what they say, what to turn, and the plan as measured."""

import numpy as np
import pytest

from rxlearn import bench
from rxlearn.bench.panel import Stray
from rxlearn.data.cautions import SAFETY_LIST
from rxlearn.plan.band_spread import solved
from rxlearn.plan.document import Change, Plan
from rxlearn.store import desk as shelf


def rows(plan, band, stretch=1.0, count=9):
    network = solved(plan, f"{band}_band")
    return tuple((band, float(angle), "oscillator", float(network.frequency_at(angle)) * stretch, 50.0)
                 for angle in np.linspace(0, plan.value("dial.degrees"), count))


def typed_rows(band):
    return "\n".join(f"{band} | {a:g} ° | oscillator | {f / 1e6:.6f} MHz | {u:g} Hz"
                     for _, a, _, f, u in rows(Plan.demo(), band))


def coil_rows(coil=1.75e-6, strays=9e-12):
    return tuple((c, float(1 / (2 * np.pi * np.sqrt(coil * (c + strays)))), 1e3, 0.1)
                 for c in (47e-12, 100e-12, 330e-12))


def keep(desk, **values):
    changes = {key.replace("__", "."): Change(value=value, status="measured", origin="test")
               for key, value in values.items()}
    shelf.save_changes(desk.store, changes, seen=desk.plan())


def words(panel):
    return " ".join(str(part) for part in panel.parts)


def test_without_readings_it_says_what_to_enter(desk):
    said = words(bench.your_readings().panel)
    assert "enter a capacitor and a resonance" in said and "no readings of this dial" in said


def test_readings_say_what_to_turn(desk):
    keep(desk, measured__dial=rows(Plan.demo(), "lower", 1.004))
    said = words(bench.your_readings().panel)
    assert "80 m, from 9 readings" in said and "squeeze the end turns" in said


def test_a_measured_coil_is_saved_with_its_uncertainty_after_what_changes_was_shown(desk):
    keep(desk, measured__coil=coil_rows())
    panel = bench.your_readings()
    assert "What changes in your plan" in words(panel.panel)
    panel.press("save")
    entry = desk.plan().entry("measured.inductance")
    assert entry.status == "measured" and entry.value == pytest.approx(1.75e-6, rel=1e-3, abs=0)
    said = words(panel.panel)
    assert entry.uncertainty > 0 and "Saved as measured" in said
    assert "4.4 % too small" in said and "4.6 % more inductance" in said
    assert "Expected: 7.2768 MHz" in repr(bench.alignment())


def test_it_follows_what_another_panel_saves(desk):
    panel = bench.your_readings()
    form = bench.keep("measured_at_the_bench")
    form.submit(measured__dial=typed_rows("lower"))
    form.press("save")
    assert "80 m, from 9 readings" in words(panel.panel)


def test_a_row_that_will_not_do_is_named_and_nothing_is_lost(desk):
    form = bench.keep("measured_at_the_bench")
    form.submit(measured__dial="lower | 10 ° | oscillator | 6.8 MHz\nlower | 20 | oscillator | 6.9 MHz")
    said = words(form.panel)
    assert "row 2" in said and "6.8 MHz" in said
    assert desk.plan().value("measured.dial") == ()


def test_a_doubtful_reading_is_named_by_its_row_in_the_form(desk):
    good = rows(Plan.demo(), "upper", count=5) + rows(Plan.demo(), "lower", 1.004)
    slip = good[8]
    keep(desk, measured__dial=(*good[:8], (*slip[:3], slip[3] + 30e3, slip[4]), *good[9:]))
    said = words(bench.your_readings().panel)
    assert "Doubtful and left out: row 9 (67.5 °" in said
    assert "row 9 at 67.5 °" in bench.your_dial().sentence


def test_the_band_s_name_may_be_typed(desk):
    form = bench.keep("measured_at_the_bench")
    form.submit(measured__dial=typed_rows("lower").replace("lower", "80 m"))
    form.press("save")
    assert len(desk.plan().value("measured.dial")) == 9


def test_readings_of_a_dial_that_the_demo_stands_in_for_are_not_called_missing(desk):
    keep(desk, measured__dial=rows(Plan.demo(), "lower"), oscillator__inductance=50e-6)
    assert "The demo receiver stands in" in bench.your_dial().sentence
    assert "There are no readings" not in bench.your_dial().sentence


def test_practice_flags_the_wrong_reading(desk):
    figure = bench.practice_dial()
    figure.press("skip")
    figure.turn(count=9, wrong=20e3)
    assert "Doubtful" in figure.sentence and "number 5" in figure.sentence
    figure.turn(wrong=0.0)
    assert "No reading is doubtful" in figure.sentence


def test_one_s_own_dial_takes_the_place_of_the_practice_receiver(desk):
    assert "Practice readings stand in" in bench.your_dial().sentence
    keep(desk, measured__dial=rows(Plan.demo(), "lower") + rows(Plan.demo(), "upper"))
    figure = bench.your_dial()
    assert "stand in" not in figure.sentence and "practice" not in figure.sentence
    figure.turn(band="upper_band")
    assert "Coil" in figure.sentence


def test_what_stands_below_the_form_follows_what_it_saves(desk):
    figure, steps = bench.your_dial(), bench.alignment()
    figure.turn(finely=2.0)
    form = bench.keep("measured_at_the_bench")
    form.submit(measured__dial=typed_rows("lower"))
    assert "80 m: There are no readings" in figure.sentence
    form.press("save")
    assert "80 m: There are no readings" not in figure.sentence
    assert "30 m: There are no readings" in figure.sentence
    assert figure.values["finely"] == 2.0
    assert figure.panel.texts["sentence"] == figure.sentence

    seen = desk.plan()
    assert "7.2768 MHz" in words(steps.panel)
    desk.save({"lower_band.high": Change(value=3.9e6, status="wished", origin="test")},
              seen=seen, by=None)
    # What can be bought for the wider band leaves a little room beyond 7.1768 MHz.
    assert "'7.18" in words(steps.panel) and "7.2768 MHz" not in words(steps.panel)

    figure.close()
    steps.close()
    assert {w.__self__ for w in desk._plan_watchers} == {form}


def test_supply_readings_are_covered_until_ticked(desk):
    keep(desk, measured__supply=(("second", 200.0, None), ("heater", 6.3, None)))
    panel = bench.supply_check()
    assert panel.panel.covered and "200" not in repr(panel)
    for statement in SAFETY_LIST:
        desk.tick(statement.key)
    said = words(panel.panel)
    assert "look for the cause: plug out" in said and "as expected" in said


def test_the_alignment_stands_in_order_with_its_readings(desk):
    said = repr(bench.alignment())
    assert said.index("beat oscillator's coil") < said.index("of the oscillator's coil") < said.index(
        "preselector")
    assert "Expected: 7.2768 MHz ± 5 kHz." in said and "sideband switch" not in said


@pytest.mark.parametrize("changes", [
    {"upper_band__injection": "high"}, {"oscillator__inductance": 50e-6},
])
def test_a_plan_without_a_dial_is_met_with_the_reason(desk, changes):
    keep(desk, **changes)
    for open_it in (bench.practice_dial, bench.your_dial):
        figure = open_it()
        if figure.guess is None:
            figure.press("skip")
        assert figure.sentence.endswith(".")
    assert words(bench.your_readings().panel)
    assert repr(bench.alignment()).endswith(".")


def test_a_stray_message_changes_nothing(desk):
    with pytest.raises(Stray):
        bench.your_readings().press("delete")
