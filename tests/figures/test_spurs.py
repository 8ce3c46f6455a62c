"""The figures on spurious responses: names to point at, tables, and where their marks lie."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rxlearn.figures.scene import LiveFigure
from rxlearn.figures.spur_chart import POOL as CHART_POOL
from rxlearn.figures.spur_levels import POOL as LEVEL_POOL
from tests.workbench import open_figure, settings_of

NAMED = ("spur_levels", "spur_chart", "spur_mixer")
WITH_TABLE = (*NAMED, "clean_and_dirty")


class Sketch(LiveFigure):
    """Two lines, one of which can be pointed at."""

    name = "named-sketch"

    def build(self, figure):
        axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
        self.plain = self.line(axes, "plain", "ink")
        self.called = self.line(axes, "called", "signal", named=True)

    def update(self, result):
        self.called.set_label(result)

    def describe(self, result):
        return "A sketch."

    def explain(self, result):
        return "It is one."


def test_a_named_line_carries_its_name_as_it_moves():
    sketch = Sketch()
    assert [node.get("named", False) for node in sketch.nodes] == [False, True]
    for words in ("first", "then <b>this</b>"):
        sketch.update(words)
        assert sketch.names() == [words]
    assert "named-sketch" in sketch.still() and "<b>" not in sketch.still()


@pytest.mark.parametrize("name", NAMED)
def test_names_reach_the_page_in_the_order_of_the_nodes(name):
    opened = open_figure(name)
    for setting in settings_of(opened):
        opened.turn(**setting)
        nodes = [node for node in opened.panel.picture["nodes"] if node.get("named")]
        names = opened.panel.texts["names"]
        assert len(names) == len(nodes) > 5
        moving = opened.figure._moving
        for node, words in zip(nodes, names):
            artist = moving[node["id"].removeprefix("rxid-")]
            if artist.get_visible():
                assert any(character.isdigit() for character in words), (node, words)
    opened.close()


@pytest.mark.parametrize("name", WITH_TABLE)
def test_the_table_follows_and_fits_its_head(name):
    opened = open_figure(name)
    (table,) = [part for part in opened.panel.parts if part["kind"] == "table"]
    seen = set()
    for setting in settings_of(opened):
        opened.turn(**setting)
        rows = opened.panel.texts["rows"]
        assert rows and all(len(row) == len(table["head"]) for row in rows)
        assert len(rows) <= 8 and all(type(cell) is str and cell for row in rows for cell in row)
        seen.add(str(rows))
    assert len(seen) > 3
    opened.close()


def test_every_response_has_a_stem_of_its_own():
    """No pool of stems or lines runs dry at the highest order that the controls allow."""
    for name, pools in (("spur_levels", LEVEL_POOL), ("spur_chart", CHART_POOL)):
        opened = open_figure(name)
        groups = opened.figure._stems if name == "spur_levels" else opened.figure._lines
        for setting in settings_of(opened, drawn=20):
            opened.turn(**setting)
            for kind, artists in groups.items():
                assert len(artists) == pools[kind]
                if pools[kind] > 2:
                    assert sum(a.get_visible() for a in artists) < pools[kind], (kind, setting)
        opened.close()


def test_stems_stand_at_the_level_of_the_result():
    """DERIVED: the mixer's relation, and one circuit of Q 50 in decibels; invented receiver."""
    opened = open_figure("spur_levels")
    stem = opened.figure._stems["image"][0]
    place, top = stem.get_xdata()[0], stem.get_ydata()[1]
    assert place == pytest.approx(3.75e6 + 2 * 3.2768e6)
    slope = 50 * (place / 3.75e6 - 3.75e6 / place)
    # A wanted signal of 0.1 of the bend voltage is bent by 0.011 dB itself: 2·I1(0.1)/0.1.
    assert top == pytest.approx(-10 * math.log10(1 + slope**2), abs=0.02)
    assert "image: signal − oscillator, 10.304 MHz, -42 dB" == stem.get_label()
    opened.close()


def test_a_crossing_is_marked_where_both_equations_hold():
    """DERIVED: 2·f − O = IF and O − f = IF make f = 2·IF; at IF 1.9 MHz that is 3.8 MHz."""
    opened = open_figure("spur_chart")
    assert "no line crosses" in opened.sentence
    opened.type("intermediate", "1.9 MHz")
    marks = opened.figure._crossings.get_xdata()
    assert 0.6 in np.round(marks, 9) and "3800.0 kHz (2·signal − oscillator)" in opened.sentence
    (line,) = [line for line in opened.figure._lines["higher order"]
               if line.get_visible() and ": 2·signal − oscillator" in line.get_label()]
    low, high = line.get_ydata()
    # DERIVED: f = (O + IF)/2 lies (2·IF − tuned)/2 off the dial.
    assert (low, high) == pytest.approx(((3.8e6 - 3.5e6) / 2, (3.8e6 - 4.0e6) / 2), abs=1)
    opened.close()


def test_the_dial_in_degrees_is_told_for_the_planned_frequency_alone():
    opened = open_figure("spur_chart")
    assert "° on your dial" in opened.sentence
    opened.type("intermediate", "1.9 MHz")
    assert "° on your dial" not in opened.sentence
    opened.close()


def test_the_whistle_runs_twice_as_fast_as_the_hand():
    """DERIVED: 40 m on 3.579545 MHz: the product falls as the carrier rises."""
    opened = open_figure("whistle_pitch")
    opened.turn(dial=500.0)
    assert opened.result.whistle_now == pytest.approx(1000)
    opened.turn(dial=4.9e3)
    assert not opened.result.passes_now and "outside the filter" in opened.sentence
    opened.close()


def test_the_product_is_found_where_it_was_predicted():
    opened = open_figure("spur_mixer")
    for setting in settings_of(opened):
        opened.turn(**setting)
        found = opened.result
        n = abs(found.signal_order)
        off = abs(found.product_frequency - found.intermediate_frequency)
        assert off == pytest.approx(n * abs(found.moved), abs=n * found.bin_width)
        assert found.product_level_db == pytest.approx(found.expected_db, abs=0.05), setting
    opened.close()


def test_the_plan_stands_in_a_gap_and_the_pair_beside_it_does_not():
    opened = open_figure("clean_and_dirty")
    assert "Yours, IF 3.2768 MHz: no whistle in either band" in opened.sentence
    assert "7159.1 kHz (2·signal − oscillator)" in opened.sentence
    opened.close()
