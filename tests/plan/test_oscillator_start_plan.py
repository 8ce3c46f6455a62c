"""The plan's oscillator: does it start on its bands, and is it said where that is in doubt."""

import math

import pytest

from rxlearn.plan.coil_cards import coil_card
from rxlearn.plan.consequences import derive
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.oscillator_start import slow_to_start, starts_of, tap_share
from rxlearn.plan.proposals import proposal
from rxlearn.sheets.build_sheet import build_sheet
from tests.any_plans import PLANS, WORKING

ROW = "Oscillator with your coil, start"


def changed(values, plan=None):
    return (plan or Plan.demo()).changed({
        key: Change(value=at, status="wished", origin="a test") for key, at in values.items()})


def wound(plan):
    """The plan with the turns that the coils' lesson works out."""
    return plan.changed({p.key: Change(value=p.value, status=p.status, origin="coils")
                         for p in proposal("coils", plan)})


def test_the_demo_starts_and_says_so():
    """DERIVED for its 1.83 µH at 6.7768 MHz: ωL is 77.9 Ω; the rest are the card's figures."""
    start = starts_of(Plan.demo())["lower_band"]
    tank = start.q * 2 * math.pi * 6.7768e6 * 1.83e-6
    parallel = 1 / (1 / tank + 1 / 47e3)
    assert start.resistance == pytest.approx(parallel, rel=1e-4)
    low, high = coil_card(Plan.demo(), "oscillator_coil").way.usual_q
    assert low < start.q < high and start.sure
    # An air coil's tap has less than its turns' share; half of that would be no coil any more.
    assert 0.5 * 3 / 11 < tap_share(Plan.demo()) < 3 / 11
    assert slow_to_start(Plan.demo()) == ()
    assert "80 m" in derive(Plan.demo())[ROW].text


def test_a_tank_of_low_impedance_is_named_with_its_cure():
    plan = wound(changed({**WORKING["80 m and 12 m"], "oscillator.inductance": 100e-9,
                          "oscillator_coil.diameter": 8e-3, "oscillator_coil.length": 6e-3}))
    found = slow_to_start(plan)
    assert len(found) == 2 and "may not start on 80 m" in found[0] and "may not start on 12 m" in found[1]
    for words in ("“Oscillator coil”", "“Band spread, parallel capacitor”", "Q of", "% of the voltage",
                  "or more"):
        assert words in found[0]
    assert set(found) <= set(build_sheet(plan).missing)
    # The cure holds by its own sum: the coil that it names makes the loop give back 2.
    start = starts_of(plan)["lower_band"]
    cured = changed({"oscillator.inductance": start.inductance_wanted}, plan)
    assert starts_of(cured)["lower_band"].gain == pytest.approx(2.0, rel=1e-6)


@pytest.mark.parametrize("name", PLANS)
def test_any_plan_gets_an_answer_or_a_reason(name):
    plan = changed(PLANS[name])
    assert derive(plan)[ROW].text
    for words in slow_to_start(plan):
        assert "nan" not in words and "inf" not in words and words.endswith(".")
