"""Crystals side by side: the stretch of the main dial each uses, and what stands against it."""

from __future__ import annotations

import math

from matplotlib.figure import Figure

from rxlearn.compute.converter_choice import Comparison, Offer
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

ROWS = 6
"""Crystals in the picture: as many as are ever on offer."""

SOURCES = {"planned": "planned", "drawer": "in your drawer", "stock": "stock",
           "to order": "cut to order"}


class CrystalsComparedFigure(LiveFigure):
    """A row for each crystal: its stretch of the dial with an arrow the way the band runs.

    ``note``, if there is one, opens every description.
    """

    name = "crystals-compared"
    size = (900, 205)
    caption = "Crystals compared"
    columns = ("crystal", "from", "of the band", "dial", "image down", "what stands against it")

    def __init__(self, note: str = "") -> None:
        self._note = note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """The axis is the main dial from end to end, whichever band that is."""
        axes = figure.add_axes((0.15, 0.15, 0.68, 0.72))
        axes.set(xlim=(-0.03, 1.03), ylim=(-ROWS + 0.4, 0.6), yticks=[])
        axes.set_title("Stretch of the main dial; the arrow shows which way the band runs",
                       fontsize=style.SIZE)
        axes.set_xticks([0, 0.25, 0.5, 0.75, 1], ["low end", "25 %", "50 %", "75 %", "high end"])
        axes.tick_params(labelsize=10.5)
        axes.grid(True, axis="x")
        axes.grid(False, axis="y")
        across = axes.get_yaxis_transform()
        self._bars = [self.line(axes, f"bar-{i}", "signal", linewidth=7, linestyle="-",
                                solid_capstyle="butt") for i in range(ROWS)]
        self._upright = self.line(axes, "upright", "ink", marker=">", linestyle="None",
                                  markersize=12)
        self._reversed = self.line(axes, "reversed", "ink", marker="<", linestyle="None",
                                   markersize=12)
        self._names = [self.label(axes, f"name-{i}", "ink", ha="right", fontsize=10.5,
                                  transform=across) for i in range(ROWS)]
        self._words = [self.label(axes, f"words-{i}", "quiet", fontsize=10.5, transform=across)
                       for i in range(ROWS)]
        for i in range(ROWS):
            self._names[i].set_position((-0.015, -i - 0.15))
            self._words[i].set_position((1.015, -i - 0.15))

    def update(self, result: Comparison) -> None:
        """Lay each crystal's stretch on its row."""
        arrows = {False: ([], []), True: ([], [])}
        for i in range(ROWS):
            offer = result.offers[i] if i < len(result.offers) else None
            for artist in (self._names[i], self._words[i]):
                artist.set_visible(offer is not None)
            works = offer is not None and offer.plan.works
            self._bars[i].set_visible(works)
            if offer is None:
                continue
            self._names[i].set_text(_mhz(offer.crystal))
            self._words[i].set_text(_verdict(offer, result.best))
            if works:
                low, high = offer.plan.stretch_share
                short = max(0.0, 0.004 - (high - low)) / 2
                self._bars[i].set_data([low - short, high + short], [-i] * 2)
                backwards = offer.plan.dial_reversed
                arrows[backwards][0].append(low if backwards else high)
                arrows[backwards][1].append(-i)
        for backwards, artist in ((False, self._upright), (True, self._reversed)):
            artist.set_visible(bool(arrows[backwards][0]))
            if arrows[backwards][0]:
                artist.set_data(*arrows[backwards])

    def describe(self, result: Comparison) -> str:
        """How many serve, and which comes first and why."""
        serving = sum(offer.plan.works for offer in result.offers)
        words = (f"{result.band} on the {result.main_name} dial: of {len(result.offers)} crystals "
                 f"{serving} serve{'s' if serving == 1 else ''}.")
        if result.best is not None:
            words += (" Named best is "
                      f"{_mhz(result.best.crystal)} ({SOURCES[result.best.source]}): "
                      f"{_percent(result.best)} of the band, image held down "
                      f"{result.best.plan.image.rejection_db:.1f} dB.")
        return f"{self._note} {words}".strip()

    def explain(self, result: Comparison) -> str:
        """What was weighed, and that the learner decides."""
        return (
            "Listed are the planned crystal, then your drawer, then stock, then what must be cut. "
            "Named best is the one that reaches most of the band; among equals one that need not "
            "be ordered, then one with fewest things against it: a crystal or its second or third "
            "harmonic inside an amateur band, a dial that runs backwards, an image less than 40 dB "
            "down, harmonics of the beat oscillator, whistles up to order 8. All count alike here; "
            "at your bench they do not.")

    def rows(self, result: Comparison) -> list[list[str]]:
        """The crystals with all that was found."""
        return [_cells(offer) for offer in result.offers]


def _cells(offer: Offer) -> list[str]:
    plan = offer.plan
    opening = [_mhz(offer.crystal), SOURCES[offer.source]]
    if not plan.works:
        return [*opening, "0 %", "none", "none", plan.reasons[0]]
    image = plan.image.rejection_db
    return [
        *opening, _percent(offer), "backwards" if plan.dial_reversed else "upwards",
        f"{image:.1f} dB" if math.isfinite(image) else "altogether",
        "; ".join(plan.speaks_against) or "nothing found",
    ]


def _verdict(offer: Offer, best: Offer | None) -> str:
    if not offer.plan.works:
        return "does not serve"
    against = len(offer.plan.speaks_against)
    words = f"{_percent(offer)}, {against} against"
    return f"best: {words}" if offer is best else words


def _percent(offer: Offer) -> str:
    return f"{100 * offer.plan.covered_share:.0f} %"


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", digits=8)
