"""The cautions: each has its sources, none allows anything, and the thresholds are as printed."""

from __future__ import annotations

import re

import pytest

from rxlearn.data import cautions as data

ALL_WORDS = [
    *(f"{row.key}: {row.title}. {row.short} {row.text}" for row in data.CAUTIONS.values()),
    *(f"statement {row.key}: {row.text}" for row in data.SAFETY_LIST),
    data.LOCAL_CODE, data.COVERED,
]

# Words that would call a voltage harmless, or ask somebody to work on what is connected.
NEVER = re.compile(
    r"\bsafe\b|\bharmless\b|not dangerous|work(ing)? live|while (it is|the set is) (on|live|powered)"
    r"|switch(ed)? on and (touch|probe|adjust)|with the power on|quickly touch|no need to (measure|wait)"
    r"|you may touch|can be touched with",
    re.IGNORECASE,
)


@pytest.mark.parametrize("words", ALL_WORDS, ids=lambda words: words[:25])
def test_no_caution_calls_a_voltage_harmless_or_asks_for_live_work(words):
    assert not NEVER.search(words)


def test_the_watch_for_words_can_fail():
    for bad in ("50 V is safe.", "Now work live.", "Measure with the power on.", "A harmless voltage"):
        assert NEVER.search(bad)


@pytest.mark.parametrize("key", data.CAUTIONS)
def test_a_caution_is_short_where_the_hand_goes_and_names_its_sources(key):
    row = data.caution(key)
    assert row.key == key and row.title and len(row.short.split()) <= 30
    assert 10 <= len(row.text.split()) <= 110
    assert row.sources
    for source in row.sources:
        named = re.search(r"\d|DERIVED", source) or source.startswith("T. R. Kuphaldt")
        assert named or source == data.COMMON_PRACTICE, source


def test_what_beginners_do_not_know_is_said():
    """Each of these points stands in a caution of its own."""
    must_say = {
        "charged_capacitor": ("through a resistor", "screwdriver", "measure"),
        "bleeder": ("failed open", "Measure"),
        "creeping_back": ("shorting lead", "dielectric absorption"),
        "residual_current": ("far side of a transformer", "nothing trips"),
        "one_hand": ("pocket", "chest"),
        "not_alone": ("within call", "mains switch"),
        "meter": ("plug out", "discharged"),
        "live_chassis": ("not for beginners", "live chassis"),
        "line_cord": ("without earth",),
        "pcb": ("polychlorinated", "drill"),
        "old_parts": ("paper", "electrolytic", "insulation"),
        "first_power": ("current limit",),
    }
    for key, phrases in must_say.items():
        row = data.caution(key)
        for phrase in phrases:
            assert phrase in f"{row.short} {row.text}", (key, phrase)


def test_every_group_ends_by_deferring_and_names_known_cautions():
    assert "local electrical code" in data.LOCAL_CODE and "licensed practice" in data.LOCAL_CODE
    assert data.GROUPS.keys() == data.TITLES.keys()
    for group in data.GROUPS:
        assert [row.key for row in data.cautions(group)] == list(data.GROUPS[group])


def test_unknown_keys_are_named():
    with pytest.raises(KeyError, match="no caution 'nosuch'.*charged_capacitor"):
        data.caution("nosuch")
    with pytest.raises(KeyError, match="no cautions 'nosuch'.*open_chassis"):
        data.cautions("nosuch")


def test_the_limit_is_the_lowest_of_the_rules_that_name_one():
    # 29 CFR 1910.303(g)(2)(i): 50 V a.c. or d.c.; OSHA's letter of 4 September 2015 says that 60 V
    # d.c. is not its limit.  IEC/EN 61010-1, 6.3.1: 60 V d.c.  30 V: Kuphaldt, vol. I.
    assert data.LIMIT.volts == 50.0 and "1910.303(g)(2)(i)" in data.LIMIT.source
    printed = {"guarding": 50.0, "instruments": 60.0, "cautious": 30.0}
    assert {key: row.volts for key, row in data.THRESHOLDS.items()} == printed
    for row in data.THRESHOLDS.values():
        assert f"{row.volts:.0f} V" in row.name and row.source


def test_currents_are_as_printed_and_in_order():
    # NIOSH Publication 98-131 (1998): 1 mA felt, 16 mA let go, 20 mA breathing, 100 mA
    # fibrillation, 2 A standstill.  Dalziel and Lee (1968): 9 mA men, 6 mA women (99.5 %).
    # IEC TS 60479-1: let-go about 10 mA.
    printed = [0.001, 0.006, 0.009, 0.010, 0.016, 0.020, 0.100, 2.0]
    assert [row.amperes for row in data.EFFECTS] == printed
    assert all(row.source for row in data.EFFECTS)


def test_the_list_is_short_and_each_line_is_a_statement_about_now():
    keys = [row.key for row in data.SAFETY_LIST]
    assert len(set(keys)) == len(keys) and 5 <= len(keys) <= 8
    for row in data.SAFETY_LIST:
        assert row.text.endswith(".") and "?" not in row.text and len(row.text.split()) <= 32
