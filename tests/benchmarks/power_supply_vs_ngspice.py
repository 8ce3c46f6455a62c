"""A supply's steady state: this package's solver beside ngspice as a whole process.

    python -m tests.benchmarks.power_supply_vs_ngspice            about four minutes
    python -m tests.benchmarks.power_supply_vs_ngspice --help     fewer circuits or rounds

The rival is tuned for each circuit: a sweep over how long it runs, how finely
it steps, its tolerance, and whether its capacitors start empty or at the
fraction of the peak that an experienced user would guess.  Of all runs that
meet the accuracy (direct voltage 0.2 %, ripple 1 %, peak current 2 %, against
ngspice itself run four times as long and finely) the quickest is taken; the
whole sweep is written to the JSON.  Then both take turns, round by round, so that a
shared machine slows both alike: read the ratios, not the milliseconds.

Ours is one call of ``solve`` with all its waveforms and numbers, in a running
Python, as a slider calls it; ngspice's is one process, as a notebook would start it.
Prints a table and writes ``tests/benchmarks/results/power_supply_vs_ngspice.json``.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import shutil
import statistics
import subprocess
import tempfile
import time
from importlib.metadata import version
from itertools import product
from pathlib import Path

from rxlearn.compute.power_supply import solve
from tests.compute.supply_builds import built
from tests.compute.supply_circuits import CIRCUITS, NO_NGSPICE, Circuit, simulate

RESULTS = Path(__file__).with_name("results")
BOUNDS = {"direct": 0.002, "ripple": 0.01, "peak": 0.02}
GOALS = {"usual": 60.0, "hard": 15.0}
"""Least ratio of ngspice's time to ours, by kind of circuit."""
SETTLES = (0.06, 0.1, 0.16, 0.25, 0.4, 0.6, 1.0, 1.6, 2.5, 4.0)
STEPS = (40, 70, 120, 200, 400)
TOLERANCES = (1e-3, 1e-4)
MEASURES = ("avg", "pp")
CALLS = 20
"""Calls of ours in one round; their median counts."""


def errors(circuit: Circuit, measured: dict[str, float], reference: dict[str, float]) -> dict:
    """Largest relative error of each kind, over all capacitors and elements."""
    sections = range(1, len(circuit.sections) + 1)

    def worst(names: list[str]) -> float:
        return max(abs(measured[name] / reference[name] - 1) for name in names)

    return {
        "direct": worst([f"v{k}avg" for k in sections]),
        "ripple": worst([f"v{k}pp" for k in sections]),
        "peak": worst([f"{element}max" for element in circuit.elements]),
    }


def meets(found: dict) -> bool:
    """Whether all errors lie within the bounds."""
    return all(found[kind] <= bound for kind, bound in BOUNDS.items())


def ours(circuit: Circuit) -> dict[str, float]:
    """Our numbers under the names that ngspice's measurements have."""
    result = solve(built(circuit))
    found = {}
    for number, capacitor in enumerate(result.capacitors, start=1):
        found[f"v{number}avg"] = capacitor.direct
        found[f"v{number}pp"] = capacitor.ripple_peak_to_peak
    for element, name in zip(result.elements, circuit.elements, strict=True):
        found[f"{name}max"] = element.peak
    return found


def reference(program: str, circuit: Circuit, folder: Path) -> dict[str, float]:
    """ngspice, run long and finely enough to judge both by."""
    return simulate(program, circuit.netlist(settle=2 * circuit.settle, steps=1600), folder)


def timed(program: str, deck: str, folder: Path) -> tuple[float, dict[str, float]]:
    """Seconds of one whole ngspice process, and what it measured."""
    began = time.perf_counter()
    measured = simulate(program, deck, folder)
    return time.perf_counter() - began, measured


def sweep(program: str, circuit: Circuit, truth: dict, folder: Path, *,
          settles=SETTLES, steps=STEPS, tolerances=TOLERANCES) -> list[dict]:
    """Every run of the rival's sweep: its setting, seconds and errors."""
    runs = []
    longest = 1.01 * max(circuit.settle, settles[0])
    for start, settle, count, tolerance in product(
        (0.0, circuit.start), [s for s in settles if s <= longest], steps, tolerances
    ):
        setting = {"start": start, "settle": settle, "steps": count, "tolerance": tolerance}
        deck = circuit.netlist(**setting, measures=MEASURES)
        try:
            seconds, measured = timed(program, deck, folder)
        except (RuntimeError, subprocess.TimeoutExpired) as fault:
            runs.append({**setting, "fault": str(fault)[:80]})
            continue
        found = errors(circuit, measured, truth)
        runs.append({**setting, "seconds": seconds, **found, "meets": meets(found)})
    return runs


def candidates(runs: list[dict], most: int = 3) -> list[dict]:
    """The quickest few settings that meet the accuracy: one run alone may have been unlucky."""
    good = sorted((run for run in runs if run.get("meets")), key=lambda run: run["seconds"])
    return good[:most]


def our_seconds(circuit: Circuit) -> float:
    """Median seconds of one call of ours."""
    supply = built(circuit)
    taken = []
    for _ in range(CALLS):
        began = time.perf_counter()
        solve(supply)
        taken.append(time.perf_counter() - began)
    return statistics.median(taken)


def compare(program: str, circuit: Circuit, rounds: int, **ranges) -> dict:
    """Tune the rival, then let both take turns; one record."""
    with tempfile.TemporaryDirectory(prefix="supply-benchmark-") as name:
        folder = Path(name)
        truth = reference(program, circuit, folder)
        runs = sweep(program, circuit, truth, folder, **ranges)
        best = candidates(runs)
        if not best:
            raise RuntimeError(f"No ngspice run of the sweep met the accuracy: {circuit.name}.")
        keys = ("start", "settle", "steps", "tolerance")
        decks = [circuit.netlist(**{k: run[k] for k in keys}, measures=MEASURES) for run in best]
        pairs: list[list[tuple[float, float]]] = [[] for _ in decks]
        for _ in range(rounds):
            for number, deck in enumerate(decks):
                mine = our_seconds(circuit)
                pairs[number].append((timed(program, deck, folder)[0], mine))
    rival = min(range(len(decks)), key=lambda n: statistics.median(t for t, _ in pairs[n]))
    kind = "hard" if circuit.hard else "usual"
    our_errors = errors(circuit, ours(circuit), truth)
    return {
        "circuit": circuit.name, "kind": kind, "rival": {k: best[rival][k] for k in keys},
        "rival_errors": {k: best[rival][k] for k in BOUNDS}, "our_errors": our_errors,
        "we_meet": meets(our_errors),
        "ngspice_ms": 1e3 * statistics.median(t for t, _ in pairs[rival]),
        "ours_ms": 1e3 * statistics.median(t for _, t in pairs[rival]),
        "ratio": statistics.median(t / mine for t, mine in pairs[rival]),
        "goal": GOALS[kind], "sweep": runs,
    }


def table(record: dict) -> str:
    """The record as text."""
    lines = [
        f"{'circuit':<44}{'kind':<7}{'ngspice':>9}{'ours':>9}{'ratio':>7}{'goal':>6}   "
        "ours off by: d.c. / ripple / peak    ngspice's run",
    ]
    for row in record["rows"]:
        off = row["our_errors"]
        run = row["rival"]
        lines.append(
            f"{row['circuit']:<44}{row['kind']:<7}{row['ngspice_ms']:>6.1f} ms"
            f"{row['ours_ms']:>6.2f} ms{row['ratio']:>7.0f}{row['goal']:>6.0f} "
            f"{'' if row['ratio'] >= row['goal'] else '(below)':<8}"
            f"{100 * off['direct']:>8.3f} %{100 * off['ripple']:>7.2f} %{100 * off['peak']:>7.2f} %"
            f"{'' if row['we_meet'] else ' (outside)':<10}   {run['settle']:g} s, "
            f"{run['steps']} steps, reltol {run['tolerance']:g}, from {run['start']:g} of the peak"
        )
    for kind, goal in GOALS.items():
        ratios = [row["ratio"] for row in record["rows"] if row["kind"] == kind]
        if ratios:
            lines.append(f"{kind}: {min(ratios):.0f} to {max(ratios):.0f} times faster, median "
                         f"{statistics.median(ratios):.0f}; goal {goal:.0f}")
    return "\n".join(lines)


def measure(names: tuple[str, ...] = (), rounds: int = 7, **ranges) -> dict:
    """Run the benchmark over the circuits whose names contain one of ``names`` (all without)."""
    program = shutil.which("ngspice")
    if program is None:
        raise SystemExit(NO_NGSPICE)
    chosen = [c for c in CIRCUITS if not names or any(name in c.name for name in names)]
    return {
        "machine": {"processor": platform.machine(), "cores": os.cpu_count(),
                    "python": platform.python_version(), "numpy": version("numpy"),
                    "ngspice": _version(program)},
        "bounds": BOUNDS, "goals": GOALS,
        "rows": [compare(program, circuit, rounds, **ranges) for circuit in chosen],
    }


def _version(program: str) -> str:
    said = subprocess.run([program, "-v"], capture_output=True, text=True, timeout=30).stdout
    return next((line.strip("* \n") for line in said.splitlines() if "ngspice-" in line), "?")


def main() -> None:
    """Parse the command line, run, print, write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("names", nargs="*", help="parts of circuit names; all without")
    parser.add_argument("--rounds", type=int, default=7)
    options = parser.parse_args()
    record = measure(tuple(options.names), options.rounds)
    print(table(record))
    RESULTS.mkdir(exist_ok=True)
    target = RESULTS / "power_supply_vs_ngspice.json"
    target.write_text(json.dumps(record, indent=1) + "\n")
    print(f"\nThe sweep and all numbers: {target}")


if __name__ == "__main__":
    main()
