"""The benchmark of the tolerances runs, meets its goal, and quasi-random draws are worth it."""

import json

import pytest

from tests.benchmarks import report, tolerances


def test_a_quick_run_meets_the_goal_and_plain_chance_needs_more(monkeypatch, tmp_path, capsys):
    written = tmp_path / "results" / "tolerances.json"
    monkeypatch.setattr(report, "RESULTS", written.parent)
    monkeypatch.setattr("sys.argv", ["tolerances", "--quick"])
    tolerances.main()
    measured = json.loads(written.read_text(encoding="utf-8"))
    printed = capsys.readouterr().out
    assert measured["receivers"] >= 10_000
    assert measured["times"]["quasi_ms"] < measured["goal_ms"]
    rows = {row["share"]: row for row in measured["shares"]}
    # A binomial share of the truth: what plain chance errs by, so that the comparison is fair.
    truth = rows["covers"]["truth"]
    expected = (truth * (1 - truth) / measured["receivers"]) ** 0.5
    assert rows["covers"]["plain_error"] == pytest.approx(expected, rel=0.5)
    # Twelve times as many when this was written.
    assert rows["covers"]["ratio_of_receivers"] > 3
    assert "times as many" in printed and f"{measured['times']['quasi_ms']:.1f} ms" in printed
