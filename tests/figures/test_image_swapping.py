"""The figures on image swapping: what is drawn is what was computed, and no words collide."""

from __future__ import annotations

import math

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from rxlearn.compute.beat import set_beat
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.meeting import meet, view_meeting
from rxlearn.compute.preselector import stretch_for, sweep_band
from rxlearn.compute.recentring import switch_capacitor
from rxlearn.compute.swap_setting import set_swap, view_dial
from rxlearn.figures.beat import BeatSideFigure
from rxlearn.figures.image_swapping import ImageSwappingFigure
from rxlearn.figures.meeting import MeetingFigure
from rxlearn.figures.preselector import PreselectorFigure
from rxlearn.figures.recentring import RecentringFigure
from tests.workbench import decode

DEMO = (3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6)
PAIRS = {
    "80 m, 30 m": swap_bands(*DEMO),
    "far apart": swap_bands(*DEMO[:4], 2.0e6),
    "same sides": swap_bands(*DEMO, upper_injection="high"),
    "30 m, 20 m": swap_bands(10.1e6, 10.15e6, 14.0e6, 14.35e6, 2.048e6),
    "160 m, 30 m": swap_bands(1.8e6, 2.0e6, 10.1e6, 10.15e6, 4.096e6),
    "17 m, 10 m": swap_bands(18.068e6, 18.168e6, 28.0e6, 29.7e6, 5.0e6),
}
NAMES = ("80 m", "a longer name")


def swapping(scheme):
    """The figure and results at many places of the oscillator."""
    view = view_dial(scheme)
    places = np.linspace(view.low, view.high, 9)
    return ImageSwappingFigure(view, NAMES), [
        set_swap(scheme, float(place), on, loaded_q=50)
        for place in places for on in ("lower", "upper")
    ]


def meetings(scheme):
    """The figure and results over all intermediate frequencies on offer."""
    view = view_meeting(scheme)
    return MeetingFigure(scheme, view, NAMES), [
        meet(scheme, float(f)) for f in np.linspace(view.low, view.high, 9)]


def recentrings(scheme):
    """The figure and results for capacitors up to one that leaves the dial."""
    return RecentringFigure(scheme, NAMES), [
        switch_capacitor(scheme, coil, c * 1e-12)
        for c in (0, 5, 14.8, 50, 400) for coil in (0.6e-6, 1.83e-6, 5e-6)]


def preselections(scheme):
    """The figure and results over both bands."""
    low, high = stretch_for((scheme.lower, scheme.upper))
    return PreselectorFigure(low, high), [
        sweep_band(band, share, q, n, low, high)
        for band in (scheme.lower, scheme.upper) for share in (0, 0.5, 1)
        for q, n in ((2, 1), (50, 1), (300, 2))]


def beats(scheme):
    """The figure and results for both bands, sidebands and some offsets."""
    return BeatSideFigure(), [
        set_beat((band.band_low + band.band_high) / 2, sideband, band.intermediate_frequency,
                 band.injection, offset)
        for band in (scheme.lower, scheme.upper) for sideband in ("upper", "lower")
        for offset in (100, 1500, 3000)]


MAKERS = (swapping, meetings, recentrings, preselections, beats)


def collisions(figure):
    """Pairs of visible words whose boxes overlap by more than a pixel, and words off the sheet."""
    renderer = FigureCanvasAgg(figure).get_renderer()
    boxes = []
    for text in figure.findobj(Text):
        if text.get_visible() and text.get_text().strip() and text.axes is not None:
            if not text.axes.axison:
                continue
            boxes.append((text.get_text(), text.get_window_extent(renderer).padded(-1)))
    # Of the tick labels, those beyond the axis are not drawn.
    width, height = figure.bbox.width, figure.bbox.height
    drawn = {
        id(label) for axes in figure.axes for axis in (axes.xaxis, axes.yaxis)
        for label in axis.get_ticklabels()
    }
    ticks = [text.get_window_extent(renderer) for text in figure.findobj(Text) if id(text) in drawn]
    found = [words for words, box in boxes
             if box.x0 < -2 or box.x1 > width + 2 or box.y0 < -2 or box.y1 > height + 2
             if not any(np.allclose(box.padded(1).extents, tick.extents) for tick in ticks)]
    for i, (words, box) in enumerate(boxes):
        found += [(words, other) for other, second in boxes[i + 1:]
                  if box.overlaps(second) and words != other]
    return found


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.__name__)
def test_no_words_collide(maker, pair):
    figure, results = maker(PAIRS[pair])
    for result in results:
        figure.update(result)
        assert collisions(figure.figure) == [], figure.describe(result)


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("maker", MAKERS, ids=lambda maker: maker.__name__)
def test_sentences_are_whole_and_hold_no_nonsense(maker, pair):
    figure, results = maker(PAIRS[pair])
    for result in results:
        figure.update(result)
        for words in (figure.describe(result), figure.explain(result), *figure.texts()):
            assert not any(bad in words for bad in ("nan", "not a number", "infinite", "None"))
        assert figure.describe(result).endswith(".") and figure.explain(result).endswith(".")
        assert np.isfinite([state["xy"] for state in decode(figure.nodes, figure.frame()).values()
                            if "xy" in state and state["visible"]]).all()


def across(axes, x):
    """A place on the horizontal axis in pixels of the drawing."""
    return axes.transData.transform((x, 0))[0]


def test_pointers_of_one_setting_stand_on_one_line():
    scheme = PAIRS["80 m, 30 m"]
    view = view_dial(scheme)
    figure = ImageSwappingFigure(view, NAMES)
    for oscillator, on in ((6.8482e6, "lower"), (7.1e6, "upper")):
        figure.update(set_swap(scheme, oscillator, on, loaded_q=50))
        seen = decode(figure.nodes, figure.frame())
        width = figure.figure.axes[0].bbox.width
        place = figure.figure.axes[0].bbox.x0 + width * (oscillator - view.low) / (
            view.high - view.low)
        solid, dashed = ("below", "above") if on == "lower" else ("above", "below")
        for name in ("pointer", f"{solid}-signal", f"{dashed}-image"):
            state = seen[f"rxid-{name}"]
            assert state["visible"] and np.nanmax(abs(state["points"][:, 0] - place)) < 0.05
        assert not seen[f"rxid-{dashed}-signal"]["visible"]
        assert not seen[f"rxid-{solid}-image"]["visible"]


def test_swapping_says_what_was_computed():
    figure, _ = swapping(PAIRS["80 m, 30 m"])
    result = set_swap(PAIRS["80 m, 30 m"], 6.8482e6, "lower", loaded_q=50)
    figure.update(result)
    # 20 lg √(1 + (50 ρ)²) with ρ = 10.125/3.5714 - 3.5714/10.125 (DERIVED): 41.9 dB.
    sentence = figure.describe(result)
    for words in ("6.8482 MHz", "3.5714 MHz (in 80 m)", "10.1250 MHz (in a longer name)",
                  "41.9 dB"):
        assert words in sentence
    assert "3.5714 MHz  wanted, in 80 m" in figure.texts()
    assert "stands in 40 m" not in figure.explain(result)
    assert "stands in 40 m" in figure.explain(
        set_swap(PAIRS["80 m, 30 m"], 7.1e6, "lower", loaded_q=50))


def test_bars_lie_where_the_ranges_lie():
    scheme = PAIRS["80 m, 30 m"]
    figure = MeetingFigure(scheme, view_meeting(scheme), NAMES)
    figure.update(meet(scheme, 3.1875e6))
    seen = decode(figure.nodes, figure.frame())
    axes = figure.figure.axes[0]
    # At the meeting: 6.6875 to 7.1875 MHz and 6.9125 to 6.9625 MHz (DERIVED).
    for band, edges in (("lower", (6.6875e6, 7.1875e6)), ("upper", (6.9125e6, 6.9625e6))):
        drawn = seen[f"rxid-bar-{band}"]["points"][:, 0]
        assert drawn == pytest.approx([across(axes, edge) for edge in edges], abs=0.05)
    middles = [seen[f"rxid-middle-{band}"]["points"][0, 0] for band in ("lower", "upper")]
    assert middles[0] == pytest.approx(middles[1], abs=0.05)
    assert "agree" in figure.describe(meet(scheme, 3.1875e6))


def test_the_miss_of_the_crystal_is_said():
    figure, _ = meetings(PAIRS["80 m, 30 m"])
    sentence = figure.describe(meet(PAIRS["80 m, 30 m"], 3.2768e6))
    for words in ("178.6 kHz apart", "10.0 %", "100 × 32.768 kHz", "89.3 kHz from where they meet"):
        assert words in sentence


def test_the_recentred_bar_stands_in_the_middle():
    scheme = PAIRS["80 m, 30 m"]
    figure = RecentringFigure(scheme, NAMES)
    result = switch_capacitor(scheme, 1.83e-6, switch_capacitor(scheme, 1.83e-6, 0.0).wanted)
    figure.update(result)
    seen = decode(figure.nodes, figure.frame())
    axes = figure.figure.axes[0]
    assert seen["rxid-middle-after"]["points"][0, 0] == pytest.approx(across(axes, 0.5), abs=0.05)
    assert seen["rxid-middle-before"]["points"][0, 0] == pytest.approx(
        across(axes, (6.8482 - 6.7768) / 0.5), abs=0.05)
    assert "That is centred" in figure.describe(result)


def test_marks_stand_on_the_curve():
    scheme = PAIRS["80 m, 30 m"]
    low, high = stretch_for((scheme.lower, scheme.upper))
    figure = PreselectorFigure(low, high)
    result = sweep_band(scheme.lower, 0.0, 50, 1, low, high)
    figure.update(result)
    seen = decode(figure.nodes, figure.frame())
    axes = figure.figure.axes[0]
    for role, frequency in (("signal", 3.5e6), ("image", 10.0536e6), ("intermediate", 3.2768e6)):
        rho = frequency / 3.5e6 - 3.5e6 / frequency
        level = -10 * math.log10(1 + (50 * rho) ** 2)
        x, y = axes.transData.transform((frequency, level))
        foot = seen[f"rxid-mark-{role}"]["points"][0]
        assert foot == pytest.approx([x, figure.figure.bbox.height - y], abs=0.05)
    assert "held down 16.5 dB" in figure.describe(result)


def test_the_wedge_turns_over_on_the_high_side_only():
    figure = BeatSideFigure()
    for injection, carrier, over in (("high", 3.75e6, True), ("low", 10.125e6, False)):
        figure.update(set_beat(carrier, "upper", 3.2768e6, injection, 1500))
        seen = decode(figure.nodes, figure.frame())
        wedge, air = (seen[f"rxid-{name}"]["points"] for name in ("wedge", "air-wedge"))
        # The first two points are the high end, the next two the low one.
        assert (wedge[0, 0] > wedge[2, 0]) == over and air[0, 0] < air[2, 0]
        beat = seen["rxid-beat"]["points"][0, 0]
        assert (beat > wedge[:, 0].max()) == over and (beat < wedge[:, 0].min()) == (not over)


def test_each_figure_says_why_a_scheme_cannot_work():
    same = PAIRS["same sides"]
    for maker in (swapping, meetings, recentrings):
        figure, results = maker(same)
        figure.update(results[0])
        assert same.reasons[0] in figure.describe(results[0])
