"""Texts that somebody might type, paste or smuggle into a field."""

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

MARKUP = (
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "<b>3.5 MHz</b>", "</p><p>",
    '" onfocus="alert(1)', "&lt;b&gt;", "&#60;", "javascript:alert(1)", "]]>", "<!--", "-->",
    "{{7*7}}", "${7*7}", "$\\frac{1}{2}$", "%s%n", "'; DROP TABLE plan; --", "../../etc/passwd",
    "__import__('os')", "\\u003cb\\u003e", "<svg/onload=alert(1)>", "style=\"x\"",
)
NUMBERS = (
    "", " ", "nan", "NaN Hz", "inf", "-inf MHz", "1e999 Hz", "1e-999 Hz", "-0", "--5", "3,500 kHz",
    "1/2", "0x10", "3.5.1 MHz", "3.5 MHz 4", "1e5000000 Hz", "1_000", "٣٫٥", "½ MHz", "10² Hz",
    "3.5 parsec", "MHz", "five", "9" * 500, "-1 MHz", "1e3", "10 mHz", "1+1", "12 Hz\n13 Hz",
)
ODD = ("\x00", "\ud800", "\u202e3.5", "\u200b", "🎚", "e\u0301" * 50, "a" * 100_000, "\r\n\t", "…")

TEXTS = (*MARKUP, *NUMBERS, *ODD)

hundreds = settings(
    max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture],
)
"""For a test that tries bad input by the hundred on something built once."""

texts = st.one_of(
    st.sampled_from(TEXTS),
    st.text(max_size=80),
    st.builds(lambda head, tail: head + tail, st.sampled_from(NUMBERS), st.sampled_from(MARKUP)),
    st.builds("{} {}".format, st.floats(), st.sampled_from(["Hz", "MHz", "mm", "m", "pF", "", "%"])),
)
"""Hypothesis strategy: any of these, or any text, or a number with some unit."""

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=10), inner, max_size=4),
    max_leaves=12,
)
"""Hypothesis strategy: whatever JSON (and what Python's reader takes for it) can bring."""
