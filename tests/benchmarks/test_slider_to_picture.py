"""The benchmark itself, run short: it must measure pictures that did change, all of them.

No time is asserted here; how fast the figures are is for the benchmark's own table.
"""

from __future__ import annotations

import asyncio
import json
import math
import re
import urllib.request
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.benchmarks import lesson_figures, reference
from tests.benchmarks.lab import Lab
from tests.benchmarks.slider_to_picture import GOALS, SETTINGS, measure, table

STEPS = 3
ROUTES = {"ours", "interact", "interact, figure kept", "floor", "floor, ipywidgets slider",
          "slowest lesson figure"}


@pytest.fixture(scope="module")
def record(chromium):
    """One short run under the start command as shipped."""
    short = measure(rounds=1, steps=STEPS, seconds=1.5, settings={"shipped": ""}, warm_up=1)
    # In a thread of its own: another browser test of this process may keep a loop running.
    with ThreadPoolExecutor(max_workers=1) as pool:
        return pool.submit(asyncio.run, short).result()


@pytest.mark.browser
def test_every_step_of_every_route_changes_the_picture(record):
    """A step that changes nothing ends the run; what is left is to see that all were taken."""
    assert set(record["results"]["shipped"]) == ROUTES
    for name, row in record["results"]["shipped"].items():
        assert row["steps"] == STEPS, name
        assert 0 < row["step_median_ms"] <= row["step_p95_ms"] < 5000, name
        assert row["pictures_per_s"] > 0 and row["moves_per_s"] > 0, name


@pytest.mark.browser
@pytest.mark.parametrize("name", ["ours", "floor", "floor, ipywidgets slider"])
def test_after_a_drag_the_last_picture_is_of_where_the_slider_stands(record, name):
    (drag,) = record["samples"][f"shipped / {name}"]["drags"]
    stop = round(reference.STOPS * drag["place"])
    frequency = reference.LOW + stop * (reference.HIGH - reference.LOW) / reference.STOPS
    wanted = reference.mhz(frequency) if name == "ours" else f"stop {stop}"
    assert wanted in drag["words"]
    assert stop != reference.STOPS // 2, "the drag must have led somewhere else"


@pytest.mark.browser
def test_the_table_and_the_json_hold_every_route_and_every_goal(record):
    text = table(json.loads(json.dumps(record)))
    for name in ROUTES | set(GOALS):
        assert name in text
    for ratio in record["ratios"]["shipped"].values():
        assert math.isfinite(ratio) and ratio > 0
    assert all(cost["figure"] in text for cost in record["lesson_figures"])


@pytest.mark.browser
def test_the_server_runs_with_the_settings_that_are_claimed(chromium):
    """The websocket as named, and no busy icon in the browser's tab (both come with the package)."""
    said = "kernel websockets send small messages at once"
    for websocket in SETTINGS.values():
        with Lab(websocket=websocket) as lab:
            assert (said in lab.log) == (websocket == "")
            with urllib.request.urlopen(f"{lab.address}/lab?token={lab.token}") as answer:
                page = answer.read().decode()
            config = re.search(r'id="jupyter-config-data"[^>]*>(.*?)</script>', page, re.DOTALL)[1]
            disabled = json.loads(config)["disabledExtensions"]
            assert "@jupyterlab/application-extension:faviconbusy" in disabled


@pytest.mark.browser
def test_every_live_figure_of_the_lessons_is_measured(record):
    costs = record["lesson_figures"]
    assert {cost["figure"] for cost in costs} == set(lesson_figures.live_figures())
    assert [cost["kernel_ms"] for cost in costs] == sorted(
        (cost["kernel_ms"] for cost in costs), reverse=True)


def test_the_reference_picture_differs_at_every_stop():
    figure, seen = reference.ReferenceFigure(), set()
    for stop in range(reference.STOPS + 1):
        figure.update(reference.respond(
            reference.LOW + stop * (reference.HIGH - reference.LOW) / reference.STOPS))
        seen.add(figure.frame())
    assert len(seen) == reference.STOPS + 1
