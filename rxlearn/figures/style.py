"""One look for all figures: palette by role, sizes, and an empty figure to draw on.

Colours are named by what they stand for, so that the browser can swap light
for dark without a new drawing.  Colour never speaks alone: each role also has
a line style, and lines are labelled where they lie.
"""

from __future__ import annotations

from matplotlib.figure import Figure

LIGHT = {
    "ink": "#1f2430", "quiet": "#59616f", "paper": "#ffffff", "grid": "#d6dbe2",
    "shade": "#e8edf4", "signal": "#0067a5", "oscillator": "#b0411d", "image": "#7b3f9e",
    "intermediate": "#0b7350", "warning": "#8a5a01",
}
"""Role to colour on light paper; every hex is used for one role only."""

DARK = {
    "ink": "#e8eaf0", "quiet": "#aab4c2", "paper": "#14171d", "grid": "#3a424e",
    "shade": "#242b36", "signal": "#6db7f2", "oscillator": "#ff9a6b", "image": "#d3a4f2",
    "intermediate": "#5fd3a2", "warning": "#f0c060",
}
"""The same roles on dark paper."""

DASHES = {
    "signal": "-", "oscillator": (0, (6, 2)), "image": (0, (2, 2)),
    "intermediate": "-", "warning": (0, (1, 1.5)),
}
"""Line style by role, so that a print in grey can still be read."""

FONT = "DejaVu Sans"
"""The face that matplotlib brings along and measures with."""

PAGE_FONTS = "'DejaVu Sans', Verdana, sans-serif"
"""What the page draws with: the same face where it is installed, else one as wide."""

SIZE = 12.0
"""Text size in figure pixels; a figure is drawn 900 pixels wide and scaled by the page."""

RC = {
    "svg.fonttype": "none", "font.family": FONT, "font.size": SIZE,
    "axes.labelsize": SIZE, "axes.titlesize": SIZE + 1, "axes.titlelocation": "left",
    "xtick.labelsize": SIZE - 1, "ytick.labelsize": SIZE - 1,
    "axes.edgecolor": LIGHT["quiet"], "axes.labelcolor": LIGHT["ink"],
    "axes.titlecolor": LIGHT["ink"], "text.color": LIGHT["ink"],
    "xtick.color": LIGHT["quiet"], "ytick.color": LIGHT["quiet"],
    "xtick.labelcolor": LIGHT["ink"], "ytick.labelcolor": LIGHT["ink"],
    "axes.facecolor": LIGHT["paper"], "figure.facecolor": LIGHT["paper"],
    "savefig.facecolor": LIGHT["paper"], "grid.color": LIGHT["grid"], "grid.linewidth": 0.8,
    "axes.grid": True, "axes.axisbelow": True, "axes.spines.top": False,
    "axes.spines.right": False, "lines.linewidth": 1.8, "path.simplify": True,
}
"""Matplotlib settings under which every figure is built and saved."""


def blank(width: float = 900, height: float = 340) -> Figure:
    """Return an empty figure of ``width`` x ``height`` pixels, outside pyplot.

    At 72 dots per inch one display unit is one SVG unit, so that a point that
    matplotlib has transformed can go to the browser as it is.
    """
    return Figure(figsize=(width / 72, height / 72), dpi=72)
