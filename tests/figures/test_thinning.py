"""A long line sent to the page leaves out only what cannot be seen."""

from __future__ import annotations

import numpy as np
import pytest

from rxlearn.figures.scene import LiveFigure
from tests.workbench import decode

LIMIT = 0.25
"""Pixels: what a line may move by, well under its own width."""


class Curve(LiveFigure):
    """One line and one row of dots; a result is their x and y."""

    name = "curve"

    def build(self, figure):
        """Axes of 0 to 1."""
        axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
        axes.set(xlim=(0, 1), ylim=(0, 1))
        self.curve = self.line(axes, "curve", "ink")
        self.dots = self.line(axes, "dots", "ink", marker="o", linestyle="None")

    def update(self, result):
        """Move both."""
        self.curve.set_data(*result)
        self.dots.set_data(*result)

    def describe(self, result):
        """No words are needed here."""
        return "A curve."

    explain = describe


def sent_and_meant(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The line and the dots as sent, and all points in pixels (worked out from the axes' place)."""
    figure = Curve()
    figure.update((x, y))
    sent = decode(figure.nodes, figure.frame())
    width, height = figure.size
    meant = np.column_stack([width * (0.1 + 0.8 * x), height * (0.9 - 0.8 * y)])
    return sent["rxid-curve"]["points"], sent["rxid-dots"]["points"], meant


def distances(points: np.ndarray, line: np.ndarray) -> np.ndarray:
    """Each point's distance from a polyline (n by 2)."""
    start, along = line[:-1], np.diff(line, axis=0)
    away = points[:, None] - start
    share = (away * along).sum(axis=2) / np.maximum((along**2).sum(axis=1), 1e-12)
    foot = start + np.clip(share, 0, 1)[..., None] * along
    return np.linalg.norm(points[:, None] - foot, axis=2).min(axis=1)


X = np.linspace(0, 1, 2000)


@pytest.mark.parametrize("y", [
    0.5 + 0.4 * np.sin(20 * X),
    1 / (1 + (100 * (X - 0.5)) ** 2),
    np.where(X < 0.4, 0.2, 0.9),
    np.where(np.arange(2000) == 1234, 0.95, 0.1),
    np.random.default_rng(1).uniform(0, 1, 2000),
], ids=["wave", "peak", "step", "needle", "noise"])
def test_no_part_of_a_curve_moves_by_as_much_as_can_be_seen(y):
    sent, _, meant = sent_and_meant(X, y)
    assert distances(meant, sent).max() < LIMIT
    assert distances(sent, meant).max() < LIMIT
    assert sent[0] == pytest.approx(meant[0], abs=0.01)
    assert sent[-1] == pytest.approx(meant[-1], abs=0.01)


def test_a_smooth_curve_is_sent_in_far_fewer_points():
    sent, _, meant = sent_and_meant(X, 0.5 + 0.4 * np.sin(20 * X))
    assert len(sent) < len(meant) / 5


def test_dots_and_short_lines_are_sent_whole():
    _, dots, meant = sent_and_meant(X, 0.5 * X)
    assert np.allclose(dots, meant, atol=0.01)
    sent, _, meant = sent_and_meant(X[:100], 0.5 * X[:100])
    assert np.allclose(sent, meant, atol=0.01)


@pytest.mark.parametrize("gaps", [[0, 1], [1999], [500], [5, 6, 900, 1100, 1998]])
def test_a_broken_line_stays_broken_where_it_was(gaps):
    y = 0.5 + 0.4 * np.sin(20 * X)
    y[gaps] = np.nan
    sent, _, meant = sent_and_meant(X, y)
    pieces, wanted = (
        [piece[np.isfinite(piece).all(axis=1)] for piece in
         np.split(points, np.flatnonzero(np.isnan(points[:, 1])))] for points in (sent, meant))
    pieces, wanted = ([piece for piece in some if len(piece)] for some in (pieces, wanted))
    assert len(pieces) == len(wanted)
    for piece, whole in zip(pieces, wanted):
        assert piece[0] == pytest.approx(whole[0], abs=0.01)
        assert piece[-1] == pytest.approx(whole[-1], abs=0.01)


def test_a_line_with_nothing_to_show_shows_nothing():
    sent, _, _ = sent_and_meant(X, np.full(2000, np.nan))
    assert not np.isfinite(sent).all(axis=1).any()
