"""Preferred values and markings against the standards."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.part_markings import (
    Marking,
    read_capacitor_code,
    read_colours,
    read_letter_code,
)
from rxlearn.compute.preferred_values import nearest_preferred, preferred_below
from rxlearn.compute.quantities import Unclear
from rxlearn.data.preferred_values import E6, E12, E24, E96, SERIES

# IEC 60063, as several transcriptions agree.
PRINTED_E6 = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8]
PRINTED_E12 = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2]
PRINTED_E24 = sorted(
    [*PRINTED_E12, 1.1, 1.3, 1.6, 2.0, 2.4, 3.0, 3.6, 4.3, 5.1, 6.2, 7.5, 9.1])
PRINTED_E96 = """
    100 102 105 107 110 113 115 118 121 124 127 130 133 137 140 143 147 150 154 158 162 165 169 174
    178 182 187 191 196 200 205 210 215 221 226 232 237 243 249 255 261 267 274 280 287 294 301 309
    316 324 332 340 348 357 365 374 383 392 402 412 422 432 442 453 464 475 487 499 511 523 536 549
    562 576 590 604 619 634 649 665 681 698 715 732 750 768 787 806 825 845 866 887 909 931 953 976
"""


def test_series_as_printed():
    assert list(E6) == PRINTED_E6
    assert list(E12) == PRINTED_E12
    assert list(E24) == PRINTED_E24
    assert [round(100 * value) for value in E96] == [int(word) for word in PRINTED_E96.split()]


def test_e24_is_not_plain_rounding():
    """IEC 60063 prints these; rounding 10^(n/24) would give the others (DERIVED)."""
    rounded = [round(10 ** (n / 24), 1) for n in range(24)]
    differ = {printed: other for printed, other in zip(E24, rounded) if printed != other}
    assert differ == {
        2.7: 2.6, 3.0: 2.9, 3.3: 3.2, 3.6: 3.5, 3.9: 3.8, 4.3: 4.2, 4.7: 4.6, 8.2: 8.3}


@pytest.mark.parametrize("value, series, nearest, below", [
    (287.5e-12, "E12", 270e-12, 270e-12), (12.196e-12, "E12", 12e-12, 12e-12),
    (63e-12, "E12", 68e-12, 56e-12), (63e-12, "E24", 62e-12, 62e-12),
    (9.6e-12, "E6", 10e-12, 6.8e-12), (1.0, "E6", 1.0, 1.0), (4700.0, "E24", 4700.0, 4700.0),
    (0.985, "E96", 0.976, 0.976), (1.22, "E6", 1.0, 1.0), (1.23, "E6", 1.5, 1.0),
])
def test_nearest_and_below(value, series, nearest, below):
    """By hand from the printed series; √(1.0·1.5) = 1.2247 parts the last two."""
    assert nearest_preferred(value, series) == pytest.approx(nearest, rel=1e-12, abs=0)
    assert preferred_below(value, series) == pytest.approx(below, rel=1e-12, abs=0)


@given(st.floats(1e-13, 1e6), st.sampled_from(list(SERIES)))
def test_nearest_against_a_search(value, series):
    """Independent route: exact fractions of every value of eight decades, compared in ratio."""
    steps = [Fraction(str(step)) * Fraction(10) ** power
             for power in range(-14, 8) for step in SERIES[series]]
    best = min(steps, key=lambda step: abs(math.log(float(step) / value)))
    found = nearest_preferred(value, series)
    assert abs(math.log(found / value)) <= abs(math.log(float(best) / value)) * (1 + 1e-9) + 1e-12
    assert preferred_below(value, series) <= value * (1 + 1e-11)
    assert nearest_preferred(found, series) == found == preferred_below(found, series)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf, "1", None])
def test_what_is_no_value_is_refused(bad):
    with pytest.raises(Unclear, match="^Value"):
        nearest_preferred(bad, "E12")


@pytest.mark.parametrize("bad", ["E13", "", None, 12])
def test_an_unknown_series_is_refused(bad):
    with pytest.raises(Unclear, match="choose E6, E12, E24, E96"):
        nearest_preferred(1.0, bad)


# IEC 60062.
@pytest.mark.parametrize("text, value", [
    ("R47", 0.47), ("4R7", 4.7), ("470R", 470), ("4K7", 4700), ("47K3", 47300), ("4M7", 4.7e6),
    ("4p7", 4.7e-12), ("n22", 0.22e-9),
])
def test_letter_code(text, value):
    assert read_letter_code(text) == pytest.approx(value, rel=1e-12, abs=0)


# IEC 60062 style of marking: two digits, the number of noughts, in pF, and the tolerance letter.
@pytest.mark.parametrize("text, marking", [
    ("104K", Marking(100e-9, 10.0)), ("271J", Marking(270e-12, 5.0)), ("120", Marking(12e-12)),
    ("222M", Marking(2.2e-9, 20.0)), ("101G", Marking(100e-12, 2.0)), ("473F", Marking(47e-9, 1.0)),
    ("100B", Marking(10e-12, None, 0.1e-12)), ("120C", Marking(12e-12, None, 0.25e-12)),
    ("150D", Marking(15e-12, None, 0.5e-12)), ("479C", Marking(4.7e-12, None, 0.25e-12)),
])
def test_capacitor_code(text, marking):
    assert read_capacitor_code(text) == marking


def test_colour_code():
    """IEC 60062; T. R. Kuphaldt, Lessons in Electric Circuits, vol. V: 47 kΩ, 5 %."""
    assert read_colours(["yellow", "violet", "orange", "gold"]) == Marking(47e3, 5.0)
    assert read_colours(["brown", "black", "gold"]) == Marking(1.0, 20.0)
    assert read_colours("brown black black brown brown".split()) == Marking(1e3, 1.0)


@pytest.mark.parametrize("call", [
    lambda: read_letter_code("4X7"), lambda: read_letter_code("K"), lambda: read_letter_code(""),
    lambda: read_letter_code("4K7K"), lambda: read_capacitor_code("1040"),
    lambda: read_capacitor_code("10"), lambda: read_capacitor_code("104X"),
    lambda: read_capacitor_code(None), lambda: read_capacitor_code("001"),
    lambda: read_colours(["pink"] * 4), lambda: read_colours(["red"]),
    lambda: read_colours(["gold", "red", "red", "gold"]),
    lambda: read_colours(["red", "red", "red", "blue"]),
])
def test_what_is_no_marking_is_refused_in_a_sentence(call):
    with pytest.raises(Unclear) as problem:
        call()
    assert str(problem.value).endswith(".")
