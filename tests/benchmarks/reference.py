"""The figure that every route draws: one content, one computation, several ways to the page.

Two axes, two curves of 2000 points recomputed by numpy, three marker lines,
three moving labels and a shaded span, 900 x 420 pixels; one slider of 201 stops.
A notebook of the benchmark calls :func:`ours` or :func:`interact_inline` and so on;
this module is written as a lesson's author would write it.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np

from rxlearn.bench.controls import Knob
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.quantities import show
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

LOW, HIGH, STOPS = 5.0e6, 7.0e6, 200
"""Ends of the slider (oscillator frequency, Hz) and the steps between them."""

START = 6.0e6
INTERMEDIATE_FREQUENCY = 1.6e6
HALF_WIDTH = 60e3
LOADED_Q = 40.0
AXIS = (2.5e6, 9.5e6)
FREQUENCIES = np.linspace(*AXIS, 2000)
SIZE = (900, 420)


@dataclass(frozen=True)
class Responses:
    """What the front end and the filter let through with the oscillator at ``oscillator`` (Hz)."""

    oscillator: float
    front_db: np.ndarray
    filter_db: np.ndarray

    @property
    def signal(self) -> float:
        """The frequency below the oscillator that is heard, Hz."""
        return self.oscillator - INTERMEDIATE_FREQUENCY

    @property
    def image(self) -> float:
        """The frequency above the oscillator that is heard, Hz."""
        return self.oscillator + INTERMEDIATE_FREQUENCY


def respond(oscillator: float) -> Responses:
    """Both curves anew: one tuned circuit at the signal, a filter behind the mixer."""
    signal = oscillator - INTERMEDIATE_FREQUENCY
    detuning = LOADED_Q * (FREQUENCIES / signal - signal / FREQUENCIES)
    front = -10 * np.log10(1 + detuning**2)
    offset = (np.abs(FREQUENCIES - oscillator) - INTERMEDIATE_FREQUENCY) / HALF_WIDTH
    return Responses(oscillator, front, np.maximum(front, -60) - 10 * np.log10(1 + offset**4))


def mhz(frequency: float) -> str:
    """``frequency`` (Hz) as printed in every variant."""
    return show(frequency, "Hz", prefix="M", decimals=3)


# -- our live figure ---------------------------------------------------------------


class ReferenceFigure(LiveFigure):
    """The reference content as a live figure."""

    name = "reference"
    size = SIZE

    def build(self, figure) -> None:
        """Both axes with fixed limits, and all that moves."""
        upper = figure.add_axes((0.08, 0.58, 0.9, 0.36))
        upper.set(xlim=AXIS, ylim=(-60, 15), ylabel="front end (dB)")
        self._front = self.line(upper, "front", "signal")
        lower = figure.add_axes((0.08, 0.11, 0.9, 0.36))
        lower.set(xlim=AXIS, ylim=(-120, 10), ylabel="all of it (dB)", xlabel="frequency (Hz)")
        self._filter = self.line(lower, "filter", "intermediate")
        self._span = self.moving("span", upper.axvspan(0, 1, color=style.LIGHT["shade"]))
        self._markers = [self.marker(upper, f"marker-{role}", role)
                         for role in ("signal", "oscillator", "image")]
        self._labels = [self.label(upper, f"label-{role}", role)
                        for role in ("signal", "oscillator", "image")]

    def update(self, result: Responses) -> None:
        """Move all of it."""
        self._front.set_data(FREQUENCIES, result.front_db)
        self._filter.set_data(FREQUENCIES, result.filter_db)
        self._span.set_x(result.signal - HALF_WIDTH)
        self._span.set_width(2 * HALF_WIDTH)
        places = ("signal", result.signal), ("oscillator", result.oscillator), ("image", result.image)
        for marker, label, (name, place) in zip(self._markers, self._labels, places):
            marker.set_xdata([place, place])
            label.set_text(f"{name} {mhz(place)}")
            label.set_position((place + 3e4, 5))

    def describe(self, result: Responses) -> str:
        """The three frequencies."""
        return (f"With the oscillator on {mhz(result.oscillator)} the signal is "
                f"{mhz(result.signal)} and the image {mhz(result.image)}.")

    def explain(self, result: Responses) -> str:
        """Why the image is where it is."""
        return (f"Both lie {mhz(INTERMEDIATE_FREQUENCY)} from {mhz(result.oscillator)}, "
                "so the mixer cannot tell them apart.")


def ours() -> LiveBench:
    """The reference content as a lesson shows it."""
    knob = Knob(key="oscillator", label="Oscillator", unit="Hz", low=LOW, high=HIGH, start=START,
                fine=(HIGH - LOW) / STOPS, coarse=1e5, prefix="M", decimals=3)
    return live("Reference", [knob], respond, ReferenceFigure)


# -- ipywidgets.interact on an inline figure ------------------------------------------


def _stop_slider():
    from ipywidgets import IntSlider, Layout

    return IntSlider(value=STOPS // 2, min=0, max=STOPS, description="Oscillator",
                     continuous_update=True, layout=Layout(width="500px"))


def _oscillator(stop: int) -> float:
    return LOW + stop * (HIGH - LOW) / STOPS


def _draw(figure):
    """Draw the content once with plain matplotlib; return the function that moves it."""
    upper, lower = figure.subplots(2)
    upper.set(xlim=AXIS, ylim=(-60, 15), ylabel="front end (dB)")
    lower.set(xlim=AXIS, ylim=(-120, 10), ylabel="all of it (dB)", xlabel="frequency (Hz)")
    for axes in (upper, lower):
        axes.grid(True)
    (front,) = upper.plot([], [], color="C0")
    (total,) = lower.plot([], [], color="C2")
    span = upper.axvspan(0, 1, color="0.9")
    colours = {"signal": "C0", "oscillator": "C3", "image": "C4"}
    markers = {name: upper.axvline(0, color=colour) for name, colour in colours.items()}
    labels = {name: upper.text(0, 5, "", color=colour) for name, colour in colours.items()}

    def move(result: Responses) -> None:
        front.set_data(FREQUENCIES, result.front_db)
        total.set_data(FREQUENCIES, result.filter_db)
        span.set_x(result.signal - HALF_WIDTH)
        span.set_width(2 * HALF_WIDTH)
        for name in colours:
            place = getattr(result, name)
            markers[name].set_xdata([place, place])
            labels[name].set_text(f"{name} {mhz(place)}")
            labels[name].set_x(place + 3e4)

    return move


def interact_inline() -> None:
    """``interact`` as its documentation has it: each call makes the figure and shows it inline."""
    import matplotlib.pyplot as plt
    from ipywidgets import interact

    def show_it(stop: int) -> None:
        figure = plt.figure(figsize=(SIZE[0] / 100, SIZE[1] / 100), dpi=100)
        _draw(figure)(respond(_oscillator(stop)))
        plt.show()

    interact(show_it, stop=_stop_slider())


def interact_kept() -> None:
    """``interact`` at its best: the figure made once and moved, its PNG shown as it is.

    Leaves out the inline backend's second drawing (for its tight box) too.
    """
    from IPython.display import Image, display
    from ipywidgets import interact
    from matplotlib.figure import Figure

    figure = Figure(figsize=(SIZE[0] / 100, SIZE[1] / 100), dpi=100)
    move = _draw(figure)

    def show_it(stop: int) -> None:
        move(respond(_oscillator(stop)))
        picture = io.BytesIO()
        figure.savefig(picture, format="png")
        display(Image(picture.getvalue()))

    interact(show_it, stop=_stop_slider())


# -- the transport floor -------------------------------------------------------------


def floor_label() -> None:
    """The least that ipywidgets can do: a slider, and a label that the kernel sets."""
    from IPython.display import display
    from ipywidgets import Label

    slider, label = _stop_slider(), Label("stop 100")
    label.add_class("floor-label")
    slider.observe(lambda change: setattr(label, "value", f"stop {change['new']}"), "value")
    display(slider, label)


def floor_native():
    """The same with the browser's own slider, as our panel uses it: one number there, one text back."""
    import anywidget
    import traitlets

    class Floor(anywidget.AnyWidget):
        _esm = """
        export default { render({ model, el }) {
          const slider = Object.assign(document.createElement("input"),
            { type: "range", min: 0, max: 200, value: model.get("stop"), ariaLabel: "Oscillator" });
          slider.style.width = "500px";
          slider.dataset.lmSuppressShortcuts = "true";
          slider.addEventListener("keydown", (event) => event.stopPropagation());
          const label = document.createElement("p");
          label.className = "floor-label";
          const say = () => { label.textContent = model.get("words"); };
          slider.addEventListener("input", () => {
            model.set("stop", Number(slider.value));
            model.save_changes();
          });
          model.on("change:words", say);
          say();
          el.append(slider, label);
        } };
        """
        stop = traitlets.Int(STOPS // 2).tag(sync=True, echo_update=False)
        words = traitlets.Unicode("stop 100").tag(sync=True)

    widget = Floor()
    widget.observe(lambda change: setattr(widget, "words", f"stop {change['new']}"), "stop")
    return widget
