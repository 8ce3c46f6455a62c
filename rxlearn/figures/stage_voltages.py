"""What a meter shows at each electrode of one stage, sound and with a fault, side by side."""

from __future__ import annotations

from math import nan

from matplotlib.figure import Figure

from rxlearn.compute.quantities import show
from rxlearn.compute.stage_voltages import FAULTS, StageVoltages
from rxlearn.compute.stages import FUNCTIONS
from rxlearn.figures.scene import LiveFigure

ELECTRODES = ("anode", "screen", "grid", "cathode")
_ABSENT = {
    "screen": "no screen resistor in this circuit, so that cannot fail.",
    "leak": "no high tension behind the capacitor at this grid, so a leak there shows on no meter.",
}
"""Why a fault cannot be had in a stage."""

_BAR = {"linewidth": 11, "linestyle": "-", "solid_capstyle": "butt"}


class StageVoltagesFigure(LiveFigure):
    """Two panels: the electrodes of high and of low voltage, a sound and a found bar for each.

    ``high`` and ``low`` (V) end their axes; ``note``, if any, opens every description.
    """

    name = "stage-voltages"
    size = (900, 300)

    def __init__(self, high: float, low: float, note: str = "") -> None:
        self._ends, self._note = (high, low), note
        super().__init__()

    def build(self, figure: Figure) -> None:
        """Anode and screen on one axis, grid and cathode on another."""
        self._rows = {}
        for number, names in enumerate((ELECTRODES[:2], ELECTRODES[2:])):
            axes = figure.add_axes((0.1, 0.6 - 0.47 * number, 0.78, 0.29))
            axes.set(xlim=(0, self._ends[number]), ylim=(2, 0), xlabel="V to chassis" if number else "")
            axes.set_yticks([0.5, 1.5], names)
            axes.tick_params(axis="y", length=0)
            sound = self.line(axes, f"sound-{number}", "intermediate", **_BAR)
            found = self.line(axes, f"found-{number}", "warning", **_BAR)
            for row, name in enumerate(names):
                texts = tuple(self.label(axes, f"{kind}-{name}", role, fontsize=10)
                              for kind, role in (("sound", "ink"), ("found", "ink")))
                self._rows[name] = (row, texts, self._ends[number])
            setattr(self, f"_bars{number}", (sound, found))
            if number == 0:
                axes.set_title("Upper bar: all sound.  Lower bar: as found")

    def update(self, result: StageVoltages) -> None:
        """Move the bars and their numbers; a valve without a screen has no bar for it."""
        readings = {row.electrode: row for row in result.readings}
        for number, names in enumerate((ELECTRODES[:2], ELECTRODES[2:])):
            for kind, line in enumerate(getattr(self, f"_bars{number}")):
                x, y = [], []
                for name in names:
                    row, texts, end = self._rows[name]
                    reading = readings.get(name)
                    height = row + 0.3 + 0.42 * kind
                    texts[kind].set_text("")
                    if reading is None:
                        texts[0].set_position((0.012 * end, row + 0.6))
                        texts[0].set_text("none in this valve")
                        continue
                    volts = (reading.sound, reading.found)[kind]
                    x += [0.0, min(max(volts, 0.004 * end), end), nan]
                    y += [height, height, nan]
                    texts[kind].set_position((min(volts, end) + 0.012 * end, height + 0.14))
                    texts[kind].set_text(_volts(volts))
                line.set_data(x, y)

    def describe(self, result: StageVoltages) -> str:
        """Each electrode sound and as found."""
        name = f"{self._note} {FUNCTIONS[result.stage].capitalize()} ({result.valve})".strip()
        if result.fault == "none":
            told = "; ".join(f"{row.electrode} {_volts(row.found)}" for row in result.readings)
            if result.absent:
                return f"{name}: {_ABSENT[result.absent]} All sound: {told}."
            return f"{name}, all sound: {told}."
        told = "; ".join(f"{row.electrode} {_volts(row.found)} (sound {_volts(row.sound)})"
                         for row in result.readings)
        return f"{name}, {FAULTS[result.fault]}: {told}."

    def explain(self, result: StageVoltages) -> str:
        """What the cathode tells, and why the others follow."""
        current = show(result.current_found, "A", digits=3)
        sound = show(result.current_sound, "A", digits=3)
        words = {
            "none": "The cathode's voltage over its resistor is the valve's current: one reading, and "
                    "it is a low one.",
            "heater": "A cold cathode gives nothing, so nothing is dropped anywhere: anode and screen "
                      "stand at the full supply, and the cathode at the chassis.",
            "cathode": "With its way to the chassis open, the cathode rises until the grid cuts the "
                       "valve off.",
            "anode": "Nothing reaches the anode, and all that still flows goes to the screen, if there "
                     "is one.",
            "screen": "Without its screen the valve hardly draws, so the anode stands at the full "
                      "supply.",
            "leak": "The leak pulls the grid up, the current rises, and the valve gets too hot: plug "
                    "out.",
        }[result.fault]
        if result.fault == "none":
            return f"{words} Here it is {current}."
        return f"{words} Cathode current {current}, sound {sound}."


def _volts(value: float) -> str:
    return show(value, "V", digits=3, prefix="")
