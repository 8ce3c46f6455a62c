"""Two responses around one station: the circuit that moves, and the filter that stays."""

from __future__ import annotations

from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.tune_once import DOWN_DB, WIDEST_OFFSET, Selectivity
from rxlearn.figures import style
from rxlearn.figures.scene import LiveFigure

BOTTOM_DB = -70.0


class TuneOnceFigure(LiveFigure):
    """Response in dB over the distance from the station, for both receivers."""

    name = "tune-once"
    size = (900, 330)

    def build(self, figure: Figure) -> None:
        """Fixed limits: 40 kHz to either side, 70 dB down."""
        axes = figure.add_axes((0.075, 0.15, 0.9, 0.74))
        axes.set(xlim=(-WIDEST_OFFSET, WIDEST_OFFSET), ylim=(BOTTOM_DB, 20),
                 xlabel="distance from the station (kHz)", ylabel="response (dB)",
                 title="What gets through, station in the middle")
        ticks = range(-40, 41, 10)
        axes.set_xticks([t * 1e3 for t in ticks], [str(t) for t in ticks])
        axes.axhline(-DOWN_DB, color=style.LIGHT["grid"], linewidth=1.2)
        self._straight = self.line(axes, "straight", "oscillator")
        self._superhet = self.line(axes, "superhet", "intermediate")
        self._neighbour = self.marker(axes, "neighbour", "quiet", linewidth=1.2)
        self._straight_words = self.label(axes, "straight-words", "oscillator", ha="left")
        self._superhet_words = self.label(axes, "superhet-words", "intermediate", ha="left")
        self._neighbour_words = self.label(axes, "neighbour-words", "quiet", ha="left", fontsize=10)

    def update(self, result: Selectivity) -> None:
        """Move both curves, the neighbour and the three labels."""
        self._straight.set_data(result.offsets, result.straight_db)
        self._superhet.set_data(result.offsets, result.superhet_db)
        self._neighbour.set_xdata([result.neighbour_offset] * 2)
        self._straight_words.set_text(f"straight set: {_khz(result.straight_width)} wide")
        self._straight_words.set_position((-39e3, 13))
        self._superhet_words.set_text(f"455 kHz filter: {_khz(result.superhet_width)} wide")
        self._superhet_words.set_position((-39e3, 4.5))
        self._neighbour_words.set_text(f"neighbour, {_khz(result.neighbour_offset)} away")
        self._neighbour_words.set_position((result.neighbour_offset + 600, 4.5))

    def describe(self, result: Selectivity) -> str:
        """Both widths, and what each does about the neighbour."""
        plural = "circuit" if result.circuits == 1 else "circuits"
        return (
            f"On {show(result.station, 'Hz', prefix='M', decimals=2)}, {result.circuits} tuned "
            f"{plural} of loaded Q {result.loaded_q:.0f} let {_khz(result.straight_width)} through "
            f"({DOWN_DB:.0f} dB down) and hold a neighbour {_khz(result.neighbour_offset)} away "
            f"down by {_db(result.straight_neighbour_db)}; the fixed filter lets "
            f"{_khz(result.superhet_width)} through and holds it down by "
            f"{_db(result.superhet_neighbour_db)}."
        )

    def explain(self, result: Selectivity) -> str:
        """The bandwidth of a circuit is its frequency over Q, so it grows as one tunes up."""
        per_circuit = result.station / result.loaded_q
        return (
            f"One tuned circuit passes its frequency divided by its loaded Q: "
            f"{show(result.station, 'Hz', prefix='M', decimals=2)} / {result.loaded_q:.0f} = "
            f"{_khz(per_circuit)} (3 dB down). Tune to twice the frequency and it is twice as wide. "
            "Bring every station to one low frequency instead, and one filter, built and aligned "
            f"once, stays {_khz(result.superhet_width)} wide on every band."
        )


def _khz(frequency: float) -> str:
    return show(frequency, "Hz", prefix="k", decimals=1)


def _db(level: float) -> str:
    return show(level, "dB", decimals=1)
