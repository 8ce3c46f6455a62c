"""The sampled mixer of the lesson against the one of the tests, and against its own promises."""

import math

import numpy as np
import pytest

from rxlearn.compute.mixer_levels import BENT, SWITCH, Mixer
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.spur_mixer import mix_response
from tests.compute import mixer_bench

ORDERS = [(1, -1, 1), (1, -1, -1), (0, 1, 1), (2, -2, 1), (2, -2, -1), (1, -2, -1), (2, -1, 1),
          (3, -1, 1), (3, -2, 1)]


@pytest.mark.parametrize("orders", ORDERS)
@pytest.mark.parametrize("kind", [SWITCH, BENT])
def test_the_product_lies_where_its_orders_say_and_is_as_strong(orders, kind):
    """Levels DERIVED (Jacobi–Anger, the square wave's series); places from the relation alone."""
    m, n, sign = orders
    found = mix_response(7.0268e6, 3.2768e6, orders, mixer=Mixer(kind=kind))
    assert abs(m * found.oscillator + n * found.signal) == pytest.approx(
        found.intermediate_frequency, rel=1e-6, abs=0)
    assert found.product_frequency == pytest.approx(found.intermediate_frequency, rel=1e-6, abs=0)
    assert abs(found.oscillator - 7.0268e6) <= abs(n) / 2 * found.bin_width
    assert abs(found.intermediate_frequency - 3.2768e6) <= abs(n) / 2 * found.bin_width
    # Below the numbers' own rounding no level is promised.
    assert found.product_level_db == pytest.approx(found.expected_db, abs=0.05)


def test_every_line_is_that_of_another_sampled_mixer():
    """The bent characteristic once more in plain numpy, line by line."""
    mixer = Mixer(kind=BENT, signal_drive=0.3, oscillator_drive=1.5)
    found = mix_response(7.0e6, 3.2e6, (2, -2, 1), mixer=mixer)
    samples = 2 * (len(found.frequencies) - 1)
    bins = [round(f / found.bin_width)
            for f in (found.oscillator, found.signal, found.intermediate_frequency)]
    out = mixer_bench.bent(mixer_bench.wave(bins[1], samples), bins[0], 1.5, 0.3)
    wanted = mixer_bench.bent(mixer_bench.wave(bins[0] + bins[2], samples), bins[0], 1.5, 0.3)
    reference = mixer_bench.one_line(wanted, bins[2])
    checked = 0
    for line in found.lines(5, 20e6):
        size = mixer_bench.one_line(out, round(line.frequency / found.bin_width))
        if line.level_db > -120:
            assert line.level_db == pytest.approx(20 * math.log10(size / reference), abs=0.01)
            checked += 1
    assert checked >= 10


def test_nothing_stands_in_the_transform_that_no_order_explains():
    found = mix_response(7.0268e6, 3.2768e6, (2, -2, 1), mixer=Mixer(kind=BENT))
    named = {round(line.frequency / found.bin_width) for line in found.lines(12, 1e9)} | {0}
    heard = set(np.flatnonzero(found.levels_db > -100).tolist())
    assert heard <= named and len(heard) > 15


def test_a_station_that_moves_moves_its_product_n_times():
    for orders in ORDERS:
        still, moved = (mix_response(7.0e6, 3.2e6, orders, moved=m) for m in (0.0, 200e3))
        went = moved.product_frequency - still.product_frequency
        assert abs(went) == pytest.approx(abs(orders[1]) * (moved.signal - still.signal), rel=1e-6, abs=0)


def test_lines_are_named_after_their_lowest_order():
    found = mix_response(7.0e6, 3.2e6, (1, -1, 1), mixer=Mixer(kind=BENT))
    names = {line.name for line in found.lines(3, 20e6)}
    assert {"oscillator", "signal", "oscillator − signal", "2·oscillator"} <= names
    assert "signal − oscillator" not in names


@pytest.mark.parametrize("call, name", [
    (lambda: mix_response(-1.0, 3e6, (1, -1, 1)), "Oscillator frequency"),
    (lambda: mix_response(7e6, math.nan, (1, -1, 1)), "Intermediate frequency"),
    (lambda: mix_response(7e6, 3e6, (9, -1, 1)), "Order"),
    (lambda: mix_response(7e6, 3e6, (1, -1, 1), moved=-6e6), "Station would stand"),
    (lambda: mix_response(7e6, 3e6, (1, -1, 1), moved=math.inf), "Station moved"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name)
