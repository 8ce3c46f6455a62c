"""The benchmark's harness, run short: it must tune, judge and print.  No time is asserted."""

import json
import math
from itertools import product

import pytest

from tests.benchmarks import power_supply_vs_ngspice as benchmark
from tests.compute.supply_circuits import CIRCUITS, ngspice_or_reason

SHORT = {"settles": (0.06, 0.25, 0.4, 0.6), "steps": (200,), "tolerances": (1e-3,)}


@pytest.fixture(scope="module")
def record():
    ngspice_or_reason()
    return benchmark.measure(("usual, silicon, 60", "below critical, valve"), rounds=2, **SHORT)


def test_every_circuit_has_two_tuned_rivals_that_meet_the_accuracy(record):
    assert [row["kind"] for row in record["rows"]] == ["usual", "hard"]
    for row in record["rows"]:
        assert row["we_meet"] and row["ours_ms"] > 0
        for rival, charged in (("plain", False), ("helped", True)):
            found, runs = row[rival], row["sweep"][rival]
            assert benchmark.meets(found["errors"])
            for ratio in (found["ratio"], found["processor_ratio"]):
                assert ratio > 0 and math.isfinite(ratio)
            assert all((run["start"] > 0) is charged for run in runs)
            quick = [run for run in runs if run.get("meets")]
            assert any(all(run[k] == value for k, value in found["setting"].items())
                       for run in quick)


def test_only_settings_that_cannot_be_quicker_are_left_out(record):
    every = set(product(*SHORT.values()))
    for row in record["rows"]:
        for runs in row["sweep"].values():
            ran = {(run["settle"], run["steps"], run["tolerance"]) for run in runs}
            least = min(run["settle"] * run["steps"] for run in runs if run.get("meets"))
            assert ran <= every
            assert all(settle * steps > 2.5 * least for settle, steps, _ in every - ran)


def test_a_run_that_is_too_short_is_not_taken(record):
    """Empty capacitors are not settled after three periods: such a run must fail the bounds."""
    for row in record["rows"]:
        short = [run for run in row["sweep"]["plain"] if run["settle"] == 0.06]
        assert short and not any(run["meets"] for run in short)


def test_the_table_and_the_json_hold_everything(record):
    text = benchmark.table(json.loads(json.dumps(record)))
    for row in record["rows"]:
        assert row["circuit"] in text
    assert "goal 60" in text and "goal 15" in text
    assert "from empty" in text and "helped" in text


def test_bounds_judge():
    circuit = CIRCUITS[0]
    truth = {"v1avg": 300.0, "v1pp": 18.0, "v2avg": 290.0, "v2pp": 0.3, "amax": 0.2, "bmax": 0.2}
    assert benchmark.meets(benchmark.errors(circuit, truth, truth))
    for name, factor in (("v2avg", 1.003), ("v1pp", 0.98), ("bmax", 1.03)):
        wrong = {**truth, name: truth[name] * factor}
        assert not benchmark.meets(benchmark.errors(circuit, wrong, truth))
