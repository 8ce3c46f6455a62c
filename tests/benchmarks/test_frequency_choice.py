"""The benchmark of the frequency choice runs, and the goals are met with room to spare."""

import json

from tests.benchmarks import frequency_choice, report


def test_a_quick_run_meets_the_goals(monkeypatch, tmp_path, capsys):
    written = tmp_path / "results" / "frequency_choice.json"
    monkeypatch.setattr(report, "RESULTS", written.parent)
    monkeypatch.setattr("sys.argv", ["frequency_choice", "--quick"])
    frequency_choice.main()
    measured = json.loads(written.read_text(encoding="utf-8"))
    printed = capsys.readouterr().out
    rows = {(row["crystals"], row["order"]): row for row in measured["growth"]}
    assert rows[100, 15]["tried"] == 9000 and rows[100, 15]["work"] > 100
    assert rows[100, 15]["ms"] < measured["goals_ms"]["100 crystals, order 15"]
    assert measured["receivers"][0]["ms"] < measured["goals_ms"]["10,000 receivers"]
    # Plain loops took hundreds of times as long when this was written.
    assert measured["search"]["case_ratio"] > 10 and measured["search"]["large_ratio_scaled"] > 10
    assert len(printed.splitlines()) > 8 and f"{rows[100, 15]['ms']:.2f}" in printed
