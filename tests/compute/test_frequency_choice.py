"""Choosing frequencies: against a search by plain loops, and the invented receivers' flaws."""

import itertools
import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.compute.frequency_choice import (
    AtHand,
    Band,
    amateur_bands,
    choose_frequencies,
    own_crystals,
    pairs_of,
)
from rxlearn.compute.frequency_choice_columns import (
    IF_IN_BAND,
    NO_OSCILLATOR,
    TANK_EMPTY,
    TOO_FAR,
    Layout,
    failures,
)
from rxlearn.compute.frequency_choice_verdicts import (
    COLUMN_OF,
    COLUMNS,
    FRONT_COLUMNS,
    VERDICTS,
)
from rxlearn.compute.frequency_choice_words import weigh_scheme, why_nothing_works
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.recentring import recentre
from rxlearn.data.crystals import STOCK_CRYSTALS
from tests.compute import choice_by_search
from tests.compute.search_bench import search_bench

BANDS = {band.name: band for band in amateur_bands(2)}
BITS = {"no oscillator": NO_OSCILLATOR, "IF in band": IF_IN_BAND, "too far": TOO_FAR,
        "tank empty": TANK_EMPTY}


def pair(lower, upper, crystal, **options):
    """The weighed scheme of two amateur bands (region 2) and a crystal (Hz)."""
    choice = choose_frequencies([(BANDS[lower], BANDS[upper])], own_crystals([crystal]), **options)
    return weigh_scheme(choice, choice.row_of(0, crystal))


# Against the search ----------------------------------------------------------------


def hundred_crystals():
    """The stock list and more, to a hundred; whole hertz."""
    drawn = random.Random(4)
    more = [drawn.randrange(1_000_000, 32_000_000) for _ in range(100 - len(STOCK_CRYSTALS))]
    return STOCK_CRYSTALS + own_crystals(more)


def compare_row(choice, row, searched):
    """One row of the table against one scheme searched: every number."""
    numbers = {
        "miss": "shift", "capacitor": "capacitor", "coil": "coil", "share": "share",
        "oscillator": "oscillator", "radiation": "radiation",
        "radiated_harmonic": "radiated_harmonic", "image_lower": "image_lower",
        "image_upper": "image_upper", "breakthrough": "breakthrough",
        "medium_wave": "medium_wave", "beat_harmonic": "beat_harmonic",
        "whistles": "whistle_db", "self_made": "self_made_order",
    }
    for key, name in numbers.items():
        assert choice.values[key][row] == pytest.approx(searched[name], rel=1e-7, abs=1e-18), key
    assert abs(choice.values["if_place"][row]) == pytest.approx(searched["if_place"], rel=1e-6, abs=0)
    for name in ("whistle_count", "self_made_count"):
        assert choice.found[name][row] == searched[name], name


@pytest.mark.parametrize("options", [
    {}, {"reach": 0.2, "order": 9, "loaded_q": 120.0, "circuits": 2},
    {"region": 1, "capacitance_swing": 15e-12},
], ids=str)
def test_all_pairs_of_amateur_bands_against_the_search(options):
    """Which schemes can work, why the others cannot, and a sample of them in every number."""
    at_hand = AtHand(**options)
    pairs, crystals = pairs_of(amateur_bands(at_hand.region)), hundred_crystals()
    choice = choose_frequencies(pairs, crystals, at_hand=at_hand)
    assert choice.tried == len(pairs) * 200
    options = dict(options)
    swing = options.pop("capacitance_swing", 40e-12)
    options = {key: value for key, value in options.items() if key != "region"}
    bench = search_bench(at_hand.region, swing=swing, **options)
    # Where only the reasons are compared, the products need not be searched.
    hasty = search_bench(at_hand.region, swing=swing, **(options | {"order": 2}))
    rows = {(p, s, c): row for row, (p, s, c) in enumerate(
        zip(choice.pair.tolist(), choice.summed.tolist(), choice.crystal.tolist()))}
    edges = np.array([(a.low, a.high, b.low, b.high) for a, b in pairs])
    grid = list(itertools.product(range(len(pairs)), (False, True), range(len(crystals))))
    layout = Layout(
        *edges[[p for p, _, _ in grid]].T,
        np.array([crystals[c].frequency for _, _, c in grid]), np.array([s for _, s, _ in grid]),
    )
    reasons, _ = failures(layout, at_hand.reach)
    drawn = random.Random(7)
    sample = set(drawn.sample(grid, 800)) | set(rows)
    in_full = set(drawn.sample(sorted(rows), 150))
    works = 0
    for place, (p, s, c) in enumerate(grid):
        if (p, s, c) not in sample:
            continue
        a, b = pairs[p]
        quick = (p, s, c) not in in_full
        searched = choice_by_search.try_scheme(
            hasty if quick else bench,
            (a.low, a.high), (b.low, b.high), crystals[c].frequency, s,
        )
        assert reasons[place] == sum(BITS[reason] for reason in searched["reasons"])
        near = len(searched["reasons"]) == 1 and searched["away"] <= 3 * at_hand.reach
        assert ((p, s, c) in rows) == (not searched["reasons"] or near)
        works += not searched["reasons"]
        if not quick and "tank empty" not in searched["reasons"]:
            compare_row(choice, rows[p, s, c], searched)
    assert choice.works.sum() == works > 100


def test_front_against_the_search():
    """Every workable scheme compared with every other of its pair, in the same whole steps."""
    pairs = pairs_of(amateur_bands(2))
    choice = choose_frequencies(pairs, at_hand=AtHand(reach=0.1))
    bench = search_bench(reach=0.1)
    steps = {}
    for row in np.flatnonzero(choice.works):
        a, b = pairs[choice.pair[row]]
        searched = choice_by_search.try_scheme(
            bench, (a.low, a.high), (b.low, b.high),
            choice.crystals[choice.crystal[row]].frequency, bool(choice.summed[row]),
        )
        costs = choice_by_search.costs_of(searched, a.width + b.width)
        steps[row] = [round(costs[key] / COLUMN_OF[key].step) for key in FRONT_COLUMNS]
    assert len(steps) > 100
    for row, mine in steps.items():
        others = [steps[other] for other in steps
                  if other != row and choice.pair[other] == choice.pair[row]]
        assert choice.on_front[row] == (not choice_by_search.beaten(mine, others))
    assert 0 < choice.on_front.sum() < choice.works.sum()
    assert not choice.on_front[~choice.works].any()


@given(st.lists(st.integers(1_500_000, 29_000_000), min_size=2, max_size=5, unique=True),
       st.lists(st.integers(30_000, 900_000), min_size=5, max_size=5),
       st.lists(st.integers(300_000, 31_000_000), min_size=1, max_size=6, unique=True),
       st.integers(2, 8))
@settings(max_examples=40, deadline=None)
def test_any_bands_against_the_search(starts, widths, crystals, order):
    """Whole small cases of typed edges: all pairs, all crystals, both arrangements."""
    bands = [Band(f"band {i}", low, low + width) for i, (low, width) in
             enumerate(zip(sorted(starts), widths))]
    pairs = pairs_of(bands)
    if not pairs:
        return
    choice = choose_frequencies(
        pairs, own_crystals(crystals), at_hand=AtHand(order=order, reach=0.3)
    )
    bench = search_bench(order=order, reach=0.3)
    for p, (a, b) in enumerate(pairs):
        for crystal, arrangement in itertools.product(crystals, ("difference", "sum")):
            searched = choice_by_search.try_scheme(
                bench, (a.low, a.high), (b.low, b.high), crystal, arrangement == "sum"
            )
            row = choice.row_of(p, crystal, arrangement=arrangement)
            if not searched["reasons"]:
                assert choice.works[row]
                compare_row(choice, row, searched)
            else:
                assert row is None or not choice.works[row]


@pytest.mark.parametrize("row", range(0, 180, 7))
def test_rows_agree_with_one_scheme_at_a_time(row):
    """Independent route inside the package: swap_bands and recentre, one scheme at a time."""
    choice = choose_frequencies(pairs_of(amateur_bands(2)), hundred_crystals())
    row = int(choice.ranked()[row])
    scheme = weigh_scheme(choice, row)
    plan = scheme.plan
    assert plan.works and scheme.reasons == ()
    moved = recentre(plan, choice.values["coil"][row])
    assert choice.values["capacitor"][row] == pytest.approx(moved.capacitance, rel=1e-6, abs=0)
    assert choice.values["share"][row] == pytest.approx(moved.share, rel=1e-6, abs=0)
    assert bool(choice.found["covered"][row]) == moved.covered
    assert choice.values["miss"][row] == pytest.approx(plan.centre_shift, rel=1e-6, abs=0)
    assert choice.layout.outside[row] == pytest.approx(plan.outside, rel=1e-6, abs=0)
    assert choice.values["sideband"][row] == plan.beat_oscillator_changes_sides
    assert choice.values["direction"][row] == plan.lower.tunes_backwards
    crossed = sum(item.signal_high - item.signal_low for item in plan.radiation)
    assert choice.values["radiation"][row] == pytest.approx(crossed, rel=1e-6, abs=0)
    heard = scheme.whistles_lower + scheme.whistles_upper
    assert choice.found["whistle_count"][row] == sum(not item.self_made for item in heard)


# The invented receivers' known flaws ------------------------------------------------


def test_the_workbook_receiver_shows_its_flaws():
    """Invented for the workbook; DERIVED: what its planner left to be found."""
    scheme = pair("80 m", "30 m", 3.2768e6)
    assert scheme.mark("radiation").verdict == "poor"
    assert "crosses 40 m while 3.7232 to 4 MHz of 80 m is tuned" in scheme.mark("radiation").text
    assert scheme.mark("radiation").value == pytest.approx(276.8e3, rel=1e-6, abs=0)
    through = scheme.mark("breakthrough")
    assert through.verdict == "poor" and through.value == pytest.approx(16.5, abs=0.05)
    assert "223.2 kHz below 80 m" in through.text
    assert scheme.mark("if_place").verdict == "poor"
    assert "90 m broadcast (tropical zone only)" in scheme.mark("if_place").text
    assert scheme.mark("sideband").verdict == "fair"
    assert "changes sides" in scheme.mark("sideband").text
    share = scheme.mark("share")
    assert share.verdict == "poor" and "10.0 times as wide" in share.text
    assert scheme.mark("miss").value == pytest.approx(-178.6e3, rel=1e-6, abs=0)
    assert scheme.mark("capacitor").value == pytest.approx(14.8e-12, abs=0.05e-12)
    assert scheme.mark("coil").value == pytest.approx(1.83e-6, abs=0.005e-6)
    for text in (scheme.mark("radiation").text, through.text):
        assert text in scheme.sentence


def test_20_m_and_17_m():
    """Invented; DERIVED: inside the dial, no shift needed; 7 × 2.000 falls on 14.000 MHz."""
    scheme = pair("20 m", "17 m", 2.0e6)
    assert scheme.mark("miss").verdict == "good"
    assert scheme.mark("miss").text.startswith("17 m lies on the 20 m dial as it stands")
    assert scheme.mark("miss").value == pytest.approx(-57e3, rel=1e-6, abs=0)
    assert "7 × 2 MHz = 14 MHz falls in 20 m" in scheme.mark("beat_harmonic").text


def test_30_m_and_17_m():
    """Invented; DERIVED: a wider dial than 30 m's, oscillator in 20 m, IF at the edge of 80 m."""
    scheme = pair("30 m", "17 m", 4.0e6)
    assert scheme.mark("miss").value == pytest.approx(-7e3, rel=1e-6, abs=0)
    assert "a dial laid out for 30 m would show only 50 kHz of 17 m" in scheme.mark("share").text
    assert scheme.mark("radiation").text.count("crosses 20 m") == 2
    assert scheme.mark("if_place").text == "the IF lies at the edge of 80 m"
    assert scheme.mark("if_place").verdict == "poor"


def test_30_m_and_20_m():
    """Invented; DERIVED: seven times the dial; 7 × 2.048 = 14.336 MHz in band."""
    scheme = pair("30 m", "20 m", 2.048e6)
    assert scheme.mark("miss").value == pytest.approx(-46e3, rel=1e-6, abs=0)
    assert "20 m is 7.0 times as wide" in scheme.mark("share").text
    assert "7 × 2.048 MHz = 14.336 MHz falls in 20 m" in scheme.mark("beat_harmonic").text
    assert scheme.mark("beat_harmonic").verdict == "fair"


def test_160_m_and_30_m():
    """Invented; DERIVED: inside the dial, and the capacitor belongs on the *low* band."""
    scheme = pair("160 m", "30 m", 4.096e6)
    assert scheme.mark("miss").value == pytest.approx(33e3, rel=1e-6, abs=0)
    assert scheme.mark("miss").verdict == "good"
    assert "switched in on 160 m" in scheme.mark("capacitor").text


def test_40_m_and_20_m():
    """Invented; DERIVED: IF inside 80 m, 2 × and 4 × the IF in band."""
    scheme = pair("40 m", "20 m", 3.579545e6)
    assert scheme.mark("miss").value == pytest.approx(-134.09e3, rel=1e-6, abs=0)
    assert scheme.mark("miss").verdict == "fair"
    assert "80 m" in scheme.mark("if_place").text and scheme.mark("if_place").verdict == "poor"
    beat = scheme.mark("beat_harmonic")
    assert beat.verdict == "poor" and beat.value == 2
    assert "2 × 3.579545 MHz" in beat.text and "4 × 3.579545 MHz" in beat.text
    # Twice the IF is also where the station itself whistles.
    assert "7.15909 MHz in 40 m whistles by 2·signal − oscillator" in scheme.mark("whistles").text


def test_80_m_and_12_m():
    """Invented; DERIVED: oscillator in 20 m; 10 kHz of 12 m lie beyond the dial."""
    scheme = pair("80 m", "12 m", 10.7e6)
    assert scheme.mark("miss").value == pytest.approx(-210e3, rel=1e-6, abs=0)
    assert "10 kHz of 12 m lie beyond the dial" in scheme.mark("miss").text
    text = scheme.mark("radiation").text
    assert "3.5 to 3.65 MHz of 80 m" in text and "24.89 to 24.99 MHz of 12 m" in text
    stock = choose_frequencies([(BANDS["80 m"], BANDS["12 m"])])
    row = stock.row_of(0, 10.7e6)
    assert "sold as ready-made filters" in weigh_scheme(stock, row).crystal.reason


def test_17_m_and_10_m():
    """Invented; DERIVED: a time station on the IF; only 100 kHz of 10 m on a dial for 17 m."""
    scheme = pair("17 m", "10 m", 5.0e6)
    assert scheme.mark("miss").value == pytest.approx(732e3, rel=1e-6, abs=0)
    assert "time station on 5 MHz" in scheme.mark("if_place").text
    assert scheme.mark("if_place").verdict == "poor"
    assert "would show only 100 kHz of 10 m" in scheme.mark("share").text


# Ranking, words and refusals ---------------------------------------------------------


def test_ranking_follows_what_matters():
    choice = choose_frequencies(pairs_of(amateur_bands(2)))
    ranked = choice.ranked()
    assert choice.works[ranked].all() and len(ranked) == choice.works.sum()
    points = choice.points()
    assert np.all(np.diff(points[ranked]) >= 0)
    only = choice.ranked({key: 0.0 for key in COLUMN_OF if key != "breakthrough"})
    verdicts = choice.verdicts["breakthrough"][only]
    assert np.all(np.diff(verdicts.astype(int)) >= 0) and verdicts[0] < verdicts[-1]
    by = choice.ranked(by="image_upper")
    assert np.all(np.diff(choice.values["image_upper"][by]) <= 0)
    recount = [sum((0, 1, 3)[choice.verdicts[c.key][row]] for c in COLUMNS) for row in ranked]
    assert points[ranked].tolist() == recount


def test_verdicts_follow_the_limits_that_each_column_states():
    choice = choose_frequencies(pairs_of(amateur_bands(2)), hundred_crystals())
    limits = {"image_lower": (60, 40), "image_upper": (60, 40), "breakthrough": (60, 40)}
    for key, (good, fair) in limits.items():
        for value, verdict in zip(choice.values[key], choice.verdicts[key]):
            word = "good" if value >= good else "fair" if value >= fair else "poor"
            assert VERDICTS[verdict] == word
    for value, verdict in zip(choice.values["coil"], choice.verdicts["coil"]):
        word = ("good" if 0.3e-6 <= value <= 10e-6 else
                "fair" if 0.1e-6 <= value <= 30e-6 else "poor")
        assert VERDICTS[verdict] == word


def test_near_misses_say_why():
    choice = choose_frequencies(pairs_of(amateur_bands(2)))
    near = choice.near_misses()
    assert len(near) and np.all(np.diff(choice.away[near]) >= 0)
    first = [weigh_scheme(choice, row) for row in near[:20]]
    assert all(scheme.reasons and "cannot work" in scheme.sentence for scheme in first)
    inside = next(scheme for scheme in first if scheme.crystal.frequency == 7.15909e6)
    assert "lies inside one of the bands" in inside.sentence
    far = next(scheme for scheme in first if "at most" in scheme.sentence)
    shift = abs(far.plan.centre_shift)
    assert far.reasons[0].startswith(f"The middles lie {show(shift, 'Hz', digits=7)} apart")


def test_a_tank_that_holds_too_little_says_so():
    """DERIVED: the capacitor would have to be taken away on the narrower band."""
    lower, upper = Band("wide", 0.6e6, 3.5e6), Band("narrow", 3.88e6, 3.92e6)
    choice = choose_frequencies([(lower, upper)], own_crystals([0.5e6]),
                                at_hand=AtHand(reach=0.5))
    (row,) = [r for r in range(len(choice)) if not choice.summed[r]]
    scheme = weigh_scheme(choice, row)
    assert choice.reasons[row] == TANK_EMPTY
    assert "would have to be taken from a tank that holds" in scheme.reasons[0]
    with pytest.raises(Unclear):
        recentre(scheme.plan, choice.values["coil"][row])


def test_a_pair_without_a_crystal_is_told_where_it_would_meet():
    """DERIVED: 40 m + 30 m meet at (10.125 − 7.15)/2 = 1.4875 and (10.125 + 7.15)/2 = 8.6375."""
    choice = choose_frequencies([(BANDS["40 m"], BANDS["30 m"]), (BANDS["80 m"], BANDS["30 m"])])
    sentence = why_nothing_works(choice, 0)
    assert "1.4875 MHz" in sentence and "8.6375 MHz" in sentence and "711.4 kHz" in sentence
    with pytest.raises(Unclear, match="^This pair has schemes that work"):
        why_nothing_works(choice, 1)
    with pytest.raises(Unclear, match="^Pair 9 is not among the 2"):
        why_nothing_works(choice, 9)
    mended = choose_frequencies([choice.pairs[0]], own_crystals([1.48e6, 8.64e6]))
    assert sorted(mended.summed[mended.works].tolist()) == [False, True]


def test_sum_scheme_keeps_the_beat_oscillator_and_turns_the_dial_round():
    lower, upper = BANDS["80 m"], BANDS["30 m"]
    choice = choose_frequencies([(lower, upper)], own_crystals([6.9375e6]))
    scheme = weigh_scheme(choice, choice.row_of(0, 6.9375e6, arrangement="sum"))
    assert scheme.plan.lower.injection == "sum" and scheme.plan.centre_shift == 0
    assert scheme.mark("sideband").verdict == "good"
    assert scheme.mark("direction").verdict == "fair"
    assert scheme.mark("capacitor").text == "no capacitor need be switched"


def test_usual_sidebands_spare_the_change_of_sides():
    """Lower sideband below 10 MHz, upper above (common practice): the sides then agree."""
    scheme = pair("80 m", "30 m", 3.2768e6, at_hand=AtHand(sideband_on_lower="lower"))
    assert scheme.mark("sideband").verdict == "good"


def test_every_scheme_has_its_sentence():
    choice = choose_frequencies(pairs_of(amateur_bands(3)), at_hand=AtHand(region=3))
    for row in range(len(choice)):
        scheme = weigh_scheme(choice, row)
        assert len(scheme.sentence.splitlines()) == 1 and "nan" not in scheme.sentence
        assert [mark.key for mark in scheme.marks] == list(COLUMN_OF)
        assert all(mark.text and "nan" not in mark.text for mark in scheme.marks)


def test_pairs_leave_out_bands_that_overlap():
    bands = [Band("a", 1e6, 2e6), Band("b", 1.5e6, 3e6), Band("c", 4e6, 5e6)]
    assert [(low.name, high.name) for low, high in pairs_of(bands)] == [("a", "c"), ("b", "c")]
    assert len(pairs_of(amateur_bands(1))) == 45


@pytest.mark.parametrize("call, name", [
    (lambda: choose_frequencies([]), "Bands are missing"),
    (lambda: choose_frequencies([(BANDS["80 m"], BANDS["30 m"])], ()), "Crystals are missing"),
    (lambda: choose_frequencies([(BANDS["30 m"], BANDS["80 m"])]), "Lower band 10.1 to 10.15 MHz"),
    (lambda: choose_frequencies([(BANDS["80 m"], BANDS["30 m"])], front=("beauty",)),
     "Column “beauty”"),
    (lambda: Band("x", 4e6, 3e6), "Band from 4 MHz"),
    (lambda: Band("x", math.nan, 3e6), "Band edge"),
    (lambda: own_crystals([-1.0]), "Intermediate frequency"),
    (lambda: own_crystals([math.inf]), "Intermediate frequency"),
    (lambda: amateur_bands(4), "Region “4”"),
    (lambda: AtHand(order=0), "Highest order"),
    (lambda: AtHand(loaded_q=-50.0), "Loaded Q"),
    (lambda: AtHand(circuits=1.5), "Number of tuned circuits"),
    (lambda: AtHand(capacitance_swing=math.nan), "Capacitance swing"),
    (lambda: AtHand(reach=2.0), "Reach of the switched capacitor"),
    (lambda: AtHand(sideband_on_lower="both"), "Sideband “both”"),
])
def test_bad_value_is_named(call, name):
    with pytest.raises(Unclear) as error:
        call()
    assert str(error.value).startswith(name)
    assert len(str(error.value).splitlines()) == 1


def test_bad_rows_columns_and_weights_are_named():
    choice = choose_frequencies([(BANDS["80 m"], BANDS["30 m"])])
    for row in (-1, len(choice), True, 1.5, "0"):
        with pytest.raises(Unclear, match="is not in this table"):
            weigh_scheme(choice, row)
    with pytest.raises(Unclear, match="^Weight"):
        choice.points({"miss": -1.0})
    with pytest.raises(Unclear, match="^Column “smell” is unknown"):
        choice.ranked(by="smell")
    with pytest.raises(Unclear, match="^Combinations number"):
        choose_frequencies([(BANDS["80 m"], BANDS["30 m"])] * 30_000)


def test_swap_bands_knows_the_same_reasons():
    """A scheme that swap_bands calls workable has no reason but reach or tank here."""
    choice = choose_frequencies(pairs_of(amateur_bands(2)), hundred_crystals())
    for row in range(len(choice)):
        lower, upper = choice.pairs[choice.pair[row]]
        injection = "sum" if choice.summed[row] else "high"
        plan = swap_bands(lower.low, lower.high, upper.low, upper.high,
                          choice.crystals[choice.crystal[row]].frequency,
                          lower_injection=injection)
        assert plan.works == (choice.reasons[row] & (NO_OSCILLATOR | IF_IN_BAND) == 0)
