"""A supply's steady state: this package's solver beside ngspice as a whole process.

    python -m tests.benchmarks.power_supply_vs_ngspice            about ten minutes
    python -m tests.benchmarks.power_supply_vs_ngspice --help     fewer circuits or rounds

Two rivals for each circuit, each tuned by its own sweep.  The plain one starts as a supply
does when it is switched on, with everything empty; its stop time, step and
tolerance are swept.  The helped one starts, besides, from charged capacitors
and running chokes, at the fraction of the peak that an experienced user would guess.
Of all runs that meet the accuracy (direct voltage 0.2 %, ripple 1 %, peak current
2 %, against ngspice itself run four times as long and finely) the quickest is taken.
A setting with more than twice and a half as many steps as one that has met it already is
left out, for it cannot be quicker; all others are in the JSON.

Then all take turns, round by round, and the least time of each counts: on a shared machine
only that says something, and even it flatters the shorter one.  So the ratio of processor
time stands beside that of time by the clock, and the machine's load in the JSON.

Ours is one call of ``solve`` with all its waveforms and numbers, in a running
Python, as a slider calls it; ngspice's is one process, as a notebook would start it.
Prints a table and writes ``tests/benchmarks/results/power_supply_vs_ngspice.json``.
"""

from __future__ import annotations

import argparse
import math
import os
import platform
import resource
import shutil
import statistics
import subprocess
import tempfile
import time
from importlib.metadata import version
from itertools import product
from pathlib import Path

from rxlearn.compute.power_supply import solve
from tests.benchmarks.report import put_down
from tests.compute.supply_builds import built
from tests.compute.supply_circuits import CIRCUITS, NO_NGSPICE, Circuit, simulate

BOUNDS = {"direct": 0.002, "ripple": 0.01, "peak": 0.02}
GOALS = {"usual": 60.0, "hard": 15.0}
"""Least ratio of ngspice's time to ours, by kind of circuit."""
SETTLES = (0.06, 0.1, 0.16, 0.25, 0.4, 0.6, 1.0, 1.6, 2.5, 4.0, 6.0, 10.0, 16.0)
STEPS = (40, 70, 120, 200, 400)
TOLERANCES = (1e-3, 1e-4)
HOPELESS = 2.5
"""So many times the steps of a run that met the accuracy make another pointless."""
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


def timed(program: str, deck: str, folder: Path) -> tuple[float, float, dict[str, float]]:
    """Seconds of one whole ngspice process by the clock and of the processor; its measurements."""
    used, began = _children(), time.perf_counter()
    measured = simulate(program, deck, folder)
    return time.perf_counter() - began, _children() - used, measured


def _children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def sweep(program: str, circuit: Circuit, truth: dict, folder: Path, start: float, *,
          settles=SETTLES, steps=STEPS, tolerances=TOLERANCES) -> list[dict]:
    """One rival's sweep, from ``start`` (a part of the peak): each run's setting, seconds, errors.

    The shortest come first.
    """
    runs, enough = [], math.inf
    for settle, count, tolerance in sorted(
        product(settles, steps, tolerances), key=lambda setting: (setting[0] * setting[1], setting)
    ):
        if settle * count > HOPELESS * enough:
            break
        setting = {"start": start, "settle": settle, "steps": count, "tolerance": tolerance}
        deck = circuit.netlist(**setting, measures=MEASURES)
        try:
            seconds, _, measured = timed(program, deck, folder)
        except (RuntimeError, subprocess.TimeoutExpired) as fault:
            runs.append({**setting, "fault": str(fault)[:80]})
            continue
        found = errors(circuit, measured, truth)
        runs.append({**setting, "seconds": seconds, **found, "meets": meets(found)})
        if runs[-1]["meets"]:
            enough = min(enough, settle * count)
    return runs


def candidates(runs: list[dict], most: int = 3) -> list[dict]:
    """The quickest few settings that meet the accuracy: one run alone may have been unlucky."""
    good = sorted((run for run in runs if run.get("meets")), key=lambda run: run["seconds"])
    return good[:most]


def our_seconds(circuit: Circuit) -> tuple[float, float]:
    """Median seconds of one call of ours, by the clock and of the processor."""
    supply = built(circuit)
    taken = []
    used = time.process_time()
    for _ in range(CALLS):
        began = time.perf_counter()
        solve(supply)
        taken.append(time.perf_counter() - began)
    return statistics.median(taken), (time.process_time() - used) / CALLS


SETTING = ("start", "settle", "steps", "tolerance")


def compare(program: str, circuit: Circuit, rounds: int, **ranges) -> dict:
    """Tune both rivals, then let all take turns; one record."""
    with tempfile.TemporaryDirectory(prefix="supply-benchmark-") as name:
        folder = Path(name)
        truth = reference(program, circuit, folder)
        sweeps = {
            "plain": sweep(program, circuit, truth, folder, 0.0, **ranges),
            "helped": sweep(program, circuit, truth, folder, circuit.start, **ranges),
        }
        best = {rival: candidates(runs) for rival, runs in sweeps.items()}
        theirs = {rival: [[] for _ in found] for rival, found in best.items()}
        mine = []
        for _ in range(rounds):
            for rival, found in best.items():
                for number, run in enumerate(found):
                    mine.append(our_seconds(circuit))
                    deck = circuit.netlist(**{k: run[k] for k in SETTING}, measures=MEASURES)
                    theirs[rival][number].append(timed(program, deck, folder)[:2])
    clock, processor = min(m for m, _ in mine), min(m for _, m in mine)
    found = errors(circuit, ours(circuit), truth)
    return {
        "circuit": circuit.name, "kind": "hard" if circuit.hard else "usual",
        "goal": GOALS["hard" if circuit.hard else "usual"],
        "our_errors": found, "we_meet": meets(found), "ours_ms": 1e3 * clock,
        **{rival: _quickest(best[rival], theirs[rival], clock, processor) for rival in best},
        "sweep": sweeps,
    }


def _quickest(runs: list[dict], taken: list, clock: float, processor: float) -> dict | None:
    """The rival's best setting, and how many times our time it takes; None if none met."""
    if not runs:
        return None
    least = [min(t for t, _ in times) for times in taken]
    number = least.index(min(least))
    return {
        "setting": {k: runs[number][k] for k in SETTING},
        "errors": {k: runs[number][k] for k in BOUNDS},
        "ms": 1e3 * least[number], "ratio": least[number] / clock,
        "processor_ratio": min(p for _, p in taken[number]) / processor,
    }


RIVALS = {
    "plain": "ngspice from empty, stop time, step and tolerance swept (the goal's rival)",
    "helped": "ngspice helped to a guessed starting charge as well",
}


def table(record: dict) -> str:
    """The record as text."""
    lines = [
        f"{'':<56}{'ngspice from empty':^38}{'ngspice helped':^38}",
        f"{'circuit':<43}{'goal':>4}{'ours':>9}"
        + 2 * f"{'ms':>8}{'ratio':>6}{'cpu':>5}  {'run':<17}"
        + " ours off by: d.c. / ripple / peak",
    ]
    for row in record["rows"]:
        off = row["our_errors"]
        lines.append(
            f"{row['circuit']:<43}{row['goal']:>4.0f}{row['ours_ms']:>6.2f} ms"
            + "".join(_columns(row[rival], row["goal"]) for rival in RIVALS)
            + f"{100 * off['direct']:>9.3f} %{100 * off['ripple']:>6.2f} %"
            + f"{100 * off['peak']:>6.2f} %"
            + ("" if row["we_meet"] else " (outside)")
        )
    lines += ["", "run: stop time (s) / steps in a period / reltol.  *: below the goal.  "
              "cpu: ratio of processor time."]
    for (kind, goal), (rival, words) in product(GOALS.items(), RIVALS.items()):
        chosen = [row[rival] for row in record["rows"] if row["kind"] == kind and row[rival]]
        if chosen:
            lines.append(f"{kind}: {words}")
            for name, key in (("by the clock", "ratio"), ("processor time", "processor_ratio")):
                ratios = [found[key] for found in chosen]
                lines.append(
                    f"    {name:<15}{min(ratios):.0f} to {max(ratios):.0f} times faster, median "
                    f"{statistics.median(ratios):.0f}; "
                    f"{sum(r >= goal for r in ratios)} of {len(ratios)} meet the goal {goal:.0f}"
                )
    return "\n".join(lines)


def _columns(found: dict | None, goal: float) -> str:
    if found is None:
        return f"{'no run of the sweep met it':>38}"
    run = found["setting"]
    words = f"{run['settle']:g}/{run['steps']}/{run['tolerance']:g}"
    mark = " " if found["ratio"] >= goal else "*"
    return (f"{found['ms']:>8.1f}{found['ratio']:>5.0f}{mark}{found['processor_ratio']:>5.0f}"
            f"  {words:<17}")


def measure(names: tuple[str, ...] = (), rounds: int = 7, **ranges) -> dict:
    """Run the benchmark over the circuits whose names contain one of ``names`` (all without)."""
    program = shutil.which("ngspice")
    if program is None:
        raise SystemExit(NO_NGSPICE)
    chosen = [c for c in CIRCUITS if not names or any(name in c.name for name in names)]
    load = os.getloadavg()[0]
    rows = [compare(program, circuit, rounds, **ranges) for circuit in chosen]
    return {
        "machine": {"processor": platform.machine(), "cores": os.cpu_count(),
                    "python": platform.python_version(), "numpy": version("numpy"),
                    "ngspice": _version(program),
                    "load_before": load, "load_after": os.getloadavg()[0]},
        "bounds": BOUNDS, "goals": GOALS,
        "rows": rows,
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
    put_down("power_supply_vs_ngspice", table(record), record)


if __name__ == "__main__":
    main()
