"""Who uses which stretch of the spectrum, by ITU region.  Frequencies in Hz.

Up to 30 MHz the table is meant to be of use everywhere; from there to :data:`TABLE_END` it holds
only what a harmonic or a far product meets first: amateur bands, broadcasting, aircraft radio.

Every row carries its source.  Allocations change with each World
Radiocommunication Conference, and national rules differ inside a region: the
rows say what lies there, not what anyone may transmit.

Sources
-------
- ITU Radio Regulations, Article 5, table of frequency allocations, with its
  footnotes (numbers such as 5.134 below).
- ITU Radio Regulations, Appendix 17 (maritime mobile) and Appendix 27
  (aeronautical mobile on routes): edges from memory.
- National Institute of Standards and Technology, Special Publication 432
  (standard carriers); National Research Council Canada (time signals).
- 47 CFR 95 subpart D (citizens' band channels), from memory.
- Above 30 MHz: ITU Radio Regulations, Article 5, from memory; 6 m in region 1 as the
  conference of 2019 left it; 4 m by national tables of some countries, from memory.

Rows whose edges were written from memory say so in ``source``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

REGIONS = (1, 2, 3)
"""The three ITU regions: 1 Europe, Africa, north Asia; 2 the Americas; 3 the rest."""

EVERYWHERE = 0
"""``region`` of a row that holds in all three regions."""

AMATEUR = "amateur"
BROADCAST = "broadcasting"
TIME = "time signal"
STANDARD_FREQUENCY = "standard frequency"
MARITIME = "maritime mobile"
AERONAUTICAL = "aeronautical mobile"
CITIZENS = "citizens' band"
INDUSTRIAL = "industrial, scientific and medical"


@dataclass(frozen=True)
class Allocation:
    """One stretch of spectrum: ``low``..``high`` in Hz (equal for a single carrier).

    ``service`` is one of this module's service words, ``region`` an ITU region
    or :data:`EVERYWHERE`; ``note`` says what the plain edges leave out.
    """

    name: str
    low: float
    high: float
    service: str
    region: int
    source: str
    note: str = ""


_ARTICLE_5 = "ITU Radio Regulations, Article 5"
_FROM_MEMORY = "ITU Radio Regulations, Article 5, from memory"
_APPENDIX_17 = "ITU Radio Regulations, Appendix 17, from memory"
_APPENDIX_27 = "ITU Radio Regulations, Appendix 27, from memory"

_AMATEUR_BY_REGION = {
    1: (
        ("160 m", 1.81e6, 1.85e6, _ARTICLE_5, "1.85 to 2 MHz only where national rules allow"),
        ("80 m", 3.5e6, 3.8e6, f"{_ARTICLE_5}, footnote 5.92", "shared"),
        ("40 m", 7.0e6, 7.2e6, _ARTICLE_5, ""),
    ),
    2: (
        ("160 m", 1.8e6, 2.0e6, _FROM_MEMORY, "1.85 to 2 MHz shared"),
        ("80 m", 3.5e6, 4.0e6, f"{_ARTICLE_5}, footnotes 5.119, 5.122, 5.125",
         "3.75 to 4 MHz shared"),
        ("40 m", 7.0e6, 7.3e6, f"{_ARTICLE_5}, footnote 5.142", ""),
    ),
    3: (
        ("160 m", 1.8e6, 2.0e6, _FROM_MEMORY, "shared"),
        ("80 m", 3.5e6, 3.9e6, _ARTICLE_5, "shared"),
        ("40 m", 7.0e6, 7.2e6, _ARTICLE_5, ""),
    ),
}
_AMATEUR_EVERYWHERE = (
    ("60 m", 5.3515e6, 5.3665e6, f"{_ARTICLE_5}, footnote 5.133B",
     "secondary, low power; not in every country"),
    ("30 m", 10.1e6, 10.15e6, _ARTICLE_5, "secondary"),
    ("20 m", 14.0e6, 14.35e6, _ARTICLE_5, ""),
    ("17 m", 18.068e6, 18.168e6, _ARTICLE_5, ""),
    ("15 m", 21.0e6, 21.45e6, _ARTICLE_5, ""),
    ("12 m", 24.89e6, 24.99e6, _ARTICLE_5, ""),
    ("10 m", 28.0e6, 29.7e6, _ARTICLE_5, ""),
)


def _amateur(region: int) -> tuple[Allocation, ...]:
    """The amateur bands of one region in rising order."""
    rows = _AMATEUR_BY_REGION[region] + _AMATEUR_EVERYWHERE
    return tuple(
        Allocation(name, low, high, AMATEUR, region, source, note)
        for name, low, high, source, note in sorted(rows, key=lambda row: row[1])
    )


AMATEUR_BANDS: Mapping[int, tuple[Allocation, ...]] = MappingProxyType(
    {region: _amateur(region) for region in REGIONS}
)
"""ITU region to its amateur bands from 160 m to 10 m, in rising order."""

SHORT_WAVES_END, TABLE_END = 30e6, 148e6
"""Up to the first the table is meant to be of use; from there to its end it is thin.  Hz."""

VHF_BANDS: tuple[Allocation, ...] = tuple(
    Allocation(name, low, high, service, region, _FROM_MEMORY, note)
    for name, low, high, service, region, note in (
        ("6 m", 50e6, 52e6, AMATEUR, 1, "secondary in most countries; in some up to 54 MHz"),
        ("6 m", 50e6, 54e6, AMATEUR, 2, ""),
        ("6 m", 50e6, 54e6, AMATEUR, 3, ""),
        ("4 m", 70e6, 70.5e6, AMATEUR, 1, "only where national rules allow, often in part"),
        ("VHF broadcast", 87.5e6, 108e6, BROADCAST, 1, ""),
        ("VHF broadcast", 88e6, 108e6, BROADCAST, 2, ""),
        ("VHF broadcast", 87e6, 108e6, BROADCAST, 3, ""),
        ("VHF aircraft radio", 108e6, 137e6, AERONAUTICAL, EVERYWHERE,
         "navigation up to 117.975 MHz, speech above"),
        ("2 m", 144e6, 146e6, AMATEUR, 1, ""),
        ("2 m", 144e6, 148e6, AMATEUR, 2, ""),
        ("2 m", 144e6, 148e6, AMATEUR, 3, ""),
    )
)
"""What lies above 30 MHz: for harmonics and far products, not for a receiver's own bands."""

BROADCAST_BANDS: tuple[Allocation, ...] = tuple(
    Allocation(name, low, high, BROADCAST, region, source, note)
    for name, low, high, region, source, note in (
        ("medium wave", 526.5e3, 1606.5e3, 1, _ARTICLE_5, "channels 9 kHz apart"),
        ("medium wave", 525e3, 1705e3, 2, _ARTICLE_5, "channels 10 kHz apart, 540 to 1700 kHz"),
        ("medium wave", 526.5e3, 1606.5e3, 3, _ARTICLE_5, "channels 9 kHz apart"),
        ("90 m broadcast", 3.2e6, 3.4e6, EVERYWHERE, _FROM_MEMORY, "tropical zone only"),
        ("75 m broadcast", 3.95e6, 4.0e6, 1, _FROM_MEMORY, ""),
        ("75 m broadcast", 3.9e6, 4.0e6, 3, _FROM_MEMORY, ""),
        ("60 m broadcast", 4.75e6, 4.995e6, EVERYWHERE, _FROM_MEMORY, "tropical zone only"),
        ("49 m broadcast", 5.9e6, 6.2e6, EVERYWHERE, f"{_ARTICLE_5}, footnotes 5.134, 5.136", ""),
        ("41 m broadcast", 7.2e6, 7.45e6, 1, f"{_ARTICLE_5}, footnotes 5.143 to 5.143D", ""),
        ("41 m broadcast", 7.3e6, 7.4e6, 2, f"{_ARTICLE_5}, footnotes 5.143 to 5.143D", ""),
        ("41 m broadcast", 7.2e6, 7.45e6, 3, f"{_ARTICLE_5}, footnotes 5.143 to 5.143D", ""),
        ("31 m broadcast", 9.4e6, 9.9e6, EVERYWHERE, f"{_ARTICLE_5}, footnotes 5.134, 5.147", ""),
        ("25 m broadcast", 11.6e6, 12.1e6, EVERYWHERE, _ARTICLE_5, ""),
        ("22 m broadcast", 13.57e6, 13.87e6, EVERYWHERE, _FROM_MEMORY, ""),
        ("19 m broadcast", 15.1e6, 15.8e6, EVERYWHERE, _ARTICLE_5, ""),
        ("16 m broadcast", 17.48e6, 17.9e6, EVERYWHERE, _ARTICLE_5, ""),
        ("15 m broadcast", 18.9e6, 19.02e6, EVERYWHERE, _FROM_MEMORY, ""),
        ("13 m broadcast", 21.45e6, 21.85e6, EVERYWHERE, _ARTICLE_5, ""),
        ("11 m broadcast", 25.67e6, 26.1e6, EVERYWHERE, _FROM_MEMORY, ""),
    )
)
"""Broadcasting at medium and high frequencies, in rising order."""

STANDARD_FREQUENCY_BANDS: tuple[Allocation, ...] = tuple(
    Allocation(name, low, high, STANDARD_FREQUENCY, EVERYWHERE, _ARTICLE_5, note)
    for name, low, high, note in (
        ("2.5 MHz standard frequency", 2.498e6, 2.501e6, ""),
        ("5 MHz standard frequency", 4.995e6, 5.003e6, "shared to 5.005 MHz"),
        ("10 MHz standard frequency", 9.995e6, 10.003e6, "shared to 10.005 MHz"),
        ("15 MHz standard frequency", 14.99e6, 15.005e6, "shared to 15.01 MHz"),
        ("20 MHz standard frequency", 19.99e6, 20.01e6, ""),
        ("25 MHz standard frequency", 24.99e6, 25.005e6, "shared to 25.01 MHz"),
    )
)
"""The bands kept for standard frequency and time signals."""

TIME_STATIONS: tuple[Allocation, ...] = tuple(
    Allocation(f"time station on {frequency / 1e6:g} MHz", frequency, frequency, TIME,
               EVERYWHERE, source, "whether it is heard depends on place, hour and season")
    for frequency, source in (
        (2.5e6, "NIST Special Publication 432"),
        (3.33e6, "National Research Council Canada"),
        (5.0e6, "NIST Special Publication 432"),
        (7.85e6, "National Research Council Canada (in place of 7.335 MHz since 2009)"),
        (10.0e6, "NIST Special Publication 432"),
        (14.67e6, "National Research Council Canada"),
        (15.0e6, "NIST Special Publication 432"),
        (20.0e6, "NIST Special Publication 432"),
    )
)
"""Carriers that send time signals, named by frequency alone."""

OTHER_SERVICES: tuple[Allocation, ...] = tuple(
    Allocation(name, low, high, service, EVERYWHERE, source)
    for name, low, high, service, source in (
        ("2 MHz maritime calling", 2.1735e6, 2.1905e6, MARITIME, _FROM_MEMORY),
        ("3 MHz aeronautical", 2.85e6, 3.025e6, AERONAUTICAL, _APPENDIX_27),
        ("3.4 MHz aeronautical", 3.4e6, 3.5e6, AERONAUTICAL, _APPENDIX_27),
        ("4 MHz maritime", 4.063e6, 4.438e6, MARITIME, _APPENDIX_17),
        ("4.6 MHz aeronautical", 4.65e6, 4.7e6, AERONAUTICAL, _APPENDIX_27),
        ("5.6 MHz aeronautical", 5.48e6, 5.68e6, AERONAUTICAL, _APPENDIX_27),
        ("6 MHz maritime", 6.2e6, 6.525e6, MARITIME, _APPENDIX_17),
        ("6.6 MHz aeronautical", 6.525e6, 6.685e6, AERONAUTICAL, _APPENDIX_27),
        ("6.78 MHz industrial", 6.765e6, 6.795e6, INDUSTRIAL, f"{_FROM_MEMORY} (footnote 5.138)"),
        ("8 MHz maritime", 8.195e6, 8.815e6, MARITIME, _APPENDIX_17),
        ("8.9 MHz aeronautical", 8.815e6, 8.965e6, AERONAUTICAL, _APPENDIX_27),
        ("10 MHz aeronautical", 10.005e6, 10.1e6, AERONAUTICAL, _APPENDIX_27),
        ("11.3 MHz aeronautical", 11.275e6, 11.4e6, AERONAUTICAL, _APPENDIX_27),
        ("12 MHz maritime", 12.23e6, 13.2e6, MARITIME, _APPENDIX_17),
        ("13.3 MHz aeronautical", 13.26e6, 13.36e6, AERONAUTICAL, _APPENDIX_27),
        ("13.56 MHz industrial", 13.553e6, 13.567e6, INDUSTRIAL,
         f"{_FROM_MEMORY} (footnote 5.150)"),
        ("16 MHz maritime", 16.36e6, 17.41e6, MARITIME, _APPENDIX_17),
        ("17.9 MHz aeronautical", 17.9e6, 17.97e6, AERONAUTICAL, _APPENDIX_27),
        ("18 MHz maritime", 18.78e6, 18.9e6, MARITIME, _APPENDIX_17),
        ("19 MHz maritime", 19.68e6, 19.8e6, MARITIME, _APPENDIX_17),
        ("22 MHz aeronautical", 21.924e6, 22.0e6, AERONAUTICAL, _APPENDIX_27),
        ("22 MHz maritime", 22.0e6, 22.855e6, MARITIME, _APPENDIX_17),
        ("25 MHz maritime", 25.07e6, 25.21e6, MARITIME, _APPENDIX_17),
        ("27 MHz citizens' band", 26.965e6, 27.405e6, CITIZENS,
         "47 CFR 95 subpart D, from memory; many countries alike"),
        ("27.12 MHz industrial", 26.957e6, 27.283e6, INDUSTRIAL,
         f"{_FROM_MEMORY} (footnote 5.150)"),
    )
)
"""Strong or common occupants besides the above.  The list is not complete."""
