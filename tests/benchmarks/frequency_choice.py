"""How long it takes to weigh every pair of amateur bands with every crystal, and how that grows.

    python -m tests.benchmarks.frequency_choice            about half a minute
    python -m tests.benchmarks.frequency_choice --quick    a few seconds

All pairs of the amateur bands from 1.8 to 30 MHz, both arrangements, from 10 to 1000
crystals, products up to several orders.  Beside it the same by plain Python loops
(``tests/compute/choice_by_search.py``): on a whole small case, so that both do the same
work, and on a sample of the large one, scaled up.  Also many receivers from one parts list.
Prints tables and writes ``tests/benchmarks/results/frequency_choice.json``.  Medians; on a
shared machine read the ratios and the growth, not the milliseconds.
"""

from __future__ import annotations

import argparse
import itertools
import platform
import random
import statistics
import time
from collections.abc import Callable
from importlib.metadata import version

from rxlearn.compute.frequency_choice import (
    AtHand,
    amateur_bands,
    choose_frequencies,
    own_crystals,
    pairs_of,
)
from rxlearn.compute.image_swapping import swap_bands
from rxlearn.compute.receiver_parts import design_build
from rxlearn.compute.tolerances import build_many
from rxlearn.data.crystals import STOCK_CRYSTALS, StockCrystal
from tests.benchmarks.report import put_down
from tests.compute import choice_by_search
from tests.compute.search_bench import search_bench

REGION = 2
GOALS_MS = {"100 crystals, order 15": 100.0, "10,000 receivers": 200.0}


def crystals(count: int) -> tuple[StockCrystal, ...]:
    """So many crystals: the stock list, then invented ones up to 32 MHz (whole hertz)."""
    drawn = random.Random(1)
    more = max(0, count - len(STOCK_CRYSTALS))
    extra = own_crystals([drawn.randrange(1_000_000, 32_000_000) for _ in range(more)])
    return (STOCK_CRYSTALS + extra)[:count]


def median_ms(work: Callable[[], object], rounds: int) -> float:
    """Median time of one call, after one that is not counted."""
    work()
    taken = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        taken.append(1e3 * (time.perf_counter() - began))
    return statistics.median(taken)


def growth(counts: tuple[int, ...], orders: tuple[int, ...], rounds: int) -> list[dict]:
    """Time over number of crystals and order, all pairs and both arrangements."""
    pairs = pairs_of(amateur_bands(REGION))
    rows = []
    for count, order in itertools.product(counts, orders):
        stock, at_hand = crystals(count), AtHand(region=REGION, order=order)
        choice = choose_frequencies(pairs, stock, at_hand=at_hand)
        taken = median_ms(lambda: choose_frequencies(pairs, stock, at_hand=at_hand), rounds)
        rows.append({"crystals": count, "order": order, "tried": choice.tried,
                     "weighed": len(choice), "work": int(choice.works.sum()), "ms": taken})
    return rows


def beside_the_search(order: int, *, case: int, sample: int, rounds: int) -> dict:
    """Ratio to plain loops: the same small case, and the large one scaled from a sample.

    The search stops where the middles lie three times the reach apart, as the package does.
    """
    pairs, stock, reach = pairs_of(amateur_bands(REGION)), crystals(100), AtHand().reach
    bench = search_bench(REGION, order=order, reach=3 * reach)
    at_hand = AtHand(region=REGION, order=order)

    def search(grid):
        return [
            choice_by_search.try_scheme(
                bench, (low.low, low.high), (high.low, high.high), crystal.frequency, summed,
                stop_if_far=True,
            )
            for (low, high), summed, crystal in grid
        ]

    small = pairs[:case], stock[:10 * case]
    whole = list(itertools.product(small[0], (False, True), small[1]))
    began = time.perf_counter()
    search(whole)
    searched = 1e3 * (time.perf_counter() - began)
    ours = median_ms(lambda: choose_frequencies(*small, at_hand=at_hand), rounds)
    full = list(itertools.product(pairs, (False, True), stock))
    drawn = random.Random(2).sample(full, sample)
    began = time.perf_counter()
    search(drawn)
    scaled = 1e3 * (time.perf_counter() - began) * len(full) / sample
    large = median_ms(lambda: choose_frequencies(pairs, stock, at_hand=at_hand), rounds)
    return {"order": order, "case_schemes": len(whole), "case_search_ms": searched,
            "case_ms": ours, "case_ratio": searched / ours, "large_schemes": len(full),
            "large_sample": sample, "large_search_ms_scaled": scaled, "large_ms": large,
            "large_ratio_scaled": scaled / large}


def receivers(counts: tuple[int, ...], rounds: int) -> list[dict]:
    """Time over number of receivers built."""
    build = design_build(swap_bands(3.5e6, 4.0e6, 10.1e6, 10.15e6, 3.2768e6), 40e-12)
    return [
        {"receivers": build_many(build, receivers=count).receivers,
         "ms": median_ms(lambda: build_many(build, receivers=count), rounds)}
        for count in counts
    ]


def measure(*, quick: bool = False) -> dict:
    """Everything, as it is written to the file."""
    rounds = 5 if quick else 25
    counts = (10, 100) if quick else (10, 30, 100, 300, 1000)
    orders = (5, 15) if quick else (5, 9, 15, 25, 40)
    return {
        "python": platform.python_version(), "numpy": version("numpy"),
        "scipy": version("scipy"), "machine": platform.machine(), "goals_ms": GOALS_MS,
        "growth": growth(counts, orders, rounds),
        "search": beside_the_search(
            15, case=3 if quick else 6, sample=60 if quick else 900, rounds=rounds
        ),
        "receivers": receivers((10_000,) if quick else (1_000, 10_000, 100_000), rounds),
    }


def table(measured: dict) -> str:
    """The measurements in words and columns."""
    lines = ["crystals  order   tried  weighed  work      ms"]
    lines += [
        f"{row['crystals']:8d}  {row['order']:5d}  {row['tried']:6d}  {row['weighed']:7d}  "
        f"{row['work']:4d}  {row['ms']:6.2f}" for row in measured["growth"]
    ]
    search = measured["search"]
    lines += [
        "",
        f"plain loops, {search['case_schemes']} schemes: {search['case_search_ms']:.0f} ms against "
        f"{search['case_ms']:.2f} ms: {search['case_ratio']:.0f} times as long",
        f"plain loops, {search['large_schemes']} schemes (scaled from {search['large_sample']}): "
        f"{search['large_search_ms_scaled']:.0f} ms against {search['large_ms']:.2f} ms: "
        f"{search['large_ratio_scaled']:.0f} times as long",
        "",
        "receivers      ms",
    ]
    lines += [f"{row['receivers']:9d}  {row['ms']:6.1f}" for row in measured["receivers"]]
    return "\n".join(lines)


def main() -> None:
    """Measure, print, write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer rounds and smaller cases")
    measured = measure(quick=parser.parse_args().quick)
    put_down("frequency_choice", table(measured), measured)


if __name__ == "__main__":
    main()
