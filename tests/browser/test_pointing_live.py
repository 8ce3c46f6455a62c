"""Pointing at a line in a real page: its name is written, and the table holds the same words."""

from __future__ import annotations

import re
import time

import pytest

from rxlearn import bench
from rxlearn.bench.live import POINT
from tests.browser.lab import Figure, Reader, plain
from tests.workbench import LESSONS

pytestmark = pytest.mark.browser

LESSON = next(path for path in LESSONS if path.stem.endswith("spurious-responses"))


@pytest.fixture(scope="module")
def levels(browser, lab):
    """The first figure of the lesson on spurious responses, awake, with its page."""
    reader = Reader(browser, lab, LESSON.name)
    reader.run()
    twin = bench.spur_levels()
    figure = Figure(reader.panel(twin.title), twin)
    figure.wake()
    yield figure, reader.page
    reader.page.close()
    lab.end_kernels()


def point_at(figure, page, name):
    """Move the pointer onto the middle of a node of the picture."""
    place = figure.panel.evaluate("""(panel, name) => {
      const box = panel.querySelector(`[id$="picture-${name}"] path`).getBoundingClientRect();
      return [box.x + box.width / 2, box.y + box.height / 2]; }""", name)
    page.mouse.move(place[0] - 3, place[1])
    page.mouse.move(*place)


def unglued(found):
    """Words, or rows of words, as the kernel sent them."""
    return plain(found) if isinstance(found, str) else [[plain(c) for c in row] for row in found]


def expect(read, wanted):
    """Fail unless ``read()`` is ``wanted`` soon."""
    end = time.monotonic() + 3
    while (found := unglued(read())) != wanted:
        assert time.monotonic() < end, f"{found!r} is not {wanted!r}"
        time.sleep(0.03)


def test_a_line_that_is_pointed_at_says_its_name(levels):
    figure, page = levels
    said = figure.panel.locator(".rx-pointed")
    assert said.inner_text() == POINT
    figure.panel.locator(".rx-picture").scroll_into_view_if_needed()
    point_at(figure, page, "image-0")
    expect(said.inner_text, "image: signal − oscillator, 10.304 MHz, -42 dB")
    assert figure.panel.locator(".rx-pointed-at").count() == 1
    page.mouse.move(5, 5)
    expect(said.inner_text, POINT)
    assert figure.panel.locator(".rx-pointed-at").count() == 0


def test_the_name_follows_a_line_that_moves_under_the_pointer(levels):
    figure, page = levels
    point_at(figure, page, "image-0")
    said = figure.panel.locator(".rx-pointed")
    knob = figure.knobs[1]
    figure.slider(knob).press("PageUp")
    figure.twin.turn(**{knob.key: knob.start + knob.coarse})
    (name,) = [words for words in figure.twin.panel.texts["names"] if words.startswith("image:")]
    expect(said.inner_text, name)
    figure.reset(knob).click()
    figure.twin.turn(**{knob.key: knob.start})


def test_the_table_holds_what_was_computed_and_follows(levels):
    figure, page = levels
    cells = """panel => [...panel.querySelectorAll('tbody tr')].map(
        row => [...row.cells].map(cell => cell.textContent))"""
    knob = figure.knobs[0]
    for key in ("Home", "End"):
        figure.slider(knob).press(key)
        figure.twin.turn(**{knob.key: knob.low if key == "Home" else knob.high})
        expect(lambda: figure.panel.evaluate(cells), figure.twin.panel.texts["rows"])
    assert len(figure.twin.panel.texts["rows"]) == 8
    assert all(re.search(r"\d", row[2]) for row in figure.twin.panel.texts["rows"])
    figure.reset(knob).click()
