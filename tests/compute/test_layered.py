"""Coils in layers against published formulas and a sum over rings."""

import math

import pytest

from rxlearn.compute.coil_ways import layered_way
from rxlearn.compute.coils import bare
from rxlearn.compute.layered import (
    LayeredCoil,
    bunet_inductance,
    layers_wanted,
    wheeler_layers,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.toroid import with_slug, wind_layers
from rxlearn.compute.wire import wire_called
from tests.compute.test_coils import MU, elliptic

INCH = 25.4e-3
WIRE = wire_called("0.16 mm")


def test_published_formulas():
    """F. Langford-Smith, Radiotron Designer's Handbook, ch. 10 (Bunet); H. A. Wheeler 1928."""
    size = 100, 0.5 * INCH, 0.25 * INCH, 0.25 * INCH
    assert bunet_inductance(*size) * 1e6 == pytest.approx(263.16, rel=1e-4, abs=0)
    assert wheeler_layers(*size) * 1e6 == pytest.approx(258.06, rel=1e-4, abs=0)


def rings(columns, rows, inner, length, depth, thickness):
    """Maxwell's rings in rows and columns: own inductances and all mutual ones, H."""
    places = [((row + 0.5) * depth / rows + inner, (column + 0.5) * length / columns)
              for row in range(rows) for column in range(columns)]
    total = 0.0
    for i, (a, x) in enumerate(places):
        for j, (b, y) in enumerate(places):
            if i == j:
                total += MU * a * (math.log(16 * a / thickness) - 1.75)
                continue
            square = 4 * a * b / ((a + b) ** 2 + (x - y) ** 2)
            k = math.sqrt(square)
            first, second = elliptic(square)
            total += MU * math.sqrt(a * b) * ((2 / k - k) * first - 2 / k * second)
    return total


@pytest.mark.parametrize("columns, rows", [(20, 10), (12, 12), (16, 5)])
def test_layers_are_what_their_rings_are(columns, rows):
    wire = bare(0.3e-3)
    length = columns * 0.3e-3
    coil = LayeredCoil(turns=columns * rows, former=8e-3, length=length, wire=wire)
    assert coil.depth == pytest.approx(rows * 0.3e-3, rel=1e-6, abs=0) and coil.layers == pytest.approx(rows, rel=1e-6, abs=0)
    reference = rings(columns, rows, 4e-3, length, coil.depth, 0.3e-3)
    assert coil.inductance / reference == pytest.approx(1, abs=0.025)


def test_turns_are_found_back():
    coil = layers_wanted(500e-6, 7e-3, 5e-3, WIRE)
    assert coil.inductance * 1e6 == pytest.approx(500, rel=1e-6, abs=0) and coil.fits
    assert coil.wire_length == pytest.approx(coil.turns * math.pi * coil.diameter, rel=1e-6, abs=0)
    with pytest.raises(Unclear, match="cannot be wound in layers"):
        layers_wanted(10e-9, 50e-3, 5e-3, WIRE)


def test_what_is_no_coil_in_layers_does_not_fit():
    assert not LayeredCoil(turns=10, former=7e-3, length=5e-3, wire=WIRE).fits
    assert not LayeredCoil(turns=3000, former=7e-3, length=5e-3, wire=WIRE).fits
    with pytest.raises(Unclear):
        LayeredCoil(turns=0.0, former=7e-3, length=5e-3, wire=WIRE)


def test_with_an_adjusting_core_it_reaches_what_is_wanted():
    found = wind_layers(556e-6, 7e-3, 5e-3, WIRE)
    assert found.reaches(556e-6) and found.coil.turns == int(found.coil.turns)
    way = layered_way(found, 556e-6, 455e3)
    assert way.problem == "" and way.low < 556e-6 < way.high
    # Common practice, no source.
    assert way.usual_q[1] <= 100 and way.usual_q[0] <= 40
    thin = with_slug(LayeredCoil(turns=10, former=7e-3, length=5e-3, wire=WIRE))
    assert "not more than one layer" in layered_way(thin, 1e-6, 455e3).problem
    deep = with_slug(LayeredCoil(turns=3000, former=7e-3, length=5e-3, wire=WIRE))
    assert "deeper than" in layered_way(deep, 1e-2, 455e3).problem
