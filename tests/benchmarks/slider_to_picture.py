"""How long from a slider to the picture, side by side with the usual way.

    python -m tests.benchmarks.slider_to_picture            about ten minutes
    python -m tests.benchmarks.slider_to_picture --help     fewer rounds, shipped start only

Drives a real JupyterLab with headless Chromium.  Every route is in one
notebook and they take turns, round by round, so that a machine that warms up
or is shared slows all of them alike: read the ratios, not the milliseconds.
Prints a table and writes ``tests/benchmarks/results/slider_to_picture.json``.

*Step*: from the key press on the slider to the animation frame that shows the
new picture.  *Drag*: the pointer drags the slider for some seconds at 60
events a second; pictures shown in that time, and how long after the last move
the last picture came.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import math
import os
import platform
import random
import tempfile
import time
from dataclasses import asdict, dataclass, field
from importlib.metadata import version
from pathlib import Path

import numpy as np
from playwright.async_api import async_playwright

from tests.benchmarks import lesson_figures
from tests.benchmarks.lab import Lab, written_notebook
from tests.benchmarks.report import put_down
from tests.conftest import NO_BROWSER, find_chromium
from tests.jupyter_lab import BROWSER_OPTIONS

WATCH = Path(__file__).with_name("watch.js")
SETTINGS = {"shipped": "", "plain websocket": "plain"}
"""Start setting to the value of RXLEARN_WEBSOCKET."""

PLACE = """node => {
    const low = Number(node.min || node.ariaValueMin || 0);
    const high = Number(node.max || node.ariaValueMax);
    return (Number(node.value ?? node.ariaValueNow) - low) / (high - low);
}"""
"""In the page: where a slider stands, 0 to 1."""

GOALS = {"step: interact / ours": 5.0, "drag: ours / interact": 5.0, "step: ours / floor": 1.5,
         "step: slowest lesson figure / floor": 1.5}


@dataclass(frozen=True)
class Route:
    """One way from slider to picture: the cell that opens it, and which of its knobs to turn."""

    name: str
    cell: str
    knob: str = ""


@dataclass
class Samples:
    """What was measured of one route under one start setting."""

    steps_ms: list[float] = field(default_factory=list)
    drags: list[dict] = field(default_factory=list)

    def summary(self) -> dict[str, float]:
        """Median and 95th percentile of the steps, medians of the drags."""
        return {
            "steps": len(self.steps_ms),
            "step_median_ms": float(np.median(self.steps_ms)),
            "step_p95_ms": float(np.percentile(self.steps_ms, 95)),
            "pictures_per_s": float(np.median([d["pictures"] / d["seconds"] for d in self.drags])),
            "lag_ms": float(np.median([d["lag_ms"] for d in self.drags])),
            "moves_per_s": float(np.median([d["moves"] / d["seconds"] for d in self.drags])),
        }


def routes(slowest: lesson_figures.Cost) -> list[Route]:
    """All routes, the slowest lesson figure included."""
    def reference(call: str) -> str:
        return f"from tests.benchmarks import reference\nreference.{call}()"

    choices = ", ".join(f"{key}={option!r}" for key, option in slowest.choices.items())
    lesson = (f"{lesson_figures.UNLOCK}from rxlearn import bench\nlesson = bench.{slowest.figure}()\n"
              f"lesson.press('skip')\nlesson.turn({choices})\nlesson")
    return [
        Route("ours", reference("ours")),
        Route("interact", reference("interact_inline")),
        Route("interact, figure kept", reference("interact_kept")),
        Route("floor", reference("floor_native")),
        Route("floor, ipywidgets slider", reference("floor_label")),
        Route("slowest lesson figure", lesson, slowest.knob),
    ]


class Bench:
    """One route in an open page: presses keys, drags, and hears from the page what it saw."""

    def __init__(self, page, number: int, route: Route) -> None:
        self.page, self.route = page, route
        self.cell = page.locator(".jp-Notebook .jp-CodeCell").nth(number)
        self.slider = self.cell.locator(
            f".rx-knob[data-key='{route.knob}'] input[type=range]" if route.knob
            else "input[type=range], .noUi-handle").first

    async def visit(self, *, steps: int, seconds: float, samples: Samples, warm_up: int) -> None:
        """Take ``steps`` steps and one drag of ``seconds``; add them to ``samples``."""
        await self.page.bring_to_front()
        await self.slider.scroll_into_view_if_needed()
        await self.page.wait_for_timeout(300)
        watch = await self.cell.evaluate_handle("cell => rxWatch(cell)")
        try:
            track, y = await self._track()
            await self.page.mouse.click(track(0.5), y)
            await self.slider.focus()
            await self.page.wait_for_timeout(700)
            for number in range(warm_up + steps):
                taken = await self._step(watch, "ArrowRight" if number % 20 < 10 else "ArrowLeft")
                if number >= warm_up:
                    samples.steps_ms.append(taken)
            samples.drags.append(await self._drag(watch, seconds))
        finally:
            await watch.evaluate("watch => watch.stop()")

    async def _track(self):
        """A function from a share of the slider's length to x, and the slider's y."""
        node = self.slider
        if not await node.evaluate("node => node.matches('input')"):
            node = self.cell.locator(".noUi-target").first
        box = await node.bounding_box()
        return (lambda share: box["x"] + share * box["width"]), box["y"] + box["height"] / 2

    async def _step(self, watch, key: str) -> float:
        await watch.evaluate("watch => watch.arm()")
        await self.page.keyboard.press(key)
        taken = await watch.evaluate("watch => watch.step(5000)")
        if taken is None:
            raise RuntimeError(f"{self.route.name}: a step by {key} changed nothing in the picture")
        # A pause of no fixed length, so that keys do not fall into step with the frames.
        await self.page.wait_for_timeout(random.uniform(60, 120))
        return taken

    async def _drag(self, watch, seconds: float) -> dict:
        """Drag to and fro over most of the slider, one move every sixtieth of a second.

        Like a hand, the moves wait for nobody: what the page cannot follow, it skips.
        """
        track, y = await self._track()
        place = await self.slider.evaluate(PLACE)
        await self.page.mouse.move(track(place), y)
        await self.page.mouse.down()
        await self.page.mouse.move(track(0.1), y)
        await self.page.wait_for_timeout(700)
        await watch.evaluate("watch => watch.startDrag()")
        moves = []
        began = time.perf_counter()
        for number in range(1, round(60 * seconds) + 1):
            await asyncio.sleep(max(0.0, began + number / 60 - time.perf_counter()))
            share = 1 - abs(1 - 1.9 * number / (60 * seconds))
            moves.append(asyncio.create_task(self.page.mouse.move(track(0.1 + 0.8 * share), y)))
        await asyncio.gather(*moves)
        await self.page.wait_for_timeout(1200)
        drag = await watch.evaluate("watch => watch.endDrag()")
        await self.page.mouse.up()
        return drag | {"place": await self.slider.evaluate(PLACE)}


async def measure(
    *, rounds: int, steps: int, seconds: float, settings: dict[str, str], warm_up: int = 3
) -> dict:
    """Run the whole comparison and return what the JSON file holds."""
    load = [os.getloadavg()]
    dearest = _lesson_costs(min(steps, 25))
    ways = routes(dearest[0])
    samples = {(start, way.name): Samples() for start in settings for way in ways}
    async with contextlib.AsyncExitStack() as stack:
        playwright = await stack.enter_async_context(async_playwright())
        browser = await playwright.chromium.launch(
            executable_path=find_chromium(), args=list(BROWSER_OPTIONS))
        benches = {}
        for start, websocket in settings.items():
            lab = stack.enter_context(Lab(websocket=websocket))
            notebook = stack.enter_context(written_notebook([way.cell for way in ways]))
            page = await lab.open(browser, notebook)
            await page.add_script_tag(path=str(WATCH))
            for number, way in enumerate(ways):
                benches[start, way.name] = bench = Bench(page, number, way)
                await bench.slider.wait_for(timeout=90_000)
        for _ in range(rounds):
            for spot, bench in benches.items():
                await bench.visit(steps=steps, seconds=seconds, samples=samples[spot],
                                  warm_up=warm_up)
        await browser.close()
    load.append(os.getloadavg())
    return _record(samples, settings, dearest, load)


def _lesson_costs(steps: int) -> list[lesson_figures.Cost]:
    """The lesson figures' costs over ``steps`` of each knob, measured with a plan of its own."""
    before = os.environ.get("RXLEARN_HOME")
    with tempfile.TemporaryDirectory(prefix="rxlearn-benchmark-") as home:
        os.environ["RXLEARN_HOME"] = home
        try:
            return lesson_figures.costs(steps=steps)
        finally:
            if before is None:
                del os.environ["RXLEARN_HOME"]
            else:
                os.environ["RXLEARN_HOME"] = before


def _record(samples, settings, dearest, load) -> dict:
    results = {start: {name: measured.summary() for (at, name), measured in samples.items()
                       if at == start} for start in settings}
    return {
        "machine": {"system": platform.platform(), "python": platform.python_version(),
                    "cpus": os.cpu_count(), "load_before": load[0], "load_after": load[1]},
        "versions": {name: version(name) for name in
                     ("jupyterlab", "ipywidgets", "anywidget", "matplotlib", "numpy")},
        "lesson_figures": [asdict(cost) for cost in dearest],
        "results": results,
        "ratios": {start: ratios(found) for start, found in results.items()},
        "goals": GOALS,
        "samples": {f"{start} / {name}": asdict(measured)
                    for (start, name), measured in samples.items()},
    }


def ratios(found: dict[str, dict[str, float]]) -> dict[str, float]:
    """How the routes compare; every ratio is named after what is divided by what."""
    def step(name: str) -> float:
        return found[name]["step_median_ms"]

    def rate(name: str) -> float:
        return found[name]["pictures_per_s"] or math.nan

    kept, lesson = "interact, figure kept", "slowest lesson figure"
    return {
        "step: interact / ours": step("interact") / step("ours"),
        "step: interact, figure kept / ours": step(kept) / step("ours"),
        "step: ours / floor": step("ours") / step("floor"),
        "step: slowest lesson figure / floor": step(lesson) / step("floor"),
        "step: interact / slowest lesson figure": step("interact") / step(lesson),
        "drag: ours / interact": rate("ours") / rate("interact"),
        "drag: ours / interact, figure kept": rate("ours") / rate(kept),
        "drag: slowest lesson figure / interact": rate(lesson) / rate("interact"),
        "drag: ours / floor": rate("ours") / rate("floor"),
    }


def table(record: dict) -> str:
    """The record as text."""
    lines = ["Kernel time per step, lesson figures (dearest knob and choices of each):"]
    for cost in record["lesson_figures"]:
        under = ", ".join(cost["choices"].values())
        lines.append(f"  {cost['figure']:<24} {cost['knob']:<16} {under:<24} "
                     f"{cost['kernel_ms']:6.2f} ms")
    for start, found in record["results"].items():
        lines += ["", f"Start: {start}", f"  {'route':<26}{'step median':>13}{'p95':>10}"
                  f"{'pictures/s':>12}{'lag':>10}{'moves/s':>10}"]
        for name, row in found.items():
            lines.append(
                f"  {name:<26}{row['step_median_ms']:>10.1f} ms{row['step_p95_ms']:>7.1f} ms"
                f"{row['pictures_per_s']:>12.1f}{row['lag_ms']:>7.0f} ms{row['moves_per_s']:>10.0f}")
        for name, ratio in record["ratios"][start].items():
            goal = record["goals"].get(name)
            wanted = "" if goal is None else f"   (goal: at {'most' if goal < 2 else 'least'} {goal:g})"
            lines.append(f"  {name:<42}{ratio:>6.2f}{wanted}")
    machine = record["machine"]
    lines += ["", f"{machine['cpus']} processors, load {machine['load_before'][0]:.1f} before and "
              f"{machine['load_after'][0]:.1f} after; "
              + ", ".join(f"{name} {number}" for name, number in record["versions"].items())]
    return "\n".join(lines)


def main() -> int:
    """Measure, print the table, write the JSON."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=6, help="turns that each route gets")
    parser.add_argument("--steps", type=int, default=8, help="steps in a turn")
    parser.add_argument("--seconds", type=float, default=3.0, help="length of the drag in a turn")
    parser.add_argument("--shipped-only", action="store_true",
                        help="leave out the plain websocket")
    chosen = parser.parse_args()
    if find_chromium() is None:
        print(NO_BROWSER)
        return 1
    settings = {"shipped": ""} if chosen.shipped_only else SETTINGS
    record = asyncio.run(measure(rounds=chosen.rounds, steps=chosen.steps,
                                 seconds=chosen.seconds, settings=settings))
    put_down("slider_to_picture", table(record), record)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
