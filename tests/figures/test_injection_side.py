"""The figures on the injection side: where the artists lie, and what is said about it."""

import re

import numpy as np
import pytest

from rxlearn.compute.image_neighbourhood import REACH, look_around_image
from rxlearn.compute.injection_side import compare_sides, inject
from rxlearn.compute.multiband import follow_bands, ordinary_bands
from rxlearn.figures import image_neighbourhood, injection, multiband, oscillator_range
from rxlearn.figures.scene import ID_PREFIX

PAIR = (("80 m", 3.5e6, 4.0e6), ("30 m", 10.1e6, 10.15e6))


def artist(figure, name):
    return figure._moving[name]


# Injection -------------------------------------------------------------------------


def _slope(figure, name):
    """On which side of its tall edge a sideband is drawn: +1 above the carrier, -1 below."""
    corners = artist(figure, name).get_xy()
    tallest = corners[np.argmax(corners[:, 1]), 0]
    return np.sign(corners[:, 0].mean() - tallest)


@pytest.mark.parametrize(
    ("signal", "intermediate", "side", "slope"),
    [(3.75e6, 3.2768e6, "high", -1), (10.12e6, 3.2768e6, "low", 1), (3.5e6, 9e6, "sum", 1)],
)
def test_the_sideband_at_the_filter_slopes_as_it_comes_out(signal, intermediate, side, slope):
    figure, result = injection.InjectionFigure(), inject(signal, intermediate, side)
    figure.update(result)
    assert _slope(figure, "sent") == 1
    assert _slope(figure, "arrived") == slope
    words = figure.describe(result)
    assert ("inverted" if slope < 0 else "upright") in words
    assert ("runs backwards" in words) == (side == "sum")


def test_every_stick_stands_on_its_frequency():
    figure, result = injection.InjectionFigure(), inject(3.75e6, 3.2768e6, "high")
    figure.update(result)
    for lane, expected in (("signal", 3.75e6), ("oscillator", 7.0268e6), ("image", 10.3036e6),
                           ("filter", 3.2768e6)):
        assert artist(figure, f"stick-{lane}").get_xdata()[0] == pytest.approx(expected)
    assert "7.0268 MHz" in figure.describe(result) and "10.3036 MHz" in figure.describe(result)


def test_what_lies_beyond_the_axis_is_pointed_at():
    figure = injection.InjectionFigure()
    figure.update(inject(15e6, 10.7e6, "high"))
    assert not artist(figure, "stick-image").get_visible()
    assert artist(figure, "words-image").get_text() == "36.4000 MHz, beyond this axis →"
    figure.update(inject(3.75e6, 3.2768e6, "high"))
    assert artist(figure, "stick-image").get_visible()


def test_a_folded_image_is_explained_by_the_sum():
    figure = injection.InjectionFigure()
    assert "add up" in figure.explain(inject(3.75e6, 3.2768e6, "low"))
    assert "add up" not in figure.explain(inject(10.12e6, 3.2768e6, "low"))
    assert "passes unmixed" in figure.describe(inject(3.2768e6, 3.2768e6, "high"))


# Oscillator range ------------------------------------------------------------------


def test_bars_and_words_of_the_broadcast_band():
    figure, result = (oscillator_range.OscillatorRangeFigure(),
                      compare_sides(540e3, 1600e3, 455e3, "high"))
    figure.update(result)
    assert list(artist(figure, "bar-high").get_xdata()) == [995e3, 2055e3]
    assert list(artist(figure, "bar-low").get_xdata()) == [85e3, 1145e3]
    assert list(artist(figure, "bar-image").get_xdata()) == [1450e3, 2510e3]
    assert list(artist(figure, "bar-in-band").get_xdata()) == [540e3, 690e3]
    for number in ("2.065", "2.963", "4.266", "8.779", "540 to 690 kHz"):
        assert number in figure.describe(result)
    assert "reaches only × 36.5" in artist(figure, "words-low").get_text()


def test_equal_ratios_are_equal_lengths():
    figure = oscillator_range.OscillatorRangeFigure()
    figure.update(compare_sides(300e3, 600e3, 100e3, "high"))
    bar = artist(figure, "bar-signal")
    first = np.ptp(bar.get_transform().transform(bar.get_xydata())[:, 0])
    figure.update(compare_sides(1200e3, 2400e3, 100e3, "high"))
    assert np.ptp(bar.get_transform().transform(bar.get_xydata())[:, 0]) == pytest.approx(first)


def test_a_side_without_an_oscillator_shows_words_and_no_bar():
    figure, result = (oscillator_range.OscillatorRangeFigure(),
                      compare_sides(540e3, 1600e3, 600e3, "low"))
    figure.update(result)
    for bar in ("bar-low", "bar-image", "bar-in-band"):
        assert not artist(figure, bar).get_visible()
    assert artist(figure, "words-low").get_text().startswith("no oscillator")
    assert "through zero" in figure.describe(result) and "nan" not in figure.explain(result)


# Image neighbourhood ---------------------------------------------------------------


def _look(share=50.0, band=PAIR[0], intermediate=3.2768e6, side="high"):
    return look_around_image(band[1], band[2], share, intermediate, side, region=2,
                             loaded_q=50.0, circuits=1)


def test_neighbours_lie_at_their_distance_from_the_image():
    figure, result = image_neighbourhood.ImageNeighbourhoodFigure(2), _look(share=0)
    figure.update(result)
    names = {artist(figure, f"name-{i}").get_text(): artist(figure, f"span-{i}").get_xdata()
             for i in range(5)}
    low, high = names["30 m amateur, 10.1 to 10.15 MHz"]
    assert (low, high) == (pytest.approx(46.4e3), pytest.approx(96.4e3))
    assert "on the image: 10 MHz aeronautical, 10.005 to 10.1 MHz" in names
    assert "there is 10 MHz aeronautical" in figure.describe(result)


@pytest.mark.parametrize("band", PAIR)
@pytest.mark.parametrize("side", ["high", "low"])
@pytest.mark.parametrize("intermediate", [0.455e6, 1.6e6, 3.2768e6])
def test_no_name_crosses_the_image_or_leaves_the_frame(band, side, intermediate):
    figure = image_neighbourhood.ImageNeighbourhoodFigure(2)
    for share in range(0, 101, 10):
        figure.update(_look(share, band, intermediate, side))
        for i in range(5):
            name = artist(figure, f"name-{i}")
            if name.get_visible():
                box = name.get_window_extent().transformed(name.get_transform().inverted())
                assert -REACH * 1.001 <= box.x0 and box.x1 <= REACH * 1.001
                assert box.x0 >= 0 or box.x1 <= 0


def test_the_end_of_the_table_and_an_empty_place_are_said():
    figure = image_neighbourhood.ImageNeighbourhoodFigure(2)
    beyond = _look(band=PAIR[1], intermediate=10.7e6)
    figure.update(beyond)
    assert "thin above 30 MHz" in artist(figure, "empty").get_text()
    assert "thin above 30 MHz" in figure.describe(beyond)
    far = _look(band=PAIR[1], intermediate=70e6)
    assert "beyond the table's end, 148 MHz" in figure.describe(far)
    # DERIVED: 9.9 + 2 x 0.455 = 10.81 MHz; the table holds nothing from 10.51 to 11.11 MHz.
    empty = _look(share=0, band=("x", 9.9e6, 10.0e6), intermediate=455e3)
    figure.update(empty)
    assert artist(figure, "empty").get_text() == "On the image: nobody in the table."
    assert "nobody in the table within 300 kHz" in figure.describe(empty)
    figure.update(_look())
    assert not artist(figure, "empty").get_visible()


# Multiband -------------------------------------------------------------------------


def _follow(intermediate, side="high", pair=PAIR):
    bands = ordinary_bands(2)
    figure = multiband.MultibandFigure(bands, pair)
    result = follow_bands(bands, intermediate, side, pair=pair)
    figure.update(result)
    return figure, result


def test_each_band_has_its_bar_and_its_words():
    figure, result = _follow(455e3)
    names = [name for name, _, _ in result.bands]
    eighty = names.index("80 m")
    low, high = artist(figure, f"bar-{eighty}").get_xdata()
    assert low == pytest.approx(3.955e6, rel=0.01) and high == pytest.approx(4.455e6, rel=0.01)
    assert artist(figure, f"range-{eighty}").get_text() == "3.955 to 4.455"
    assert artist(figure, f"move-{eighty + 1}").get_text() == "+3.400 MHz"
    assert artist(figure, f"coil-{eighty + 1}").get_text() == "× 0.31"
    assert "5.19 MHz apart" in figure.describe(result)


def test_the_pair_on_one_range():
    figure, result = _follow(3.2768e6)
    assert "share 50 kHz of one range" in figure.describe(result)
    assert artist(figure, "verdict").get_text() == "Your two bands, sharing 50 kHz of one range:"


def test_bands_without_an_oscillator_say_so():
    figure, result = _follow(3.6e6, "low")
    said = [artist(figure, f"range-{i}").get_text() for i in range(len(result.steps))]
    assert said[:2] == ["no oscillator: it would lie below zero",
                        "the intermediate frequency lies in this band"]
    assert not artist(figure, "bar-0").get_visible()
    assert "not both can be tuned" in figure.describe(result)
    assert "nan" not in " ".join(figure.texts())


def test_a_name_that_looks_like_a_formula_stays_a_name():
    odd = (("$\\frac{$ <b>&", 3.5e6, 4.0e6), PAIR[1])
    figure, result = _follow(3.2768e6, pair=odd)
    drawing = figure.svg()
    assert "$\\frac{$" in drawing and "<b>" not in drawing
    assert "$\\frac{$" in figure.describe(result)


# All -------------------------------------------------------------------------------


@pytest.mark.parametrize("make", [
    injection.InjectionFigure, oscillator_range.OscillatorRangeFigure,
    lambda: image_neighbourhood.ImageNeighbourhoodFigure(1), lambda: _follow(455e3)[0],
])
def test_every_moving_artist_has_its_node(make):
    figure = make()
    drawing = figure.svg()
    for node in figure.nodes:
        assert re.search(f'id="{re.escape(ID_PREFIX)}{re.escape(node["id"][len(ID_PREFIX):])}"',
                         drawing), node
