"""Published figures of receiving valves: heater, currents and conductance at one typical point.

Generic type numbers only.  SI units.  Each row is one operating point that the makers printed;
``source`` says where it was read.  A figure "from memory" wants a look at the maker's sheet
before a part is bought.  They are typical values of new valves: currents of single valves lie a
third to either side.  The limits are the makers' design-centre ones, which allow for the mains
being a tenth high or low.  Rectifiers stand in :mod:`rxlearn.data.rectifier_valves`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, kw_only=True)
class Valve:
    """A receiving valve at one printed operating point.  V, A, S, Ω.

    ``kind`` is its name in the trade, ``sections`` how many alike systems share the bulb; all
    currents but the heater's are those of one section.  ``bias`` is how far the control grid
    stands below the cathode.  ``transconductance`` of a mixer valve is its conversion
    transconductance.  ``noise_resistance`` stands for its noise, in series with the grid;
    ``anode_load`` is what an output valve wants.  ``most_`` are limits: anode and screen volts,
    and the heat in the anode of one section.  None: it has none, or none is at hand.
    """

    name: str
    kind: str
    heater_current: float
    anode_voltage: float
    anode_current: float
    bias: float
    transconductance: float
    screen_voltage: float | None = None
    screen_current: float = 0.0
    amplification: float | None = None
    noise_resistance: float | None = None
    anode_load: float | None = None
    most_anode_voltage: float
    most_anode_power: float
    most_screen_voltage: float | None = None
    sections: int = 1
    heater_voltage: float = 6.3
    source: str

    @property
    def supply_current(self) -> float:
        """What one section draws of the high tension, anode and screens together, A."""
        return self.anode_current + self.screen_current


_MANUAL = "RCA receiving-tube manuals, typical operation, from memory"
_EUROPE = "European makers' pocket books, typical operation, from memory"
_NOISE = f"{_MANUAL}; noise resistance as in W. A. Harris, RCA Review 5 (1941) 505, from memory"

VALVES: Mapping[str, Valve] = MappingProxyType({valve.name: valve for valve in (
    Valve(name="6BE6", kind="pentagrid mixer", heater_current=0.3, anode_voltage=250.0,
          screen_voltage=100.0, anode_current=2.9e-3, screen_current=6.8e-3, bias=1.5,
          transconductance=475e-6, noise_resistance=190e3, most_anode_voltage=300.0, most_anode_power=1.0, most_screen_voltage=100.0,
          source=_NOISE),
    Valve(name="6SA7", kind="pentagrid mixer", heater_current=0.3, anode_voltage=250.0,
          screen_voltage=100.0, anode_current=3.5e-3, screen_current=8.5e-3, bias=2.0,
          transconductance=450e-6, noise_resistance=240e3, most_anode_voltage=300.0, most_anode_power=1.0, most_screen_voltage=100.0,
          source=_NOISE),
    Valve(name="6BA6", kind="remote cut-off pentode", heater_current=0.3, anode_voltage=250.0,
          screen_voltage=100.0, anode_current=11e-3, screen_current=4.2e-3, bias=1.0,
          transconductance=4.4e-3, noise_resistance=3.8e3, most_anode_voltage=300.0, most_anode_power=3.0, most_screen_voltage=125.0,
          source=_NOISE),
    Valve(name="6SK7", kind="remote cut-off pentode", heater_current=0.3, anode_voltage=250.0,
          screen_voltage=100.0, anode_current=9.2e-3, screen_current=2.6e-3, bias=3.0,
          transconductance=2.0e-3, noise_resistance=10.5e3, most_anode_voltage=300.0, most_anode_power=4.0, most_screen_voltage=125.0,
          source=_NOISE),
    Valve(name="6AU6", kind="sharp cut-off pentode", heater_current=0.3, anode_voltage=100.0,
          screen_voltage=100.0, anode_current=5.0e-3, screen_current=2.1e-3, bias=1.0,
          transconductance=3.9e-3, noise_resistance=2.7e3, most_anode_voltage=300.0, most_anode_power=3.0, most_screen_voltage=150.0,
          source=_NOISE),
    Valve(name="6AK5", kind="sharp cut-off pentode", heater_current=0.175, anode_voltage=180.0,
          screen_voltage=120.0, anode_current=7.7e-3, screen_current=2.4e-3, bias=2.0,
          transconductance=5.1e-3, noise_resistance=1.9e3, most_anode_voltage=180.0, most_anode_power=1.7, most_screen_voltage=140.0,
          source=_NOISE),
    Valve(name="6C4", kind="triode", heater_current=0.15, anode_voltage=250.0,
          anode_current=10.5e-3, bias=8.5, transconductance=2.2e-3, amplification=17.0,
          noise_resistance=1.1e3, most_anode_voltage=300.0, most_anode_power=3.5,
          source=_NOISE),
    Valve(name="12AU7", kind="twin triode", heater_current=0.3, anode_voltage=250.0,
          anode_current=10.5e-3, bias=8.5, transconductance=2.2e-3, amplification=17.0,
          noise_resistance=1.1e3, sections=2, most_anode_voltage=300.0, most_anode_power=2.75,
          source=_NOISE),
    Valve(name="12AT7", kind="twin triode", heater_current=0.3, anode_voltage=250.0,
          anode_current=10e-3, bias=2.0, transconductance=5.5e-3, amplification=60.0,
          noise_resistance=450.0, sections=2, most_anode_voltage=300.0, most_anode_power=2.5,
          source=_NOISE),
    Valve(name="12AX7", kind="twin triode", heater_current=0.3, anode_voltage=250.0,
          anode_current=1.2e-3, bias=2.0, transconductance=1.6e-3, amplification=100.0,
          noise_resistance=1.6e3, sections=2, most_anode_voltage=300.0, most_anode_power=1.0,
          source=_NOISE),
    Valve(name="6SN7", kind="twin triode", heater_current=0.6, anode_voltage=250.0,
          anode_current=9e-3, bias=8.0, transconductance=2.6e-3, amplification=20.0,
          noise_resistance=1.0e3, sections=2, most_anode_voltage=300.0, most_anode_power=2.5,
          source=_NOISE),
    Valve(name="6AK6", kind="output pentode", heater_current=0.15, anode_voltage=180.0,
          screen_voltage=180.0, anode_current=15e-3, screen_current=2.5e-3, bias=9.0,
          transconductance=2.3e-3, anode_load=10e3, most_anode_voltage=300.0, most_anode_power=2.75, most_screen_voltage=250.0,
          source=_MANUAL),
    Valve(name="6AQ5", kind="output beam tetrode", heater_current=0.45, anode_voltage=250.0,
          screen_voltage=250.0, anode_current=45e-3, screen_current=4.5e-3, bias=12.5,
          transconductance=4.1e-3, anode_load=5e3, most_anode_voltage=250.0, most_anode_power=12.0, most_screen_voltage=250.0,
          source=_MANUAL),
    Valve(name="6V6", kind="output beam tetrode", heater_current=0.45, anode_voltage=250.0,
          screen_voltage=250.0, anode_current=45e-3, screen_current=4.5e-3, bias=12.5,
          transconductance=4.1e-3, anode_load=5e3, most_anode_voltage=315.0, most_anode_power=12.0, most_screen_voltage=285.0,
          source=_MANUAL),
    Valve(name="6CB6", kind="sharp cut-off pentode", heater_current=0.3, anode_voltage=200.0,
          screen_voltage=150.0, anode_current=9.5e-3, screen_current=2.8e-3, bias=2.2,
          transconductance=6.2e-3, most_anode_voltage=300.0, most_anode_power=2.0,
          most_screen_voltage=150.0, source=_MANUAL),
    Valve(name="EF80", kind="sharp cut-off pentode", heater_current=0.3, anode_voltage=170.0,
          screen_voltage=170.0, anode_current=10e-3, screen_current=2.5e-3, bias=2.0,
          transconductance=7.4e-3, noise_resistance=1.0e3, most_anode_voltage=300.0,
          most_anode_power=2.5, most_screen_voltage=300.0, source=_EUROPE),
    Valve(name="EF85", kind="remote cut-off pentode", heater_current=0.3, anode_voltage=250.0,
          screen_voltage=100.0, anode_current=10e-3, screen_current=2.5e-3, bias=2.0,
          transconductance=6.0e-3, noise_resistance=1.5e3, most_anode_voltage=300.0,
          most_anode_power=2.5, most_screen_voltage=300.0, source=_EUROPE),
    Valve(name="EF89", kind="remote cut-off pentode", heater_current=0.2, anode_voltage=250.0,
          screen_voltage=100.0, anode_current=9e-3, screen_current=3e-3, bias=2.0,
          transconductance=3.6e-3, noise_resistance=4.2e3, most_anode_voltage=300.0,
          most_anode_power=2.25, most_screen_voltage=300.0, source=_EUROPE),
    Valve(name="EF183", kind="remote cut-off pentode", heater_current=0.3, anode_voltage=200.0,
          screen_voltage=90.0, anode_current=12e-3, screen_current=4.5e-3, bias=2.0,
          transconductance=12.5e-3, most_anode_voltage=250.0, most_anode_power=2.5,
          most_screen_voltage=250.0, source=_EUROPE),
    Valve(name="ECH81", kind="heptode mixer", heater_current=0.3, anode_voltage=250.0,
          screen_voltage=100.0, anode_current=3.25e-3, screen_current=6.7e-3, bias=2.0,
          transconductance=775e-6, noise_resistance=70e3, most_anode_voltage=300.0,
          most_anode_power=1.7, most_screen_voltage=125.0, source=_EUROPE),
    Valve(name="ECH81 triode", kind="triode in a mixer's bulb", heater_current=0.3,
          anode_voltage=100.0, anode_current=4.5e-3, bias=2.4, transconductance=3.7e-3,
          amplification=22.0, noise_resistance=680.0, most_anode_voltage=250.0,
          most_anode_power=0.8, source=_EUROPE),
    Valve(name="EL84", kind="output pentode", heater_current=0.76, anode_voltage=250.0,
          screen_voltage=250.0, anode_current=48e-3, screen_current=5.5e-3, bias=7.3,
          transconductance=11.3e-3, anode_load=5.2e3, most_anode_voltage=300.0,
          most_anode_power=12.0, most_screen_voltage=300.0, source=_EUROPE),
)})
"""Type to what its makers printed."""

ALIASES: Mapping[str, str] = MappingProxyType({
    "EK90": "6BE6", "EF93": "6BA6", "EF94": "6AU6", "EF95": "6AK5", "EC90": "6C4",
    "ECC82": "12AU7", "ECC81": "12AT7", "ECC83": "12AX7", "EL90": "6AQ5",
    "6BX6": "EF80", "6BY7": "EF85", "6DA6": "EF89", "6EH7": "EF183", "6AJ8": "ECH81",
    "6BQ5": "EL84",
})
"""Another number of the same type, European or American, to the one in the table (from memory)."""
