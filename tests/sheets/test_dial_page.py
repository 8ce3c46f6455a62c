"""The printed dial, measured in the PDF and in the SVG with readers that know nothing of us."""

import io
import math
import re

import numpy as np
import pdfplumber
import pytest
from fpdf import FPDF

from rxlearn.compute.band_spread import Network
from rxlearn.compute.dial_scale import draw_scale
from rxlearn.compute.printed_dial import (
    ANTICLOCKWISE,
    BAND_GAP,
    CLOCKWISE,
    MAJOR,
    MINOR,
    RING_GAP,
    RULER,
    Word,
    print_dial,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.sheets.dial_page import dial_on_page, dial_svg
from rxlearn.sheets.fonts import add_fonts

LEFT, TOP, RADIUS = 12.0, 20.0, 70e-3
MM = 25.4 / 72
TRUE = 0.1
"""Geometry right to a tenth of a millimetre."""


def scales(degrees=180.0, law="capacitance"):
    variable = VariableCapacitor(10e-12, 50e-12, law, degrees)
    wide = Network(1.83e-6, variable, parallel=237e-12, strays=8e-12, valve=6e-12)
    narrow = Network(1.83e-6, variable, 4.7e-12, 280e-12, strays=8e-12, valve=6e-12)
    return [("80 m", draw_scale(wide, -3.2768e6, 3.5e6, 4.0e6)),
            ("30 m", draw_scale(narrow, 3.2768e6, 10.10e6, 10.15e6))]


def printed(dial):
    pdf = FPDF(unit="mm", format="A4")
    add_fonts(pdf)
    pdf.add_page()
    dial_on_page(pdf, dial, LEFT, TOP)
    return pdfplumber.open(io.BytesIO(bytes(pdf.output()))).pages[0]


def straight(page, dial):
    """Every straight line on the page, in mm from the shaft's centre, y upwards."""
    return [
        tuple((x * MM - LEFT + dial.left, dial.top - (y * MM - TOP)) for x, y in line["pts"])
        for line in page.lines
    ]


def expected(network, frequency, to_signal, radius, degrees, sense):
    """Where a frequency must stand: from the resonance formula and the plate law alone."""
    # DERIVED: C = 1/((2 pi f)^2 L); straight-line capacitance: the plates' angle goes with C.
    total = 1 / ((2 * math.pi * (frequency - to_signal)) ** 2 * network.inductance)
    branch = total - network.parallel - network.strays - network.valve
    own = branch if network.series is None else branch * network.series / (network.series - branch)
    share = (network.variable.maximum - own) / (network.variable.maximum - network.variable.minimum)
    turned = degrees / 2 - share * degrees
    drawn = math.radians(90 + (turned if sense == CLOCKWISE else -turned))
    return [(r * math.cos(drawn), r * math.sin(drawn)) for r in (radius, radius + MAJOR)]


@pytest.mark.parametrize("degrees", [180.0, 270.0])
@pytest.mark.parametrize("sense", [CLOCKWISE, ANTICLOCKWISE])
def test_every_number_s_mark_stands_where_its_frequency_is(degrees, sense):
    bands = scales(degrees)
    dial = print_dial(bands, RADIUS, sense=sense)
    lines = straight(printed(dial), dial)
    ends = np.array([np.ravel(line) for line in lines])
    count = 0
    for row, (_, scale) in enumerate(bands):
        network = scale.coverage.network
        for frequency in scale.major:
            wanted = np.ravel(expected(network, float(frequency), scale.to_signal,
                                       1000 * RADIUS - BAND_GAP * row, degrees, sense))
            assert np.abs(ends - wanted).max(axis=1).min() < TRUE, (frequency, wanted)
            count += 1
    assert count >= 10


def numbers(dial):
    return [mark.text for mark in dial.marks if isinstance(mark, Word) and mark.text[:1].isdigit()]


@pytest.mark.parametrize(("low", "high", "wanted"), [
    (10.10e6, 10.15e6, "10.100 10.110 10.120 10.130 10.140 10.150"),
    (10.11e6, 10.14e6, "10.100 10.110 10.120 10.130 10.140 10.150"),
    (10.102e6, 10.148e6, "10.100 10.102 10.110 10.120 10.130 10.140 10.148"),
])
def test_numbers_of_a_crowded_band_come_evenly_and_its_ends_always_have_one(low, high, wanted):
    # DERIVED by hand: marks each 5 kHz crowd at the high end, each 10 kHz do not.
    network = Network(1.83e-6, VariableCapacitor(10e-12, 50e-12), 12.4e-12, 273.45e-12, strays=8e-12,
                      valve=6e-12)
    narrow = draw_scale(network, 3.2768e6, low, high)
    found = sorted(n for n in numbers(print_dial([scales()[0], ("30 m", narrow)], RADIUS))
                   if n.startswith("10.1"))
    assert found == wanted.split()


@pytest.mark.parametrize("sense", [CLOCKWISE, ANTICLOCKWISE])
def test_a_ring_tells_the_shaft_s_degrees(sense):
    dial = print_dial(scales(), RADIUS, sense=sense)
    lines = np.array([np.ravel(line) for line in straight(printed(dial), dial)])
    ring = 1000 * RADIUS - BAND_GAP - RING_GAP
    for angle in (0, 30, 90, 180):
        # DERIVED: half of 180 degrees stands straight up; clockwise is the falling angle of a drawing.
        drawn = math.radians(90 + (90 - angle) * (1 if sense == CLOCKWISE else -1))
        wanted = [r * f(drawn) for r in (ring, ring + MINOR) for f in (math.cos, math.sin)]
        assert np.abs(lines - wanted).max(axis=1).min() < TRUE, angle
    assert {"0", "90", "180"} <= set(numbers(dial)) and dial.ring


def test_a_long_name_stays_within_its_band():
    (_, scale), other = scales()
    words = [m for m in print_dial([("W" * 80, scale), other], RADIUS).marks if isinstance(m, Word)]
    name, = (word for word in words if word.text.startswith("W"))
    assert name.text.endswith("…, MHz") and len(name.text) < 20


def test_a_small_scale_says_that_it_has_no_ring():
    assert not print_dial(scales(), 35e-3).ring


def test_the_ruler_is_as_long_as_it_says():
    dial = print_dial(scales(), RADIUS)
    lines = straight(printed(dial), dial)
    longest = max(abs(end[0] - start[0]) for start, end in lines if abs(end[1] - start[1]) < 1e-3)
    assert longest == pytest.approx(RULER, abs=TRUE) == pytest.approx(100.0, abs=TRUE)


def test_the_numbers_are_real_text_beside_their_marks():
    dial = print_dial(scales(), RADIUS)
    words = printed(dial).extract_text()
    assert "80 m, MHz" in words and "30 m, MHz" in words and "Ruler: 100 mm" in words


def test_the_svg_has_the_same_size_and_the_same_lines():
    dial = print_dial(scales(), RADIUS)
    svg = dial_svg(dial, "A <dial>")
    assert f'width="{dial.width:.4f}mm"' in svg and "A &lt;dial&gt;" in svg
    drawn = np.array([[float(n) for n in found] for found in re.findall(
        r'<line x1="([-\d.]+)" y1="([-\d.]+)" x2="([-\d.]+)" y2="([-\d.]+)"', svg)])
    ours = np.array([np.ravel(line) for line in straight(printed(dial), dial)])
    drawn[:, [0, 2]] += dial.left
    drawn[:, [1, 3]] = dial.top - drawn[:, [1, 3]]
    assert len(drawn) == len(ours) and np.abs(drawn - ours).max() < TRUE


def test_a_name_with_markup_stays_text():
    bands = [("<b>&", scale) for _, scale in scales()[:1]]
    assert "&lt;b&gt;&amp;, MHz" in dial_svg(print_dial(bands, RADIUS), "x")


@pytest.mark.parametrize("given", [
    {"radius": 5e-3}, {"radius": 0.2}, {"radius": math.nan}, {"radius": RADIUS, "sense": "left"},
])
def test_what_cannot_be_printed_is_refused(given):
    with pytest.raises(Unclear):
        print_dial(scales(), **given)


def test_too_small_a_scale_for_two_bands_and_none_at_all_are_refused():
    with pytest.raises(Unclear, match="at least"):
        print_dial(scales(), 22e-3)
    with pytest.raises(Unclear, match="no band"):
        print_dial([], RADIUS)
