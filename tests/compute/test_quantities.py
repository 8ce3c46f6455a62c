"""Reading and printing quantities: every form that is taken, every form that is asked about.

No published table exists for what a field should accept, so the forms are this
project's own rule; prefixes and their powers are checked against the SI.
"""

import math
import string
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.quantities import PREFIXES, UNITS, Range, Unclear, parse, show, show_span

# Source: BIPM, The International System of Units (SI brochure), 9th edition, 2019,
# table 7 (multiples and submultiples), the rows that this trade uses.
SI_PREFIXES = {
    "f": -15, "p": -12, "n": -9, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9,
}
PLAIN_UNITS = ("dB", "dBm", "%", "ppm", "°", "°C", "")
PREFIXED_UNITS = tuple(unit for unit in UNITS if unit not in PLAIN_UNITS)


def one_sentence(error) -> str:
    """The complaint, after checking that it is one printable line that ends in a full stop."""
    text = str(error.value)
    assert len(text.splitlines()) == 1
    assert text.isprintable() or "\N{REPLACEMENT CHARACTER}" in text
    assert text.encode("utf-8")
    assert text.endswith(".")
    assert len(text) < 300
    return text


@pytest.mark.parametrize("prefix, power", SI_PREFIXES.items())
def test_prefix_has_its_si_power(prefix, power):
    assert PREFIXES[prefix] == power
    for unit in set(PREFIXED_UNITS) - ({"Hz"} if prefix == "m" else set()):
        assert parse(f"7 {prefix}{unit}", unit) == float(Decimal(7).scaleb(power))


def test_no_prefix_is_known_beyond_the_table():
    assert set(PREFIXES) - {""} == set(SI_PREFIXES)


READ = [
    ("3.5 MHz", "Hz", 3.5e6),
    ("3500 kHz", "Hz", 3.5e6),
    ("3.5e6 Hz", "Hz", 3.5e6),
    ("3.5E6 Hz", "Hz", 3.5e6),
    ("3.5e+06 Hz", "Hz", 3.5e6),
    ("3.276 8 MHz", "Hz", 3276800.0),
    ("3,276 8 MHz", "Hz", 3276800.0),
    ("3,5 MHz", "Hz", 3.5e6),
    ("3.500 kHz", "Hz", 3500.0),
    ("3 500 kHz", "Hz", 3.5e6),
    ("3\u202f500 kHz", "Hz", 3.5e6),
    ("3\u00a0500\u00a0kHz", "Hz", 3.5e6),
    ("3,500,000 Hz", "Hz", 3.5e6),
    ("3.500.000 Hz", "Hz", 3.5e6),
    ("3,500.5 kHz", "Hz", 3500500.0),
    ("3.500,5 kHz", "Hz", 3500500.0),
    ("0,500 MHz", "Hz", 5e5),
    ("1234,567 kHz", "Hz", 1234567.0),
    (".5 MHz", "Hz", 5e5),
    (",5 MHz", "Hz", 5e5),
    ("5. MHz", "Hz", 5e6),
    ("3.5MHz", "Hz", 3.5e6),
    ("  3.5  MHz  ", "Hz", 3.5e6),
    ("3.5 MHz.", "Hz", 3.5e6),
    ("3.5 Mhz", "Hz", 3.5e6),
    ("3.5 MHZ", "Hz", 3.5e6),
    ("3500 KHz", "Hz", 3.5e6),
    ("3.5 x 10^6 Hz", "Hz", 3.5e6),
    ("3.5 × 10⁶ Hz", "Hz", 3.5e6),
    ("3.5·10**6 Hz", "Hz", 3.5e6),
    ("5 × 10⁻³ A", "A", 5e-3),
    ("-73 dBm", "dBm", -73.0),
    ("−73 dBm", "dBm", -73.0),
    ("\u201373 dBm", "dBm", -73.0),
    ("+40 db", "dB", 40.0),
    ("٣٥ kHz", "Hz", 35e3),
    ("47 pF", "F", 47e-12),
    ("47 pf", "F", 47e-12),
    ("47 uuF", "F", 47e-12),
    ("47 µµF", "F", 47e-12),
    ("47 uF", "F", 47e-6),
    ("47 µF", "F", 47e-6),
    ("47 μF", "F", 47e-6),
    ("1.8 uH", "H", 1.8e-6),
    ("1.8 uh", "H", 1.8e-6),
    ("3 h", "H", 3.0),
    ("4.7 kohm", "Ω", 4700.0),
    ("4.7 Kohms", "Ω", 4700.0),
    ("4.7 KΩ", "Ω", 4700.0),
    ("4.7 k\u2126", "Ω", 4700.0),
    ("1 Mohm", "Ω", 1e6),
    ("6.3 v", "V", 6.3),
    ("55 ma", "A", 55e-3),
    ("20 ms", "s", 20e-3),
    ("25 mm", "m", 25e-3),
    ("10%", "%", 10.0),
    ("10 percent", "%", 10.0),
    ("90 degrees", "°", 90.0),
    ("-5 °C", "°C", -5.0),
    ("50", "", 50.0),
    ("1e-400 Hz", "Hz", 0.0),
]


@pytest.mark.parametrize("text, unit, value", READ)
def test_form_is_read(text, unit, value):
    assert parse(text, unit) == pytest.approx(value, rel=1e-15, abs=0)


ASKED = [
    # text, unit, what the sentence must hold
    ("3.5", "Hz", "what? Add the unit"),
    ("3.5e6", "Hz", "3.5e6 what? Add the unit"),
    ("3,500 kHz", "Hz", "write 3.5 kHz or 3500 kHz"),
    ("-3,500 kHz", "Hz", "two ways"),
    ("12,345 kHz", "Hz", "write 12.345 kHz or 12345 kHz"),
    ("3,000 kHz", "Hz", "write 3.0 kHz or 3000 kHz"),
    ("3,500e3 Hz", "Hz", "write 3.5e3 Hz or 3500e3 Hz"),
    ("3,500", "", "write 3.5 or 3500"),
    ("3.5 mHz", "Hz", "write MHz if you mean megahertz"),
    ("3.5 mhz", "Hz", "write MHz if you mean megahertz"),
    ("3.5 M", "Hz", "write 3.5 MHz"),
    ("4.7 K", "Ω", "write 4.7 kΩ"),
    ("5 mf", "F", "no unit that I know"),
    ("5 mw", "W", "no unit that I know"),
    ("3.5 V", "Hz", "a unit of voltage; a frequency is wanted"),
    ("50 Hz", "", "a plain number is wanted"),
    ("40 kdB", "dB", "no unit that I know"),
    ("3.5 kkHz", "Hz", "no unit that I know"),
    ("10² Hz", "Hz", "no unit that I know"),
    ("3⁵ MHz", "Hz", "no unit that I know"),
    ("² MHz", "Hz", "must begin with a number"),
    ("327 68 Hz", "Hz", "not one number"),
    ("1 2 3 MHz", "Hz", "not one number"),
    ("3..5 MHz", "Hz", "not one number"),
    ("3.5.5 MHz", "Hz", "not one number"),
    ("1,000,00 Hz", "Hz", "not one number"),
    ("1.000,000.5 Hz", "Hz", "not one number"),
    ("1 10^6 Hz", "Hz", "not one number"),
    ("3\u200b5 MHz", "Hz", "not one number"),
    ("1/2 MHz", "Hz", "no unit that I know"),
    ("0x10 Hz", "Hz", "no unit that I know"),
    ("3_5 MHz", "Hz", "no unit that I know"),
    ("3.5 to 4 MHz", "Hz", "no unit that I know"),
    ("nan Hz", "Hz", "must begin with a number"),
    ("inf Hz", "Hz", "must begin with a number"),
    ("∞ Hz", "Hz", "must begin with a number"),
    ("--3 MHz", "Hz", "must begin with a number"),
    ("about 3 MHz", "Hz", "must begin with a number"),
    ("1e999 Hz", "Hz", "too large"),
    ("1e308 MHz", "Hz", "too large"),
    ("", "Hz", "is empty"),
    (" \t\n ", "Hz", "is empty"),
    ("9" * 61 + " Hz", "Hz", "too long"),
    ("9" * 1_000_000, "Hz", "too long"),
    ("3 MHz\n<script>alert(1)</script>", "Hz", "no unit that I know"),
    ("<b>3</b> MHz", "Hz", "must begin with a number"),
    ("3 \ud800Hz", "Hz", "no unit that I know"),
    ("3\u2028MHz\u2029V", "Hz", "no unit that I know"),
    ("3 \u202ezHM", "Hz", "no unit that I know"),
]


@pytest.mark.parametrize("text, unit, holds", ASKED)
def test_doubtful_form_is_asked_about(text, unit, holds):
    with pytest.raises(Unclear) as error:
        parse(text, unit, name="Bench value")
    assert holds in one_sentence(error)
    assert str(error.value).startswith("Bench value")


@pytest.mark.parametrize("thing", [None, 3.5, b"3.5 MHz", ["3.5 MHz"], object()])
def test_what_is_no_text_is_refused(thing):
    with pytest.raises(Unclear, match="must be typed as text"):
        parse(thing, "Hz")


SHOWN = [
    (3276800, "Hz", "3.2768 MHz"),
    (3.5e6, "Hz", "3.5 MHz"),
    (0, "Hz", "0 Hz"),
    (-0.0, "Hz", "0 Hz"),
    (999999.9999, "Hz", "1 MHz"),
    (999.5, "Hz", "999.5 Hz"),
    (47e-12, "F", "47 pF"),
    (1.8298e-6, "H", "1.8298 µH"),
    (-73.0, "dBm", "-73 dBm"),
    (0.005, "Hz", "0.005 Hz"),
    (0.005, "V", "5 mV"),
    (2_000_000, "", "2000000"),
    (0.1, "", "0.1"),
    (1e300, "Hz", "1e+291 GHz"),
    (math.nan, "Hz", "not a number"),
    (math.inf, "Hz", "infinite"),
    (-math.inf, "dB", "-infinite"),
]


@pytest.mark.parametrize("value, unit, text", SHOWN)
def test_value_is_shown(value, unit, text):
    assert show(value, unit) == text


def test_shown_width_can_be_held():
    assert show(7.0e6, "Hz", decimals=3, prefix="M") == "7.000 MHz"
    assert show(-1e-9, "", decimals=2) == "0.00"


@pytest.mark.parametrize(
    "low, high, unit, text",
    [
        (3.5e6, 4e6, "Hz", "3.5 to 4 MHz"),
        (540e3, 1.6e6, "Hz", "0.54 to 1.6 MHz"),
        (5, 10, "", "5 to 10"),
        (-5, 10, "dB", "-5 to 10 dB"),
        (1.0, math.inf, "Hz", "1 to infinite"),
        (math.nan, math.nan, "Hz", "not a number to not a number"),
    ],
)
def test_span_is_shown(low, high, unit, text):
    assert show_span(low, high, unit) == text


@given(
    st.floats(allow_nan=False, allow_infinity=False, min_value=-1e200, max_value=1e200),
    st.sampled_from(sorted(UNITS)),
)
def test_what_is_shown_reads_back(value, unit):
    """Six digits shown: the reading agrees to half a unit of the sixth."""
    assert parse(show(value, unit), unit) == pytest.approx(value, rel=5.1e-6, abs=1e-300)


@given(
    st.floats(min_value=1e-15, max_value=1e12), st.sampled_from(PREFIXED_UNITS),
)
def test_seventeen_digits_read_back_exactly(value, unit):
    assert parse(show(value, unit, digits=17), unit) == value


@given(
    st.decimals(min_value=0, max_value=999, places=3, allow_nan=False),
    st.sampled_from(sorted(set(SI_PREFIXES) - {"m"})),
)
def test_reading_is_exact_decimal_arithmetic(number, prefix):
    """DERIVED: the nearest double to the decimal as written, no binary detour."""
    assert parse(f"{number} {prefix}Hz", "Hz") == float(number.scaleb(SI_PREFIXES[prefix]))


JUNK_PARTS = (
    "3.5", "3,5", "3,500", "1e6", "e", "-", "+", "−", "×10", "^", " ", "\t", "\n", "\r", "\u2028",
    "\u200b", "\u202e", "\x00", "\x1b[31m", "\ud800", "\U0010ffff", "MHz", "mHz", "kHz", "Hz", "pF",
    "µ", "μ", "u", "Ω", "ohm", "°", "%", "dB", "m", "<script>", "</script>", "<img src=x onerror=y>",
    "&lt;", "&#0;", "\"", "'", "$x^2$", "\\frac", "{}", "{0}", "%s", "`", "[a](b)", "nan", "inf",
    "None", "٣", "²", "½", "Ⅷ", "零", "😀", "=1+1", "; rm", "0x1F", "1_000", "()", "..", ",,", "/",
)


@settings(max_examples=300)
@given(
    st.one_of(
        st.text(max_size=80),
        st.lists(st.sampled_from(JUNK_PARTS), max_size=8).map("".join),
        st.text(alphabet=string.digits + " .,eE+-xHzMk", max_size=20),
        st.from_regex(r"[0-9]{1,4}[.,][0-9]{1,4} ?[A-Za-zµΩ°%<>&]{0,6}", fullmatch=True),
    ),
    st.sampled_from(sorted(UNITS)),
)
def test_junk_is_one_finite_number_or_one_sentence(text, unit):
    try:
        value = parse(text, unit, name="Bench value")
    except Unclear as error:
        sentence = str(error)
        assert sentence.startswith("Bench value")
        assert sentence.endswith(".") and len(sentence.splitlines()) == 1
        sentence.encode("utf-8")
    else:
        assert isinstance(value, float) and math.isfinite(value)
        assert any(character.isdecimal() for character in text)


BAND = Range("Signal frequency", "Hz", 1.8e6, 30e6)


def test_range_takes_what_lies_inside_with_its_edges():
    assert BAND.check(1.8e6) == 1.8e6
    assert BAND.check(np.float64(30e6)) == 30e6
    assert BAND.check(7_000_000) == 7e6
    assert BAND.parse("3,5 MHz") == 3.5e6
    assert BAND.says == "enter 1.8 MHz to 30 MHz"


@pytest.mark.parametrize(
    "value, holds",
    [
        (1.7e6, "of 1.7 MHz is below what is allowed here: enter 1.8 MHz to 30 MHz"),
        (31e6, "of 31 MHz is above"),
        (30e6 + 1e-6, "of 30.000000000001 MHz is above"),
        (1e300, "is above"),
        (-3.5e6, "of -3.5 MHz is below"),
        (0, "of 0 Hz is below"),
        (math.nan, "must be a finite number"),
        (math.inf, "must be a finite number"),
        (-math.inf, "must be a finite number"),
        ("3.5e6", "must be a number with its unit"),
        (b"3.5e6", "must be a number with its unit"),
        (True, "must be a number with its unit"),
        (np.True_, "must be a number with its unit"),
        (None, "must be a number with its unit"),
        (3.5e6 + 1j, "must be a number with its unit"),
        (10**400, "must be a number with its unit"),
        ([3.5e6, 4e6], "must be a number with its unit"),
    ],
)
def test_range_refuses_in_one_sentence(value, holds):
    with pytest.raises(Unclear) as error:
        BAND.check(value)
    assert holds in one_sentence(error)
    assert str(error.value).startswith("Signal frequency")


def test_range_checks_each_of_an_array():
    values = np.array([[2e6, 3e6], [4e6, 30e6]])
    checked = BAND.check_each(values)
    assert checked.dtype == float and (checked == values).all()
    assert checked is not values, "the caller's array must stay the caller's"
    assert BAND.check_each(3.5e6) == 3.5e6
    assert isinstance(BAND.check_each(np.array(3.5e6)), float)
    assert BAND.check_each(np.array([], dtype=float)).size == 0


@pytest.mark.parametrize(
    "values, holds",
    [
        ([2e6, math.nan, 3e6], "must be a finite number"),
        ([2e6, math.inf], "must be a finite number"),
        ([2e6, 31e6, 1e6], "of 31 MHz is above"),
        (["2e6", "3e6"], "must be numbers with their unit"),
        ([[2e6, 3e6], [4e6]], "must be numbers with their unit"),
        ([2e6, True], "must be numbers with their unit"),
        ({2e6}, "must be numbers with their unit"),
        ([2e6, None], "must be numbers with their unit"),
        (np.array([True, False]), "must be numbers with their unit"),
        (np.array([1 + 1j, 2]), "must be numbers with their unit"),
    ],
)
def test_array_with_a_bad_value_is_refused(values, holds):
    with pytest.raises(Unclear) as error:
        BAND.check_each(values)
    assert holds in one_sentence(error)
