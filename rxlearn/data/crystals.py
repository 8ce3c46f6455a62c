"""Crystals that any parts counter has sold for decades, and why each exists.  Hz.

Nobody makes cheap crystals for receivers: they exist for clocks, computers,
television and telephones.  A stock crystal costs pennies, one cut to order a
day's wages, so a planner asks first what stock offers.

Source: which frequencies are in stock is common practice, no single source.
The reasons are arithmetic that the tests repeat (powers of two, multiples of a
data rate, television line rates) or, where no arithmetic leads there, common
knowledge of the trade, from memory.  Television: ITU-R Recommendation BT.1700
(colour subcarriers); data rates: multiples of 115.2 kHz are common practice.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class StockCrystal:
    """A crystal (or, where said, a ready-made filter) in stock: ``frequency`` in Hz and why."""

    frequency: float
    reason: str


STOCK_CRYSTALS: tuple[StockCrystal, ...] = (
    StockCrystal(1.0e6, "a round number for clocks and calibrators"),
    StockCrystal(1.8432e6, "serial data clock, 16 × 115.2 kHz"),
    StockCrystal(2.0e6, "a round number for early computers"),
    StockCrystal(2.048e6, "telephone line clock, 32 × 64 kHz"),
    StockCrystal(2.097152e6, "clock: 2 to the power 21, halved down to one second"),
    StockCrystal(2.4576e6, "serial data clock, 2048 × 1200 Hz"),
    StockCrystal(2.5e6, "a round number, a quarter of 10 MHz"),
    StockCrystal(3.072e6, "sound sampling, 64 × 48 kHz"),
    StockCrystal(3.2768e6, "clock: 100 × 32.768 kHz"),
    StockCrystal(3.579545e6, "colour television (525 lines): 315/88 MHz"),
    StockCrystal(3.6864e6, "serial data clock, 32 × 115.2 kHz"),
    StockCrystal(4.0e6, "a round number for processors"),
    StockCrystal(4.096e6, "telephone line clock, 64 × 64 kHz"),
    StockCrystal(4.194304e6, "clock: 2 to the power 22, halved down to one second"),
    StockCrystal(4.433619e6, "colour television (625 lines): 4.433 618 75 MHz"),
    StockCrystal(4.608e6, "serial data clock, 40 × 115.2 kHz"),
    StockCrystal(4.9152e6, "serial data clock, 4096 × 1200 Hz"),
    StockCrystal(5.0e6, "a round number for frequency standards"),
    StockCrystal(5.12e6, "synthesizer reference, 1024 × 5 kHz"),
    StockCrystal(6.0e6, "a round number, an eighth of 48 MHz"),
    StockCrystal(6.144e6, "sound sampling, 128 × 48 kHz"),
    StockCrystal(6.5536e6, "clock: 200 × 32.768 kHz"),
    StockCrystal(7.15909e6, "colour television (525 lines): twice 315/88 MHz"),
    StockCrystal(7.3728e6, "serial data clock, 64 × 115.2 kHz"),
    StockCrystal(8.0e6, "a round number for processors"),
    StockCrystal(8.192e6, "telephone line clock, 128 × 64 kHz"),
    StockCrystal(8.388608e6, "clock: 2 to the power 23, halved down to one second"),
    StockCrystal(8.867238e6, "colour television (625 lines): twice 4.433 618 75 MHz"),
    StockCrystal(9.0e6, "amateur crystal filters, by custom"),
    StockCrystal(9.216e6, "serial data clock, 80 × 115.2 kHz"),
    StockCrystal(9.8304e6, "serial data clock, 8192 × 1200 Hz"),
    StockCrystal(10.0e6, "a round number for frequency standards"),
    StockCrystal(10.24e6, "synthesizer reference, 2048 × 5 kHz"),
    StockCrystal(10.7e6, "intermediate frequency of VHF receivers; sold as ready-made filters"),
    StockCrystal(11.0592e6, "serial data clock, 96 × 115.2 kHz"),
    StockCrystal(11.2896e6, "sound sampling, 256 × 44.1 kHz"),
    StockCrystal(12.0e6, "a round number, a quarter of 48 MHz"),
    StockCrystal(12.288e6, "sound sampling, 256 × 48 kHz"),
    StockCrystal(13.56e6, "industrial frequency 13.56 MHz, card readers"),
    StockCrystal(14.31818e6, "colour television (525 lines): four times 315/88 MHz"),
    StockCrystal(14.7456e6, "serial data clock, 128 × 115.2 kHz"),
    StockCrystal(15.0e6, "a round number"),
    StockCrystal(16.0e6, "a round number for processors"),
    StockCrystal(16.384e6, "telephone line clock, 256 × 64 kHz"),
    StockCrystal(16.9344e6, "sound sampling, 384 × 44.1 kHz"),
    StockCrystal(17.734475e6, "colour television (625 lines): four times 4.433 618 75 MHz"),
    StockCrystal(18.432e6, "serial data clock, 160 × 115.2 kHz"),
    StockCrystal(19.6608e6, "serial data clock, 16384 × 1200 Hz"),
    StockCrystal(20.0e6, "a round number for processors"),
    StockCrystal(22.1184e6, "serial data clock, 192 × 115.2 kHz"),
    StockCrystal(24.0e6, "a round number, half of 48 MHz"),
    StockCrystal(24.576e6, "sound sampling, 512 × 48 kHz"),
    StockCrystal(25.0e6, "data network clock"),
    StockCrystal(27.0e6, "digital television clock"),
    StockCrystal(28.63636e6, "colour television (525 lines): eight times 315/88 MHz"),
    StockCrystal(32.0e6, "a round number for processors"),
)
"""Stock crystals in rising order."""


@dataclass(frozen=True)
class TypicalCrystal:
    """What a usual crystal for ``frequency`` (Hz) measures: ``motional_capacitance`` and
    ``parallel_capacitance`` in F, ``resistance`` in Ω."""

    frequency: float
    motional_capacitance: float
    parallel_capacitance: float
    resistance: float


TYPICAL_CRYSTALS: tuple[TypicalCrystal, ...] = (
    TypicalCrystal(50e3, 25e-15, 8.0e-12, 10e3),
    TypicalCrystal(100e3, 30e-15, 8.0e-12, 3e3),
    TypicalCrystal(455e3, 12e-15, 6.0e-12, 1.5e3),
    TypicalCrystal(1.0e6, 7e-15, 3.5e-12, 400.0),
    TypicalCrystal(2.0e6, 8e-15, 3.3e-12, 120.0),
    TypicalCrystal(3.2768e6, 12e-15, 3.3e-12, 40.0),
    TypicalCrystal(4.0e6, 13e-15, 3.5e-12, 30.0),
    TypicalCrystal(5.0e6, 16e-15, 3.8e-12, 20.0),
    TypicalCrystal(8.0e6, 20e-15, 4.5e-12, 10.0),
    TypicalCrystal(10.0e6, 22e-15, 5.0e-12, 9.0),
    TypicalCrystal(16.0e6, 24e-15, 5.5e-12, 8.0),
    TypicalCrystal(30.0e6, 25e-15, 6.0e-12, 12.0),
)
"""Figures for a start, from memory, no source: the rows up to 455 kHz are bars and plates of the
low cuts, from 1 MHz on discs of the AT cut on their fundamental in the taller metal case.  Two
makers differ by half; low-profile cases have a third of the motional capacitance and more
resistance.  Quartz itself allows no more motional capacitance than about a 200th of the other.
"""
