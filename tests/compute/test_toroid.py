"""Ring cores by the trade's table, adjusting cores by their limits, and three ways side by side."""

import math

import pytest

from rxlearn.compute.coil_ways import three_ways, wire_q
from rxlearn.compute.coils import Coil
from rxlearn.compute.quantities import Unclear
from rxlearn.compute.toroid import (
    RingCoil,
    demagnetising,
    measured_core,
    permeability_of,
    ring_core,
    ring_turns,
    section_factor,
    slug_gain,
    wind_ring,
    wind_slug,
    with_slug,
)
from rxlearn.compute.wire import direct_resistance, skin_ratio, wire_called
from rxlearn.data.cores import RING_CORES

WIRE = wire_called("0.5 mm")


# Core makers' trade table of inductance factors, µH per 100 turns, as two copies agree.
@pytest.mark.parametrize("name, per_hundred", [
    ("T37-2", 40), ("T37-6", 30), ("T50-2", 49), ("T50-6", 40), ("T68-2", 57), ("T68-6", 47),
])
def test_inductance_factors(name, per_hundred):
    assert ring_core(name).inductance_factor * 1e10 == pytest.approx(per_hundred, rel=1e-6, abs=0)


# The trade's rule N = 100·√(L/A_L): 12 µH on 49.
def test_turns_on_a_ring():
    assert ring_turns(12e-6, 49e-10) == pytest.approx(49.487, abs=1e-3)
    found = wind_ring(12e-6, "T50-2", WIRE)
    # √(1.83 µH / 4 nH) = 21.39 and √(1.9 µH / 4 nH) = 21.79: down to 21, and up to 22.
    assert [wind_ring(x, "T50-6", WIRE).turns for x in (1.83e-6, 1.9e-6)] == [21, 22]
    assert found.turns == 49 and found.inductance == pytest.approx(11.765e-6, rel=1e-4, abs=0)


# L = A_L·(N/100)², from the same trade table.
@pytest.mark.parametrize("name, turns, microhenry", [
    ("T50-2", 30, 4.41), ("T37-2", 16, 1.024), ("T50-6", 20, 1.60), ("T68-2", 25, 3.5625),
])
def test_inductance_from_turns(name, turns, microhenry):
    coil = RingCoil(turns=turns, name=name, core=ring_core(name), wire=WIRE)
    assert coil.inductance == pytest.approx(microhenry * 1e-6, rel=1e-6, abs=0)


@pytest.mark.parametrize("name", RING_CORES)
def test_a_rings_size_explains_its_factor(name):
    """DERIVED from Ampère's law with the mixes' permeability of 10 and 8.5 (from memory); rounded
    corners take up to a sixth."""
    core = RING_CORES[name]
    permeability = {"2": 10.0, "6": 8.5}[name.partition("-")[2]]
    expected = section_factor(core.outer, core.inner, core.height, permeability)
    assert 1.0 - 0.03 < expected / core.inductance_factor < 1.17
    # The size is the outer diameter in hundredths of an inch, rounded.
    assert core.outer / 25.4e-3 == pytest.approx(int(name[1:3]) / 100, abs=0.011)


def test_a_ring_that_one_measured():
    """DERIVED: the factor over that of the same ring without iron."""
    core = measured_core(5e-9, 20e-3, 12e-3, 6e-3)
    assert permeability_of(core) == pytest.approx(5e-9 / (2e-7 * 6e-3 * math.log(20 / 12)), rel=1e-6, abs=0)
    assert wind_ring(1.83e-6, "mine", WIRE, {"mine": core}).turns == 19
    for sizes in ((12e-3, 20e-3, 6e-3), (20e-3, 20e-3, 6e-3), (20e-3, 0.0, 6e-3)):
        with pytest.raises(Unclear, match="the hole must be the smaller"):
            measured_core(5e-9, *sizes)


def test_one_layer_fits_or_does_not():
    """DERIVED: circles side by side inside a circle, 30° left open."""
    coil = wind_ring(1.83e-6, "T50-6", WIRE)
    inner = coil.core.inner - WIRE.overall
    assert coil.most_turns == int(math.pi * inner * 11 / 12 / WIRE.overall)
    assert coil.fits and not wind_ring(30e-6, "T37-6", WIRE).fits
    assert coil.wire_length > coil.turns * 2 * (
        (coil.core.outer - coil.core.inner) / 2 + coil.core.height)


def test_a_ring_that_cannot_be_wound_is_refused():
    with pytest.raises(Unclear, match="take one of"):
        wind_ring(1e-6, "T1000", WIRE)
    with pytest.raises(Unclear, match="turns on"):
        wind_ring(1e-9, "T50-2", WIRE)


# J. A. Osborn, Physical Review 67 (1945), 351, prolate ellipsoids (from memory): 1/3 for a sphere,
# 0.1736 for 2:1, 0.0558 for 5:1, 0.0203 for 10:1.
@pytest.mark.parametrize("slenderness, factor", [
    (1.0001, 1 / 3), (2, 0.1736), (5, 0.0558), (10, 0.0203)])
def test_demagnetising_factors(slenderness, factor):
    assert demagnetising(slenderness) == pytest.approx(factor, abs=1e-4)


def test_an_adjusting_core_never_takes_away():
    assert slug_gain(5e-3, 50e-3) == pytest.approx(1, abs=0.05)
    assert 1.5 < slug_gain(7e-3, 7.3e-3) < 3.5
    coil = Coil(turns=20, former=7e-3, length=7e-3, wire=wire_called("0.315 mm"))
    found = with_slug(coil)
    assert found.out == coil.inductance and found.fully_in == pytest.approx(found.out * found.gain, rel=1e-6, abs=0)
    assert found.reaches(1.2 * found.out) and not found.reaches(found.fully_in)
    assert not found.reaches(0.9 * found.out)


@pytest.mark.parametrize("inductance", [0.5e-6, 1.83e-6, 10e-6, 50e-6])
def test_a_wound_former_reaches_what_is_wanted(inductance):
    found = wind_slug(inductance, 7e-3, wire_called("0.2 mm"), 7e6)
    assert found.reaches(inductance) and found.coil.turns == int(found.coil.turns)


def ways(wanted, frequency=7e6, **other):
    given = dict(former=20e-3, air_wire=wire_called("0.8 mm"), spacing=1.5, core="T50-6",
                 ring_wire=WIRE, slug_former=7e-3, slug_wire=wire_called("0.315 mm"))
    return three_ways(wanted, frequency, **(given | other))


def test_three_ways_lead_to_the_same():
    found = ways(1.83e-6)
    assert [way.kind for way in found.all] == ["air", "ring", "slug"]
    assert found.air.off == pytest.approx(0, abs=1e-6)
    assert abs(found.ring.off) < 1 / found.ring.turns  # whole turns only
    assert found.slug.low < 1.83e-6 < found.slug.high and found.slug.off == 0
    # Common practice, no source: half to nine tenths of an air coil's; iron's own, if less.
    assert found.air.usual_q == pytest.approx((0.5 * found.air.q, 0.9 * found.air.q), rel=1e-6, abs=0)
    assert found.ring.usual_q == (150, 250) and found.slug.usual_q == (60, 150)
    assert found.slug.middling_q == 105
    for way in found.all:
        assert way.problem == "" and way.q > 50 and way.wire_length > 0.1


def test_wire_alone():
    """DERIVED: Q = ωL/R."""
    resistance = direct_resistance(0.5e-3, 0.4) * skin_ratio(0.5e-3, 7e6)
    assert wire_q(1.83e-6, 7e6, WIRE, 0.4) == pytest.approx(
        2 * math.pi * 7e6 * 1.83e-6 / resistance, rel=1e-6, abs=0)


def test_a_way_that_does_not_go_says_why():
    found = ways(60e-6, 2e6)
    assert "do not lie in one layer" in found.ring.problem
    impossible = ways(10e-9, 50e6, former=60e-3)
    assert "thinner former" in impossible.air.problem and math.isnan(impossible.air.off)
