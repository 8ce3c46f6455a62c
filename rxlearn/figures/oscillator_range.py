"""One band, the oscillator's range on either side, and the capacitor that each would take."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rxlearn.compute.injection_side import VARIABLE_LARGEST, VARIABLE_SMALLEST, Sides, Tuner
from rxlearn.compute.quantities import show, show_span
from rxlearn.compute.tuning import HIGH, BandPlan
from rxlearn.figures.scene import LiveFigure

LEAST, MOST = 10e3, 5e6
"""Ends of the frequency axis, Hz."""

ROWS = {"signal": 3.0, "high": 2.0, "low": 1.0, "image": 0.0}
"""Height of each row's bar."""

_VARIABLE = f"{show(VARIABLE_SMALLEST, 'F').split()[0]}–{show(VARIABLE_LARGEST, 'F')}"
_REACHES = VARIABLE_LARGEST / VARIABLE_SMALLEST


class OscillatorRangeFigure(LiveFigure):
    """Bars on a logarithmic axis, so that a bar's length is its frequency ratio."""

    name = "oscillator-range"
    size = (900, 340)

    def build(self, figure: Figure) -> None:
        """Four rows; words stand above their bar, at the left edge, whatever the bar does."""
        axes = figure.add_axes((0.135, 0.145, 0.85, 0.765))
        axes.set(xscale="log", xlim=(LEAST, MOST), ylim=(-0.42, 3.8),
                 xlabel="frequency (logarithmic: equal lengths are equal ratios)",
                 title="What the signal asks of the oscillator, from either side")
        axes.set_xticks(
            [1e4, 3e4, 1e5, 3e5, 1e6, 3e6],
            ["10 kHz", "30 kHz", "100 kHz", "300 kHz", "1 MHz", "3 MHz"],
        )
        axes.minorticks_off()
        axes.set_yticks([y + 0.15 for y in ROWS.values()],
                        ["signal", "oscillator,\nhigh side", "oscillator,\nlow side", "image"])
        axes.tick_params(axis="y", length=0)
        axes.grid(False, axis="y")
        roles = {"signal": "signal", "high": "oscillator", "low": "oscillator", "image": "image"}
        self._bars = {row: self._bar(axes, row, roles[row], 10) for row in ROWS}
        self._in_band = self._bar(axes, "in-band", "warning", 4)
        self._words = {
            row: self.label(axes, f"words-{row}", roles[row], fontsize=10.5) for row in ROWS
        }
        self._chosen = self.label(axes, "chosen", "ink", fontsize=13, ha="right")

    def _bar(self, axes: Axes, name: str, role: str, width: float):
        return self.line(axes, f"bar-{name}", role, linewidth=width, linestyle="-",
                         solid_capstyle="butt")

    def update(self, result: Sides) -> None:
        """Move the bars and say ratio and capacitor above each."""
        chosen = result.chosen
        self._stretch("signal", result.band_low, result.band_high)
        self._stretch("high", result.high.oscillator_low, result.high.oscillator_high)
        self._stretch("low", result.low.oscillator_low, result.low.oscillator_high)
        self._bars["low"].set_visible(result.low_tuner is not None)
        self._stretch("image", chosen.image_low, chosen.image_high)
        band = _span(result.band_low, result.band_high)
        self._say("signal", f"{band}: {_needs(result.aerial_tuner)}")
        self._say("high", _oscillator_words(result.high, result.high_tuner))
        self._say("low", _oscillator_words(result.low, result.low_tuner))
        self._say("image", _image_words(chosen))
        stretch = chosen.image_in_band
        self._in_band.set_visible(stretch is not None)
        if stretch is not None:
            self._in_band.set_data(stretch, [ROWS["signal"] - 0.22] * 2)
        self._chosen.set_text("◀ chosen")
        self._chosen.set_position((MOST * 0.97, ROWS[result.injection] - 0.09))

    def _stretch(self, row: str, low: float, high: float) -> None:
        """Lay a bar over ``low``..``high`` as far as the axis shows it; none for not-a-number."""
        seen = high > LEAST
        self._bars[row].set_visible(seen)
        if seen:
            self._bars[row].set_data([max(low, LEAST), min(high, MOST)], [ROWS[row]] * 2)

    def _say(self, row: str, words: str) -> None:
        self._words[row].set_text(words)
        self._words[row].set_position((LEAST * 1.1, ROWS[row] + 0.3))

    def describe(self, result: Sides) -> str:
        """The chosen side's range, ratio and capacitor against the aerial circuit's."""
        chosen, tuner = result.chosen, result.chosen_tuner
        if tuner is None:
            return f"With the oscillator on the {result.injection} side: {' '.join(chosen.reasons)}"
        words = (
            f"On the {result.injection} side the oscillator tunes "
            f"{_span(chosen.oscillator_low, chosen.oscillator_high)}, a ratio of "
            f"{_times(tuner.frequency_ratio)} against the signal's {_times(chosen.signal_ratio)}; "
            f"its capacitance must change {_times(tuner.capacitance_ratio)} times, the aerial "
            f"circuit's {_times(chosen.signal_capacitance_ratio)} times."
        )
        if chosen.reasons:
            return f"{words} {' '.join(chosen.reasons)}"
        if chosen.image_in_band:
            return (f"{words} While {_span(*chosen.image_in_band)} is tuned, the image lies inside "
                    "the band.")
        return words

    def explain(self, result: Sides) -> str:
        """Adding the same amount to both ends shrinks a ratio, taking it away lets it grow."""
        low, high = _khz(result.band_low), _khz(result.band_high)
        step = _khz(result.intermediate_frequency)
        words = (
            f"Adding {step} to both {low} and {high} makes their ratio smaller; taking it away "
            "makes it larger. "
        )
        if result.low_tuner is None:
            return words + f"Here nothing is left below {low} to take it from."
        bottom = _khz(result.low.oscillator_low)
        words += (
            f"On the low side only {bottom} is left at the bottom, so the ratio is "
            f"{_times(result.low_tuner.frequency_ratio)} and the capacitance's, its square, "
            f"{_times(result.low_tuner.capacitance_ratio)}. "
        )
        if result.low_tuner.across is None:
            return words + (f"A variable capacitor of {_VARIABLE} reaches {_REACHES:.1f} with "
                            "nothing across it, and valve and wiring are always across it.")
        return words + (f"A variable capacitor of {_VARIABLE} covers that with "
                        f"{show(result.low_tuner.across, 'F', digits=3)} across it.")


def _needs(tuner: Tuner) -> str:
    """Ratio and capacitor of one tuned circuit, as a row's words."""
    words = (f"frequency × {_times(tuner.frequency_ratio)}, capacitance × "
             f"{_times(tuner.capacitance_ratio)}")
    if tuner.across is None:
        return f"{words}; {_VARIABLE} reaches only × {_REACHES:.1f}"
    return f"{words}; {_VARIABLE} with {show(tuner.across, 'F', digits=3)} across"


def _oscillator_words(plan: BandPlan, tuner: Tuner | None) -> str:
    if tuner is None:
        return "no oscillator: the intermediate frequency is not below the signal"
    return f"{_span(plan.oscillator_low, plan.oscillator_high)}: {_needs(tuner)}"


def _image_words(plan: BandPlan) -> str:
    side = "high" if plan.injection == HIGH else "low"
    if not plan.image_high > 0:
        return "no image without an oscillator"
    words = f"{_span(plan.image_low, plan.image_high)} on the {side} side"
    if plan.image_in_band:
        return f"{words}; inside the band while {_span(*plan.image_in_band)} is tuned (thin bar)"
    return f"{words}, never inside the band"


def _times(ratio: float) -> str:
    return show(ratio, "", digits=4)


def _span(low: float, high: float) -> str:
    return show_span(low, high, "Hz", prefix="k")


def _khz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="k")
