"""The plan's fields for a third band through a crystal-controlled converter."""

from __future__ import annotations

from rxlearn.plan.field import choice, count, quantity, text

NO, YES = "no", "yes"

THIRD_BAND_FIELDS = (
    # A plan from before knew of no third band, and a field that a file lacks gets this value.
    choice("third_band.wanted", "Third band wanted", {NO: "no", YES: "yes"}, NO,
           section="third band",
           why="A third band comes through a converter: a box before the receiver."),
    text("third_band.name", "Third band, name", "17 m", section="third band",
         why="The band that the converter brings down."),
    quantity("third_band.low", "Third band, low edge", "Hz", 100e3, 60e6, 18.068e6,
             section="third band", why="The lowest frequency wanted of it."),
    quantity("third_band.high", "Third band, high edge", "Hz", 100e3, 60e6, 18.168e6,
             section="third band", why="The highest frequency wanted of it."),
    choice("converter.main_band", "Converter, dial on which it is read",
           {"lower_band": "lower band", "upper_band": "upper band"}, "lower_band",
           section="third band", why="The receiver stands on this band while the third is heard."),
    quantity("converter.crystal", "Converter, crystal", "Hz", 50e3, 150e6, 14.31818e6,
             section="third band",
             why="What lies between it and the signal is what the main dial shows."),
    quantity("converter.loaded_q", "Converter, loaded Q of its front end", "", 2.0, 1000.0, 50.0,
             section="third band",
             why="How sharply each tuned circuit before its mixer picks the third band."),
    count("converter.circuits", "Converter, tuned circuits before its mixer", 1, 3, 1,
          section="third band",
          why="Each one holds image and main band down by the same decibels again."),
)
"""Rows for :mod:`rxlearn.plan.fields`, in the order in which they are shown."""
