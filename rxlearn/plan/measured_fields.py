"""What the learner measured: three tables of readings, each with its uncertainty where known."""

from __future__ import annotations

from rxlearn.plan.field import choice, quantity, table

BAND_OF = {"lower": "lower_band", "upper": "upper_band"}
OSCILLATOR = "oscillator"
SIGNAL = "signal"

PLACES = {
    "first": "first capacitor", "second": "second capacitor", "heater": "heater winding",
}
"""Where a supply voltage is read, and the words for it."""

MEASURED_ROWS = (
    table("measured.coil", "Oscillator coil with known capacitors",
          (quantity("capacitance", "Known capacitor", "F", 1e-12, 10e-9),
           quantity("frequency", "Resonance", "Hz", 10e3, 300e6),
           quantity("uncertainty", "Uncertainty", "Hz", 1.0, 10e6, optional=True),
           quantity("known", "Capacitor known to", "%", 0.001, 20.0, optional=True)),
          section="measured",
          why="Two capacitors far apart tell the coil from its strays; without an uncertainty "
              "10 ppm are taken, and 1 % for the capacitor."),
    quantity("measured.inductance", "Oscillator coil, as measured", "H", 0.0, 10e-3, 0.0,
             section="measured",
             why="Your plan's own coil stays what you are to reach; zero is not measured yet."),
    table("measured.dial", "Dial readings",
          (choice("band", "Band", {"lower": "lower band", "upper": "upper band"}, "lower"),
           quantity("shaft", "Shaft from fully meshed", "°", -5.0, 365.0),
           choice("heard", "What was read", {OSCILLATOR: "oscillator, by a counter",
                                             SIGNAL: "signal, from the air"}, OSCILLATOR),
           quantity("frequency", "Frequency", "Hz", 10e3, 300e6),
           quantity("uncertainty", "Uncertainty", "Hz", 1.0, 10e6, optional=True)),
          section="measured",
          why="From end to end, on each band at least five; without an uncertainty 10 ppm are "
              "taken. The band's own name will do, too."),
    quantity("measured.dial_step", "How finely the dial is read", "°", 0.01, 20.0, 1.0,
             section="measured",
             why="A reading lies anywhere within its step: its uncertainty is the step over the "
                 "root of twelve."),
    table("measured.supply", "Supply voltages, read at a clipped meter",
          (choice("place", "Where", PLACES, "second"),
           quantity("voltage", "Voltage", "V", 0.0, 2000.0),
           quantity("mains", "Mains then, over nominal", "%", 50.0, 150.0, optional=True)),
          section="measured", high_voltage=True,
          why="Read under load, each with the mains voltage of that moment if you know it."),
)
"""Taken in by :mod:`rxlearn.plan.fields`."""
