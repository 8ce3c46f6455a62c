"""What quasi-random receivers are worth: plain chance needs how many for the same certainty?

    python -m tests.benchmarks.tolerances            about a minute
    python -m tests.benchmarks.tolerances --quick    a few seconds

The demo receiver with a tenth of room is built many times, once from scrambled Sobol' points
as the package draws them and once from numpy's pseudo-random numbers; all else is the same
code.  The error of a share is measured, not taken from a formula: its root mean square over
many seeds against the share in a million quasi-random receivers.  Plain chance errs with
1/√N, so N times the square of the ratio of errors is what it needs for the same certainty, and
that many are then built and timed.
Prints a table and writes ``tests/benchmarks/results/tolerances.json``.  Medians; on a shared
machine read the ratios, not the milliseconds.
"""

from __future__ import annotations

import argparse
import math
import platform
import statistics
import time
from collections.abc import Callable
from importlib.metadata import version

import numpy as np

from rxlearn.compute.receiver_parts import PARTS, Build
from rxlearn.compute.tolerances import Draws, build_many, draw
from rxlearn.plan.document import Plan
from rxlearn.plan.tolerances import many_times
from tests.benchmarks.report import put_down

GOAL_MS = 200.0
ROOM = 0.1
SHARES = ("covers", "covers_untrimmed", "all_well")


def plain_draw(receivers: int, seed: int) -> Draws:
    """The same chance by pseudo-random numbers."""
    random = np.random.default_rng(seed)
    return Draws(seed, receivers, random.random((2 * len(PARTS) + 1, receivers)))


def quasi_draw(receivers: int, seed: int) -> Draws:
    """As the package draws."""
    return draw(receivers=receivers, seed=seed)


def shares(build: Build, draws: Draws) -> dict[str, float]:
    """The shares that are compared."""
    found = build_many(build, draws=draws)
    return {name: getattr(found, name).value for name in SHARES}


def errors(
    build: Build, drawn: Callable[[int, int], Draws], receivers: int, seeds: int,
    truth: dict[str, float],
) -> dict[str, float]:
    """Root mean square error of each share over ``seeds``."""
    found = [shares(build, drawn(receivers, seed)) for seed in range(1, seeds + 1)]
    return {name: math.sqrt(statistics.fmean((one[name] - truth[name]) ** 2 for one in found))
            for name in SHARES}


def median_ms(work: Callable[[], object], rounds: int) -> float:
    """Median time of one call, after one that is not counted."""
    work()
    taken = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        taken.append(1e3 * (time.perf_counter() - began))
    return statistics.median(taken)


def truth_of(build: Build, *, blocks: int) -> dict[str, float]:
    """Shares in ``blocks`` times 131,072 quasi-random receivers, of seeds that nobody else takes."""
    found = [shares(build, draw(receivers=131_072, seed=10_000 + n)) for n in range(blocks)]
    return {name: statistics.fmean(one[name] for one in found) for name in SHARES}


def measure(*, quick: bool = False) -> dict:
    """Everything, as it is written to the file."""
    build = many_times(Plan.demo()).build(room=ROOM)
    seeds, rounds = (12, 3) if quick else (60, 15)
    truth = truth_of(build, blocks=2 if quick else 8)
    receivers = draw(receivers=10_000).receivers
    quasi = errors(build, quasi_draw, receivers, seeds, truth)
    plain = errors(build, plain_draw, receivers, seeds, truth)
    rows = []
    for name in SHARES:
        ratio = plain[name] / quasi[name]
        needed = 8 * round(receivers * ratio**2 / 8)  # shares are taken in eight lots
        rows.append({"share": name, "truth": truth[name], "quasi_error": quasi[name],
                     "plain_error": plain[name], "receivers_needed_by_plain": needed,
                     "ratio_of_receivers": ratio**2})
    kept = draw(receivers=10_000)
    times = {
        "quasi_ms": median_ms(lambda: build_many(build, receivers=10_000), rounds),
        "quasi_kept_draws_ms": median_ms(lambda: build_many(build, draws=kept), rounds),
        "plain_ms": median_ms(lambda: build_many(build, draws=plain_draw(receivers, 1)), rounds),
    }
    first = rows[0]["receivers_needed_by_plain"]
    times["plain_same_certainty_ms"] = median_ms(
        lambda: build_many(build, draws=plain_draw(first, 1)), max(3, rounds // 3))
    times["ratio_of_times"] = times["plain_same_certainty_ms"] / times["quasi_ms"]
    return {
        "python": platform.python_version(), "numpy": version("numpy"), "scipy": version("scipy"),
        "machine": platform.machine(), "goal_ms": GOAL_MS, "receivers": receivers, "seeds": seeds,
        "shares": rows, "times": times,
    }


def table(measured: dict) -> str:
    """The measurements in words and columns."""
    lines = [f"{measured['receivers']} receivers, {measured['seeds']} seeds",
             "share             truth   quasi error  plain error  plain needs"]
    lines += [
        f"{row['share']:16s}  {row['truth']:.4f}  {row['quasi_error']:.6f}     "
        f"{row['plain_error']:.6f}     {row['ratio_of_receivers']:.1f} times as many"
        for row in measured["shares"]
    ]
    times = measured["times"]
    lines += [
        "", f"quasi-random, drawn and built: {times['quasi_ms']:.1f} ms; with draws kept: "
        f"{times['quasi_kept_draws_ms']:.1f} ms",
        f"plain, as many: {times['plain_ms']:.1f} ms; for the same certainty of “covers”: "
        f"{times['plain_same_certainty_ms']:.1f} ms, {times['ratio_of_times']:.1f} times as long",
    ]
    return "\n".join(lines)


def main() -> None:
    """Measure, print, write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer seeds and rounds")
    measured = measure(quick=parser.parse_args().quick)
    put_down("tolerances", table(measured), measured)


if __name__ == "__main__":
    main()
