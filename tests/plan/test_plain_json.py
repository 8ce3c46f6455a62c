"""Strict reading and faithful writing of JSON."""

import json
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.plan.plain_json import DEEPEST, NotReadable, in_a_line, read, write

nodes = st.recursive(
    st.none() | st.booleans() | st.integers(-10**40, 10**40) | st.text()
    | st.floats(allow_nan=False, allow_infinity=False, min_value=-1e200, max_value=1e200)
    .filter(lambda number: number == 0 or abs(number) > 1e-200).map(lambda f: Decimal(repr(f))),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=20,
)


def deep(node):
    if isinstance(node, dict):
        return 1 + max(map(deep, node.values()), default=0)
    return 1 + max(map(deep, node), default=0) if isinstance(node, list) else 0


def kinds(node):
    """The same structure with types in the place of values."""
    if isinstance(node, dict):
        return {name: kinds(member) for name, member in node.items()}
    return [kinds(member) for member in node] if isinstance(node, list) else type(node)


@given(nodes.filter(lambda node: deep(node) <= DEEPEST), st.integers(0, 4))
@settings(max_examples=200)
def test_written_and_read_again_it_is_the_same(node, open_levels):
    text = write(node, open_levels=open_levels)
    again = read(text, largest=10**6)
    assert again == node and kinds(again) == kinds(node)
    # A general-purpose reader (Python's own) finds the same members and numbers in it.
    assert json.loads(text, parse_float=Decimal) == node


@pytest.mark.parametrize("text, says", [
    ("", "broken at line 1"), ("{", "broken"), ('{"a": 1,}', "broken"), ("{'a': 1}", "broken"),
    ('{"a": NaN}', "NaN"), ('{"a": -Infinity}', "Infinity"), ('{"a": 1, "a": 1}', "“a” twice"),
    ('{"b": {"a\\n": 1, "a\\n": 2}}', "“a\\?” twice"), ("1e999", "out of all reason"),
    ("1e99999999999999999999", "out of all reason"), ("1e-500", "out of all reason"),
    ("9" * 61, "too many digits"), ("0." + "9" * 61, "too many digits"), ('"\\ud800"', "half"),
    ("[" * 17 + "]" * 17, "brackets"), ("[" * 90_000, "brackets|broken"),
    ('{"a":' * 20_000, "brackets|broken"), ("x" * 200_001, "too large"), ("1 2", "broken"),
])
def test_what_a_file_must_not_hold_is_refused(text, says):
    with pytest.raises(NotReadable, match=says) as caught:
        read(text, largest=200_000)
    assert str(caught.value).endswith(".") and "\n" not in str(caught.value)


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm():
    assert read('\ufeff{\r\n"a": 1\r\n}', largest=100) == {"a": 1}


@given(st.text())
@settings(max_examples=150)
def test_any_text_is_read_or_refused(text):
    try:
        read(text, largest=1000)
    except NotReadable as fault:
        assert "\n" not in str(fault)


def test_quoting_keeps_a_sentence_on_one_line():
    assert in_a_line("a\nb\x1b") == "a?b?"
    assert in_a_line("x" * 50) == "x" * 40 + "…"
