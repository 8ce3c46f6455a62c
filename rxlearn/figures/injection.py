"""Signal, oscillator, image and what reaches the filter, on one frequency axis."""

from __future__ import annotations

from math import nan

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from rxlearn.compute.injection_side import Injected
from rxlearn.compute.quantities import show
from rxlearn.compute.tuning import HIGH, LOW
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

TOP_FREQUENCY = 22e6
"""Right-hand end of the frequency axis, Hz, before it is stretched."""

WIDENED = 250
"""How many times wider than it is a sideband is drawn: at its true width it would be a hair.
On a stretched axis by as much more."""

LANES = {"signal": 4.0, "oscillator": 3.0, "distances": 2.0, "image": 1.0, "filter": 0.0}
"""Height of each lane's baseline."""

TALL, SHORT = 0.62, 0.16
"""Heights of a sideband's drawing at its lowest and its highest tone."""

_RULES = {HIGH: "oscillator - signal", LOW: "signal - oscillator"}


class InjectionFigure(LiveFigure):
    """A lane each for signal, oscillator, their distances, image, and the filter.

    ``stretch`` is by what the frequency axis is longer than :data:`TOP_FREQUENCY`.
    """

    name = "injection"
    size = (900, 340)

    def __init__(self, stretch: float = 1.0) -> None:
        self._stretch, self._top = stretch, stretch * TOP_FREQUENCY
        self._widened = WIDENED * stretch
        super().__init__()

    def build(self, figure: Figure) -> None:
        """One axis from zero up; nothing shares a lane, so nothing overlaps."""
        axes = figure.add_axes((0.115, 0.145, 0.87, 0.765))
        axes.set(xlim=(-0.9e6 * self._stretch, self._top), ylim=(-0.12, 4.95),
                 xlabel="frequency (MHz)", title="Where everything lies (sidebands drawn "
                 f"{self._widened:.0f} times too wide)")
        ticks = [2 * self._stretch * step for step in range(12)]
        axes.set_xticks([f * 1e6 for f in ticks], [f"{f:g}" for f in ticks])
        axes.set_yticks([y + 0.3 for y in LANES.values()],
                        ["signal", "oscillator", "distances", "image", "at the filter"])
        axes.tick_params(axis="y", length=0)
        axes.grid(False, axis="y")
        for base in LANES.values():
            axes.axhline(base, color=style.LIGHT["grid"], linewidth=1)
        axes.axvline(0, color=style.LIGHT["quiet"], linewidth=0.8)
        self._guides = self.line(axes, "guides", "quiet", linewidth=0.7, linestyle=(0, (1, 2)))
        self._bracket = self.line(axes, "bracket", "quiet", linewidth=1.4)
        self._bracket_words = self.label(axes, "bracket-words", "quiet", fontsize=10.5)
        self._sent = self._wedge(axes, "sent", "signal")
        self._arrived = self._wedge(axes, "arrived", "intermediate")
        self._sticks, self._words = {}, {}
        for lane, role in (("signal", "signal"), ("oscillator", "oscillator"),
                           ("image", "image"), ("filter", "intermediate")):
            self._sticks[lane] = self.line(axes, f"stick-{lane}", role, linewidth=2.6)
            self._words[lane] = self.label(axes, f"words-{lane}", role, fontsize=11.5)

    def _wedge(self, axes: Axes, name: str, role: str) -> Polygon:
        """A sideband: tall at its lowest tone, short at its highest."""
        wedge = Polygon([(0, 0)] * 4, closed=True, facecolor=style.LIGHT[role], alpha=0.45,
                        edgecolor=style.LIGHT[role])
        axes.add_patch(wedge)
        return self.moving(name, wedge)

    def update(self, result: Injected) -> None:
        """Move sticks, sidebands, distances and the words of every lane."""
        up = "down ↓" if result.tunes_backwards else "up ↑"
        turned = "below its carrier: inverted" if result.inverted else "above its carrier: upright"
        places = {
            "signal": (result.signal, f"{_mhz(result.signal)}, goes {up}"),
            "oscillator": (result.oscillator, f"{_mhz(result.oscillator)}, turned up ↑"),
            "image": (result.image, _mhz(result.image)),
            "filter": (result.intermediate_frequency,
                       f"{_mhz(result.intermediate_frequency)}, sideband {turned}"),
        }
        for lane, (frequency, words) in places.items():
            self._place(lane, frequency, words)
        self._spread(self._sent, LANES["signal"], result.signal, result.sideband)
        self._spread(self._arrived, LANES["filter"], result.intermediate_frequency,
                     result.sideband_after)
        self._measure(result)

    def _place(self, lane: str, frequency: float, words: str) -> None:
        """Put one stick and its words, turned inwards in the right half, with an arrow beyond."""
        base, label = LANES[lane], self._words[lane]
        self._sticks[lane].set_visible(frequency <= self._top)
        self._sticks[lane].set_data([frequency] * 2, [base, base + 0.85])
        left = frequency < 0.55 * self._top
        # The words keep clear of a sideband on either side of the carrier.
        clear = (0.95e6 if lane in ("signal", "filter") else 0.2e6) * self._stretch
        label.set_ha("left" if left else "right")
        place = frequency + clear if left else frequency - clear
        if frequency > self._top:
            words, place = f"{words}, beyond this axis →", self._top
        label.set_text(words)
        label.set_position((place, base + 0.22))

    def _spread(self, wedge: Polygon, base: float, carrier: float, tones: tuple) -> None:
        """Draw a sideband from the places of its lowest and highest tone, widened."""
        inner, outer = (carrier + self._widened * (tone - carrier) for tone in tones)
        wedge.set_xy([(inner, base), (inner, base + TALL), (outer, base + SHORT), (outer, base)])

    def _measure(self, result: Injected) -> None:
        """Draw the equal distances from the middle to signal and image."""
        y = LANES["distances"] + 0.2
        low, high = sorted((result.signal, result.image))
        centre, ends = result.centre, []
        for x in (low, centre, high):
            ends += [(x, y - 0.12), (x, y + 0.12), (nan, nan)]
        self._bracket.set_data(*zip((low, y), (high, y), (nan, nan), *ends))
        self._guides.set_data(
            [result.signal, result.signal, nan, result.image, result.image],
            [LANES["signal"], y, nan, y, LANES["image"] + 0.85],
        )
        whose = "oscillator" if centre == result.oscillator else "intermediate frequency"
        self._bracket_words.set_text(f"each {_mhz(result.reach)} from the {whose}")
        if centre < 0.55 * self._top:
            place, side = max(low, 0.0), "left"
        else:
            place, side = min(high, self._top), "right"
        self._bracket_words.set_ha(side)
        self._bracket_words.set_position((place, y + 0.24))

    def describe(self, result: Injected) -> str:
        """Oscillator, image, sideband and direction."""
        turned = "inverted" if result.inverted else "upright"
        way = "down: tuning runs backwards" if result.tunes_backwards else "up with it"
        words = (
            f"For {_mhz(result.signal)} the oscillator runs on {_mhz(result.oscillator)} and the "
            f"image lies on {_mhz(result.image)}. The sideband comes out {turned}; when the "
            f"oscillator goes up, the signal goes {way}."
        )
        if result.passes_straight:
            return f"{words} The signal lies on the intermediate frequency: it passes unmixed."
        return words

    def explain(self, result: Injected) -> str:
        """Move one tone, and see which way its product goes; then why the image is where it is."""
        signal, oscillator = result.signal, result.oscillator
        rule = _RULES.get(result.injection, "oscillator + signal")
        after = result.sideband_after[1] - result.intermediate_frequency
        tone = show(result.sideband[1] - signal, "Hz")
        image = (f"{_mhz(result.image)} and {_mhz(oscillator)} add up to the intermediate "
                 "frequency" if abs(result.image + oscillator - result.intermediate_frequency) < 1
                 and result.injection == LOW else
                 f"{_mhz(result.image)} differs from {_mhz(oscillator)} by just as much")
        return (
            f"The filter takes {rule}. A tone {tone} above the carrier comes out "
            f"{show(abs(after), 'Hz')} {'above' if after > 0 else 'below'} it, because the signal "
            f"counts {'with a minus' if result.inverted else 'with a plus'}. "
            f"{_mhz(result.intermediate_frequency)} stands still: that fixes which way the dial "
            f"runs. The image: {image}, so the filter cannot tell it from the signal."
        )


def _mhz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="M", decimals=4)
