"""A figure that can be heard, in a real page: pressed, played, outdated by a turn, pressed again."""

from __future__ import annotations

import pytest

from rxlearn import bench
from rxlearn.bench.hearing import BEFORE
from tests.browser.lab import Figure, Reader, plain
from tests.browser.test_lessons_live import axe_violations
from tests.workbench import LESSONS

pytestmark = pytest.mark.browser


@pytest.fixture
def swapping(browser, lab):
    """The lesson on image swapping, run."""
    reader = Reader(browser, lab, LESSONS[3].name)
    reader.run()
    yield reader
    reader.page.close()
    lab.end_kernels()


def test_a_press_plays_a_turn_outdates_and_a_second_press_renews(swapping):
    twin = bench.beat_side()
    figure = Figure(swapping.panel(twin.title), twin)
    panel = figure.panel
    assert panel.get_by_role("button", name="Hear it").count() == 0, "covered: nothing to hear yet"
    figure.wake()
    player, said = panel.locator("audio"), panel.locator(".rx-said")
    button = panel.get_by_role("button", name="Hear it")
    assert player.is_hidden() and said.is_hidden()
    assert "volume down first" in panel.locator(".rx-sound").inner_text()

    button.focus()
    button.press("Enter")
    player.wait_for(state="visible")
    swapping.page.wait_for_function("player => player.duration > 0", arg=player.element_handle())
    assert player.evaluate("player => player.duration") == pytest.approx(6.0, abs=0.05)
    assert player.evaluate("player => player.volume") == 0.5
    assert player.evaluate("player => player.controls && player.error === null")
    swapping.page.wait_for_function("player => player.currentTime > 0.05", arg=player.element_handle())
    assert player.get_attribute("aria-label") == "Sound of “The beat oscillator's side”"
    assert "voice without words" in plain(said.inner_text())
    assert axe_violations(swapping.page) == []
    swapping.shoot("sound", panel)

    first = player.evaluate("player => player.src")
    slider = figure.slider(figure.knobs[0])
    slider.focus()
    slider.press("ArrowRight")
    panel.get_by_text(BEFORE.split(";")[0]).wait_for()
    figure.expect_agreement()
    assert player.evaluate("player => player.src") == first, "a turn sends no sound"
    button.click()
    panel.get_by_text(BEFORE.split(";")[0]).wait_for(state="hidden")
    assert player.evaluate("player => player.src") != first
    swapping.page.keyboard.press("Tab")
    assert player.evaluate("player => player === document.activeElement"), "reached by keyboard"
    assert not [error for error in swapping.errors if "audio" in error.lower()]
    twin.close()
