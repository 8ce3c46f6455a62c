"""Drift: EIA-198's table, the differential and the root, compensation, and shares of a network."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.band_spread import Network
from rxlearn.compute.drift import (
    COPPER_EXPANSION,
    Capacitor,
    Drift,
    capacitors_of,
    compensate,
    compensating_share,
    copper_resistance_ratio,
    decode_class_one,
    drift,
    ppm_to_hz,
)
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.variable_capacitor import VariableCapacitor
from rxlearn.data.temperature_codes import MULTIPLIER, SIGNIFICANT, TOLERANCE, TRADE_NAMES

PF = 1e-12


# EIA-198, class-1 codes, as three tables agree.
def test_the_table():
    assert SIGNIFICANT == dict(zip("CBLAMPRSTVU", (0, .3, .8, .9, 1, 1.5, 2.2, 3.3, 4.7, 5.6, 7.5)))
    assert MULTIPLIER == dict(zip("01234678", (-1, -10, -100, -1000, 1, 10, 100, 1000)))
    assert TOLERANCE == dict(zip("GHJKLMN", (30, 60, 120, 250, 500, 1000, 2500)))


@pytest.mark.parametrize("code, nominal, tolerance, name", [
    ("C0G", 0, 30, "NP0"), ("M7G", 100, 30, "P100"), ("B2G", -30, 30, "N030"),
    ("U1G", -75, 30, "N075"), ("P2G", -150, 30, "N150"), ("S2H", -330, 60, "N330"),
    ("T2H", -470, 60, "N470"), ("U2J", -750, 120, "N750"), ("P3K", -1500, 250, "N1500"),
    ("R3L", -2200, 500, "N2200"),
])
def test_decoding(code, nominal, tolerance, name):
    """EIA-198: each industry name is its code, decoded; U2J is 7.5 × (-100) = -750."""
    found = decode_class_one(code)
    assert (found.nominal, found.tolerance, found.trade_name) == (nominal, tolerance, name)
    # The name says the same: N or P, then the coefficient.
    if name != "NP0":
        assert int(name[1:]) * (-1 if name[0] == "N" else 1) == nominal
    assert len(TRADE_NAMES) == 10


def test_a_nought_may_be_written_as_a_letter():
    assert decode_class_one(" cog ") == decode_class_one("C0G")


@pytest.mark.parametrize("code", ["", "X7R", "C5G", "C0Z", "U2", "U2JJ", None, 7, "<b>"])
def test_what_is_no_class_one_code_is_refused(code):
    with pytest.raises(Unclear, match="is no class-1 code"):
        decode_class_one(code)


def test_drift_rule():
    """DERIVED, differential of f₀: 7 MHz with all capacitance at +30 ppm/°C: -105 Hz/°C."""
    found = drift(7e6, 0.0, [Capacitor("all", 100 * PF, 30.0)])
    assert found.per_degree == pytest.approx(-105, rel=1e-12, abs=0)


def test_second_order():
    """DERIVED: 7 MHz·(1/√1.001 − 1) = -3497.4 Hz where the straight line gives -3500 Hz."""
    found = Drift(7e6, 0.0, 1000.0)
    assert found.per_degree == pytest.approx(-3500, rel=1e-12, abs=0)
    assert found.moved_by(1.0) == pytest.approx(-3497.4, abs=0.1)


def test_compensating_share():
    """DERIVED: -750·x + 30·(1 − x) + 50 = 0, x = 80/780."""
    assert compensating_share(50, 30, -750) == pytest.approx(0.10256, abs=1e-5)


def test_crystal_and_copper():
    """AT-cut crystal of ± 25 ppm at 9 MHz; copper's expansion from memory; IEC 60028 for copper."""
    assert ppm_to_hz(9e6, 25) == pytest.approx(225, rel=1e-12, abs=0)
    assert Drift(7e6, COPPER_EXPANSION, 0.0).per_degree == pytest.approx(-57.8, abs=0.1)
    assert copper_resistance_ratio(20, 75) == pytest.approx(1.2162, rel=1e-4, abs=0)


@given(st.floats(0, 150), st.floats(-100, 150), st.floats(-2200, -400))
def test_compensation_leaves_nothing(coil, rest, compensator):
    try:
        share = compensating_share(coil, rest, compensator)
    except Unclear as problem:
        assert str(problem).endswith(".") and coil + rest < 0
        return
    left = drift(7e6, coil, [
        Capacitor("rest", 1 - share, rest), Capacitor("compensator", share, compensator),
    ])
    assert left.relative == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("coil, rest, compensator, cure", [
    (50, 30, 0, "more negative"), (50, 30, -20, "more negative"), (50, 30, 30, "more negative"),
    (-50, 0, -750, "more positive"),
])
def test_a_compensator_that_cannot_is_refused_with_the_cure(coil, rest, compensator, cure):
    with pytest.raises(Unclear, match=f"choose one {cure}"):
        compensating_share(coil, rest, compensator)


@given(st.one_of(st.none(), st.floats(2, 500)), st.floats(0, 300), st.floats(0, 100),
       st.floats(0, 180))
def test_shares_add_up_and_weigh_as_the_total_moves(series, parallel, across, angle):
    """Independent route: warm each part by itself and watch the total capacitance."""
    variable = VariableCapacitor(10 * PF, 50 * PF)
    network = Network(1.83e-6, variable, series and series * PF, parallel * PF, across * PF,
                      8 * PF, 6 * PF)
    shares = {one.name: one.share for one in capacitors_of(network, angle, {})}
    total = float(network.total_at(angle))
    assert math.fsum(shares.values()) == pytest.approx(total, rel=1e-9, abs=0)
    own, warm = float(variable.capacitance_at(angle)) + network.across, 1 + 1e-6

    def branch(own, series):
        return own if series is None else own * series / (own + series)

    grown = branch(own * warm, network.series) - branch(own, network.series)
    assert shares["variable"] == pytest.approx(grown / 1e-6, rel=1e-4, abs=1e-16)
    if series is not None:
        grown = branch(own, network.series * warm) - branch(own, network.series)
        assert shares["series"] == pytest.approx(grown / 1e-6, rel=1e-4, abs=1e-16)


def test_coefficients_go_to_their_parts():
    network = Network(1.83e-6, VariableCapacitor(10 * PF, 50 * PF), 12 * PF, 280 * PF)
    parts = capacitors_of(network, 90.0, {"parallel": -30.0, "series": 100.0})
    assert {one.name: one.coefficient for one in parts} == {
        "parallel": -30.0, "strays": 0.0, "valve": 0.0, "variable": 0.0, "series": 100.0}


def test_compensate_shows_before_and_after():
    """DERIVED: 295 pF, coil 50, rest 30 ppm/°C; N750 wanted is 80/780 of it, 30.26 pF."""
    found = compensate(6.85e6, 295 * PF, 50, 30, "U2J", 80 / 780 * 295 * PF, rise=20)
    assert found.wanted == pytest.approx(30.26 * PF, rel=1e-3, abs=0)
    assert found.before.per_degree == pytest.approx(-40e-6 * 6.85e6, rel=1e-6, abs=0)
    assert found.after.per_degree == pytest.approx(0, abs=1e-9)
    # Half of ± 120 ppm/°C on a tenth of the capacitance.
    assert found.after.uncertainty == pytest.approx(60e-6 * 80 / 780 * 6.85e6, rel=1e-6, abs=0)
    assert found.moved_before[-1] == pytest.approx(-800e-6 * 6.85e6, rel=2e-3, abs=0)
    assert found.moved_least[-1] < found.moved_after[-1] < found.moved_most[-1]
    assert found.rises[0] == 0 and found.moved_before[0] == 0


def test_a_kind_that_cannot_compensate_says_so_by_none():
    assert compensate(7e6, 100 * PF, 50, 30, "C0G", 0.0).wanted is None
    assert compensate(7e6, 100 * PF, 50, 30, "M7G", 10 * PF).wanted is None


@pytest.mark.parametrize("call", [
    lambda: drift(7e6, 0, []), lambda: drift(7e6, 0, [Capacitor("none", 0.0, 30)]),
    lambda: drift(math.nan, 0, [Capacitor("a", 1e-12, 0)]),
    lambda: drift(7e6, 1e9, [Capacitor("a", 1e-12, 0)]),
    lambda: drift(7e6, 0, [Capacitor("a", -1e-12, 0)]),
    lambda: drift(7e6, 0, [Capacitor("a", 1e-12, "30")]),
    lambda: compensate(7e6, 100 * PF, 0, 0, "C0G", 101 * PF),
    lambda: Drift(7e6, -90000.0, 0.0).moved_by(50.0),
    lambda: Drift(7e6, 0.0, 30.0).moved_by(1000.0),
    lambda: copper_resistance_ratio(20, math.inf),
])
def test_nonsense_is_refused_in_a_sentence(call):
    with pytest.raises(Unclear) as problem:
        call()
    assert str(problem.value).endswith(".") and "\n" not in str(problem.value)
