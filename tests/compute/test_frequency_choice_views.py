"""Profile, weights, survey and walk: against plain sums, other modules, and the invented receiver."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rxlearn.compute.frequency_choice import (
    AtHand,
    Band,
    amateur_bands,
    choose_frequencies,
    own_crystals,
)
from rxlearn.compute.frequency_choice_cells import cell, sorting_values, verdict_of
from rxlearn.compute.frequency_choice_columns import DIFFERENCE, SUMMED
from rxlearn.compute.frequency_choice_verdicts import COLUMN_OF, COLUMNS
from rxlearn.compute.frequency_choice_views import (
    GROUPS,
    PROFILE,
    profile_of,
    standing,
    survey_pairs,
    weigh_groups,
)
from rxlearn.compute.frequency_walk import axis_of, walk_to
from rxlearn.compute.quantities import Unclear
from rxlearn.data.crystals import STOCK_CRYSTALS

M80, M30 = Band("80 m", 3.5e6, 4.0e6), Band("30 m", 10.1e6, 10.15e6)
M40, M20 = Band("40 m", 7.0e6, 7.3e6), Band("20 m", 14.0e6, 14.35e6)
M17, M10 = Band("17 m", 18.068e6, 18.168e6), Band("10 m", 28.0e6, 29.7e6)
PAIRS = ((M80, M30), (M40, M20), (M17, M10), (M20, M17))


@pytest.fixture(scope="module", params=PAIRS, ids=lambda pair: f"{pair[0].name} {pair[1].name}")
def choice(request):
    return choose_frequencies([request.param])


# Profile ----------------------------------------------------------------------------


@given(st.sampled_from(COLUMNS), st.floats(-1e9, 1e9), st.floats(-1e9, 1e9))
def test_a_lower_cost_never_stands_lower_and_each_stands_on_its_verdicts_side(column, one, other):
    """DERIVED from the definition: below 1 poor, to 2 fair, above it good."""
    low, high = sorted((one, other))
    better, worse = standing(column.key, np.array([low, high]))
    assert 3 >= better >= worse >= 0
    for cost, place in ((low, better), (high, worse)):
        zone = "good" if cost <= column.good else "fair" if cost <= column.fair else "poor"
        assert zone == ("good" if place > 2 else "fair" if place > 1 else "poor")


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.key)
def test_on_the_limits_it_is_seen_on_which_side_a_scheme_stands(column):
    step = 1e-6 * (column.fair - column.good)
    good, just, fair, poor = standing(column.key, np.array(
        [column.good, column.good + step, column.fair, column.fair + step]))
    assert good > 2.1 and 1.8 < just < 1.9 and 1.1 < fair < 1.2 and poor < 0.9


def test_the_profile_agrees_with_the_verdicts(choice):
    for row in choice.ranked():
        profile = profile_of(choice, int(row))
        assert profile.rows[profile.picked] == row and profile.keys == PROFILE
        for place, key in enumerate(profile.keys):
            zone = ("poor", "fair", "good")[int(min(2, profile.standings[profile.picked][place]))]
            assert zone == verdict_of(choice, row, key)


def test_a_scheme_that_does_not_work_has_no_profile(choice):
    with pytest.raises(Unclear, match="none of the"):
        profile_of(choice, int(choice.near_misses()[0]))
    with pytest.raises(Unclear, match="none of the"):
        profile_of(choice, 10**6)


# Weights ----------------------------------------------------------------------------


def test_each_column_stands_in_one_group():
    assert sorted(itertools.chain(*GROUPS.values())) == sorted(column.key for column in COLUMNS)


@pytest.mark.parametrize("weights", list(itertools.product((0.0, 0.7, 2.0), repeat=4))[1::7])
def test_points_are_the_sum_of_fair_and_poor(choice, weights):
    """DERIVED from the definition: 1 for each fair, 3 for each poor, times the weight."""
    weighing = weigh_groups(choice, **dict(zip(GROUPS, weights)))
    totals = []
    for place, row in enumerate(weighing.rows):
        total = 0.0
        for (group, keys), weight in zip(GROUPS.items(), weights):
            words = [verdict_of(choice, row, key) for key in keys]
            points = weight * (words.count("fair") + 3 * words.count("poor"))
            assert weighing.points[group][place] == pytest.approx(points, rel=1e-6, abs=0)
            total += points
        totals.append(total)
        assert weighing.totals[place] == pytest.approx(total, rel=1e-6, abs=0)
    assert totals == pytest.approx(sorted(totals), rel=1e-6, abs=0)
    assert sorted(weighing.rows) == sorted(choice.ranked())


def test_equal_weights_give_the_usual_order(choice):
    assert list(weigh_groups(choice).rows) == list(choice.ranked())


@pytest.mark.parametrize("weights", [{"dial": -1}, {"quiet": 2.1}, {"rejection": math.nan},
                                     dict.fromkeys(GROUPS, 0.0)])
def test_weights_that_will_not_do(weights):
    with pytest.raises(Unclear, match=r"\.$"):
        weigh_groups(choose_frequencies([(M80, M30)]), **weights)


# Every pair -------------------------------------------------------------------------


@pytest.mark.parametrize("region", [1, 2, 3])
def test_the_survey_says_of_each_pair_what_the_pair_alone_says(region):
    at_hand = AtHand(region=region, order=7)
    survey = survey_pairs(STOCK_CRYSTALS, at_hand)
    bands = amateur_bands(region)
    assert len(survey.best) == len(bands) * (len(bands) - 1) // 2 == 45
    served = 0
    for (lower, upper), row in survey.best.items():
        alone = choose_frequencies([(bands[lower], bands[upper])], at_hand=at_hand)
        ranked = alone.ranked()
        assert survey.works[lower, upper] == len(ranked)
        served += len(ranked) > 0
        if not len(ranked):
            assert row is None
            continue
        assert survey.choice.points()[row] == alone.points()[ranked[0]]
        assert (survey.choice.layout.intermediate[row], survey.choice.summed[row]) == (
            alone.layout.intermediate[ranked[0]], alone.summed[ranked[0]])
    assert survey.served == served


def test_a_larger_reach_serves_no_fewer_pairs():
    served = [survey_pairs(STOCK_CRYSTALS, AtHand(reach=reach, order=5)).served
              for reach in (0.0, 0.01, 0.05, 0.1)]
    assert served == sorted(served) and served[0] < served[-1]


# The walk ---------------------------------------------------------------------------


def rejection(frequency, centre, q, circuits):
    """dB of isolated resonators, written again (DERIVED from the resonator's response)."""
    slope = q * (frequency / centre - centre / frequency)
    return 10 * circuits * math.log10(1 + slope**2)


def by_hand(lower, upper, intermediate, summed, q, circuits):
    """The three rejections at the worst edge, from oscillator = signal ± IF."""
    images = {}
    for name, band in (("lower", lower), ("upper", upper)):
        worst = []
        for edge in (band.low, band.high):
            if name == "upper":
                image = abs(edge - 2 * intermediate)
            elif summed:  # oscillator = IF − signal; its other response is signal − oscillator
                image = 2 * intermediate - edge
            else:
                image = edge + 2 * intermediate
            worst.append(rejection(image, edge, q, circuits) if image else math.inf)
        images[name] = min(worst)
    inside = any(band.low <= intermediate <= band.high for band in (lower, upper))
    through = 0.0 if inside else min(
        rejection(intermediate, edge, q, circuits)
        for band in (lower, upper) for edge in (band.low, band.high))
    return images["lower"], images["upper"], through


@pytest.mark.parametrize("arrangement", [DIFFERENCE, SUMMED])
@pytest.mark.parametrize("lower, upper", PAIRS)
def test_the_curves_are_those_of_the_formula(lower, upper, arrangement):
    for q, circuits in ((50.0, 1), (120.0, 2)):
        walk = walk_to(lower, upper, 0.9 * upper.low, STOCK_CRYSTALS, arrangement=arrangement,
                       at_hand=AtHand(loaded_q=q, circuits=circuits))
        seen = 0
        for place, intermediate in enumerate(walk.axis):
            found = [curve[place] for curve in
                     (walk.image_lower, walk.image_upper, walk.breakthrough)]
            oscillator = intermediate - lower.high if arrangement == SUMMED else upper.low - intermediate
            if oscillator < 1e3 or upper.low - intermediate < 1e3:
                assert all(math.isnan(value) for value in found)
                continue
            wanted = by_hand(lower, upper, intermediate, arrangement == SUMMED, q, circuits)
            assert found == pytest.approx(wanted, rel=1e-9, abs=1e-9)
            seen += 1
        assert seen > 40
        assert list(walk.here.values()) == pytest.approx(
            by_hand(lower, upper, 0.9 * upper.low, arrangement == SUMMED, q, circuits), rel=1e-9, abs=0)


@pytest.mark.parametrize("reach", [0.01, 0.05, 0.1])
@pytest.mark.parametrize("arrangement", [DIFFERENCE, SUMMED])
@pytest.mark.parametrize("lower, upper", PAIRS)
def test_just_inside_the_window_a_crystal_works_and_just_outside_it_does_not(
    lower, upper, arrangement, reach
):
    """Against the choice itself, with a crystal on either side of each edge."""
    at_hand = AtHand(reach=reach, order=5)
    walk = walk_to(lower, upper, 1e6, STOCK_CRYSTALS, arrangement=arrangement, at_hand=at_hand)
    low, high = walk.window
    assert low < walk.meeting < high
    for edge, inward in ((low, 1), (high, -1)):
        for step, wanted in ((1e3, True), (-1e3, False)):
            crystal = edge + inward * step
            near = walk_to(lower, upper, crystal, STOCK_CRYSTALS, arrangement=arrangement,
                           at_hand=at_hand)
            assert near.within_reach is wanted
            found = choose_frequencies([(lower, upper)], own_crystals([crystal]), at_hand=at_hand)
            row = found.row_of(0, crystal, arrangement=arrangement)
            works = row is not None and bool(found.works[row])
            assert works is (wanted and not near.in_band)


def test_the_invented_receiver_on_the_axis():
    """Shift, middle of meeting and breakthrough as worked out by hand: 2 × (3.2768 − 3.1875) MHz;
    rejection at 3.5 MHz with Q 50 is 10 lg(1 + (50 × 0.1319)²) = 16.5 dB."""
    walk = walk_to(M80, M30, 3.2768e6, STOCK_CRYSTALS, arrangement=DIFFERENCE, at_hand=AtHand())
    assert walk.meeting == 3.1875e6 and walk.shift == pytest.approx(-178.6e3, rel=1e-6, abs=0)
    assert walk.here["breakthrough"] == pytest.approx(16.5, abs=0.05)
    assert walk.occupant.name == "90 m broadcast" and walk.distance == 0
    assert walk.crystal.frequency == 3.2768e6 and walk.within_reach and not walk.in_band
    assert walk_to(M80, M30, 3.7e6, STOCK_CRYSTALS, arrangement=DIFFERENCE, at_hand=AtHand()).in_band


@pytest.mark.parametrize("change", [
    {"intermediate": math.nan}, {"intermediate": -1.0}, {"lower": M30, "upper": M80},
    {"crystals": ()},
])
def test_what_cannot_be_walked(change):
    given = {"lower": M80, "upper": M30, "intermediate": 3e6, "crystals": STOCK_CRYSTALS} | change
    with pytest.raises(Unclear, match=r"\.$"):
        walk_to(*given.values(), arrangement=DIFFERENCE, at_hand=AtHand())


def test_the_axis_ends_below_the_upper_band():
    assert axis_of(M30) == (300e3, 10.1e6 - 1e3)
    low, high = axis_of(Band("low", 120e3, 130e3))
    assert 0 < low < high < 120e3
    with pytest.raises(Unclear, match="too low"):
        axis_of(Band("lowest", 1.5e3, 2e3))


# Cells ------------------------------------------------------------------------------


def test_the_invented_receivers_cells():
    """The same numbers as in its description: 179 kHz, 15 pF, 11 % of the dial, 223 kHz off."""
    choice = choose_frequencies([(M80, M30)])
    row = choice.row_of(0, 3.2768e6)
    assert {key: cell(choice, row, key) for key in COLUMN_OF} == {
        "miss": "178.6 kHz", "capacitor": "15 pF, 5.7 %", "coil": "1.83 µH", "share": "11 %",
        "oscillator": "6.7768 to 7.2768 MHz", "radiation": "276.8 kHz",
        "radiated_harmonic": "harmonic 2", "image_lower": "41.1 dB", "image_upper": "41.8 dB",
        "breakthrough": "16.5 dB", "if_place": "on 90 m broadcast", "medium_wave": "1.572 MHz",
        "beat_harmonic": "none", "whistles": "too weak to hear", "self_made": "order 15",
        "sideband": "changes sides", "direction": "same way",
    }


def test_every_cell_of_every_pair_is_short_and_each_column_can_be_sorted():
    choice = choose_frequencies(
        [pair for pair in itertools.combinations(amateur_bands(2), 2)], at_hand=AtHand(order=7))
    for key in COLUMN_OF:
        values = sorting_values(choice, key)
        assert values.shape == (len(choice),) and not np.isnan(values).any()
        for row in choice.ranked():
            text = cell(choice, int(row), key)
            assert 1 < len(text) <= 44 and "nan" not in text and "inf" not in text, text
