"""The benchmark's harness, run short: it must tune, judge and print.  No time is asserted."""

import json
import math

import pytest

from tests.benchmarks import power_supply_vs_ngspice as benchmark
from tests.compute.supply_circuits import CIRCUITS, ngspice_or_reason

SHORT = {"settles": (0.06, 0.25, 0.4, 0.6), "steps": (200,), "tolerances": (1e-3,)}


@pytest.fixture(scope="module")
def record():
    ngspice_or_reason()
    return benchmark.measure(("usual, silicon, 60", "below critical, valve"), rounds=2, **SHORT)


def test_every_circuit_has_a_tuned_rival_that_meets_the_accuracy(record):
    assert [row["kind"] for row in record["rows"]] == ["usual", "hard"]
    for row in record["rows"]:
        assert benchmark.meets(row["rival_errors"]) and row["we_meet"]
        quick = [run for run in row["sweep"] if run.get("meets")]
        assert quick and len(row["sweep"]) >= 4
        assert row["ratio"] > 0 and math.isfinite(row["ratio"])
        chosen = {key: row["rival"][key] for key in ("start", "settle", "steps", "tolerance")}
        assert any(all(run[key] == value for key, value in chosen.items()) for run in quick)


def test_a_run_that_is_too_short_is_not_taken(record):
    """Empty capacitors are not settled after three periods: such a run must fail the bounds."""
    for row in record["rows"]:
        short = [run for run in row["sweep"] if run["settle"] == 0.06 and run["start"] == 0.0]
        assert short and not any(run["meets"] for run in short)


def test_the_table_and_the_json_hold_everything(record):
    text = benchmark.table(json.loads(json.dumps(record)))
    for row in record["rows"]:
        assert row["circuit"] in text
    assert "goal 60" in text and "goal 15" in text


def test_bounds_judge():
    circuit = CIRCUITS[0]
    truth = {"v1avg": 300.0, "v1pp": 18.0, "v2avg": 290.0, "v2pp": 0.3, "amax": 0.2, "bmax": 0.2}
    assert benchmark.meets(benchmark.errors(circuit, truth, truth))
    for name, factor in (("v2avg", 1.003), ("v1pp", 0.98), ("bmax", 1.03)):
        wrong = {**truth, name: truth[name] * factor}
        assert not benchmark.meets(benchmark.errors(circuit, wrong, truth))
