"""The tables: edges against print, crystals against the arithmetic that explains them."""

from fractions import Fraction

import pytest

from rxlearn.data.crystals import STOCK_CRYSTALS
from rxlearn.data.spectrum import (
    AMATEUR_BANDS,
    BROADCAST_BANDS,
    OTHER_SERVICES,
    REGIONS,
    SHORT_WAVES_END,
    STANDARD_FREQUENCY_BANDS,
    TABLE_END,
    TIME_STATIONS,
    VHF_BANDS,
)

# kHz.  ITU Radio Regulations, Article 5, as national tables of allocation transcribe it; 160 m in
# regions 2 and 3 from memory, outer edges as in 47 CFR 97.301(b), text of 1989.
AMATEUR = {
    "160 m": ((1810, 1850), (1800, 2000), (1800, 2000)),
    "80 m": ((3500, 3800), (3500, 4000), (3500, 3900)),
    "60 m": ((5351.5, 5366.5),) * 3,
    "40 m": ((7000, 7200), (7000, 7300), (7000, 7200)),
    "30 m": ((10100, 10150),) * 3,
    "20 m": ((14000, 14350),) * 3,
    "17 m": ((18068, 18168),) * 3,
    "15 m": ((21000, 21450),) * 3,
    "12 m": ((24890, 24990),) * 3,
    "10 m": ((28000, 29700),) * 3,
}


@pytest.mark.parametrize("name", AMATEUR)
@pytest.mark.parametrize("region", REGIONS)
def test_amateur_band(name, region):
    (row,) = [row for row in AMATEUR_BANDS[region] if row.name == name]
    low, high = AMATEUR[name][region - 1]
    assert (row.low, row.high, row.region) == (low * 1e3, high * 1e3, region)


@pytest.mark.parametrize("region", REGIONS)
def test_amateur_bands_are_all_there_in_rising_order(region):
    assert [row.name for row in AMATEUR_BANDS[region]] == list(AMATEUR)


@pytest.mark.parametrize(
    "name, region, low, high",
    [
        # kHz.  ITU Radio Regulations, Article 5, and its footnotes 5.134, 5.136, 5.143 to 5.143D,
        # 5.147; region 2 at medium wave as 47 CFR 73.14 widens it.
        ("medium wave", 1, 526.5, 1606.5),
        ("medium wave", 2, 525, 1705),
        ("medium wave", 3, 526.5, 1606.5),
        ("49 m broadcast", 0, 5900, 6200),
        ("41 m broadcast", 1, 7200, 7450),
        ("41 m broadcast", 2, 7300, 7400),
        ("41 m broadcast", 3, 7200, 7450),
        ("31 m broadcast", 0, 9400, 9900),
        ("25 m broadcast", 0, 11600, 12100),
        ("19 m broadcast", 0, 15100, 15800),
        ("16 m broadcast", 0, 17480, 17900),
        ("13 m broadcast", 0, 21450, 21850),
    ],
)
def test_broadcast_band(name, region, low, high):
    (row,) = [row for row in BROADCAST_BANDS if (row.name, row.region) == (name, region)]
    assert (row.low, row.high) == (low * 1e3, high * 1e3)


@pytest.mark.parametrize(
    "name, edges",
    [
        # MHz for regions 1, 2, 3.  ITU Radio Regulations, Article 5, from memory: 6 m in region 1 as
        # of the conference of 2019; VHF broadcasting and aircraft alike; 4 m by national rules.
        ("6 m", ((50, 52), (50, 54), (50, 54))),
        ("4 m", ((70, 70.5), None, None)),
        ("VHF broadcast", ((87.5, 108), (88, 108), (87, 108))),
        ("VHF aircraft radio", ((108, 137),) * 3),
        ("2 m", ((144, 146), (144, 148), (144, 148))),
    ],
)
@pytest.mark.parametrize("region", REGIONS)
def test_above_30_mhz(name, edges, region):
    found = [(row.low, row.high) for row in VHF_BANDS
             if row.name == name and row.region in (0, region)]
    wanted = edges[region - 1]
    assert found == ([] if wanted is None else [tuple(edge * 1e6 for edge in wanted)])


def test_time_stations():
    """NIST Special Publication 432; National Research Council Canada, 7.85 MHz since 2009."""
    expected = [2500, 3330, 5000, 7850, 10000, 14670, 15000, 20000]
    assert [row.low for row in TIME_STATIONS] == [f * 1e3 for f in expected]
    assert all(row.low == row.high for row in TIME_STATIONS)


def test_standard_frequency_bands():
    """ITU Radio Regulations, Article 5, kHz."""
    expected = [
        (2498, 2501), (4995, 5003), (9995, 10003), (14990, 15005), (19990, 20010), (24990, 25005),
    ]
    found = [(row.low, row.high) for row in STANDARD_FREQUENCY_BANDS]
    assert found == [(low * 1e3, high * 1e3) for low, high in expected]


@pytest.mark.parametrize(
    "row",
    [
        *AMATEUR_BANDS[1], *AMATEUR_BANDS[2], *AMATEUR_BANDS[3], *BROADCAST_BANDS,
        *STANDARD_FREQUENCY_BANDS, *TIME_STATIONS, *OTHER_SERVICES, *VHF_BANDS,
    ],
    ids=lambda row: f"{row.name} region {row.region}",
)
def test_row_is_whole(row):
    lowest, end = (30e6, TABLE_END) if row in VHF_BANDS else (0, SHORT_WAVES_END)
    assert lowest < row.low <= row.high <= end
    assert row.name and row.service and len(row.source) > 10
    assert row.region in (0, *REGIONS)


def test_stock_crystals_rise_and_say_why():
    frequencies = [row.frequency for row in STOCK_CRYSTALS]
    assert frequencies == sorted(set(frequencies))
    assert all(len(row.reason) > 10 for row in STOCK_CRYSTALS)


# DERIVED: colour subcarriers are exact ratios.  525 lines: 315/88 MHz; 625 lines:
# (1135/4 + 1/625) × 15625 Hz = 4433618.75 Hz (ITU-R Recommendation BT.1700).
NTSC, PAL = Fraction(315_000_000, 88), (Fraction(1135, 4) + Fraction(1, 625)) * 15625
RELATIONS = [
    *[(f"{n} × 115.2 kHz", n * 115_200) for n in (16, 32, 40, 64, 80, 96, 128, 160, 192)],
    *[(f"{n} × 1200 Hz", n * 1200) for n in (2048, 4096, 8192, 16384)],
    *[(f"{n} × 64 kHz", n * 64_000) for n in (32, 64, 128, 256)],
    *[(f"{n} × 48 kHz", n * 48_000) for n in (64, 128, 256, 512)],
    *[(f"{n} × 44.1 kHz", n * 44_100) for n in (256, 384)],
    *[(f"{n} × 32.768 kHz", n * 32_768) for n in (100, 200)],
    *[(f"{n} × 5 kHz", n * 5_000) for n in (1024, 2048)],
    *[(f"2 to the power {n}", 2**n) for n in (21, 22, 23)],
    ("(525 lines): 315/88 MHz", NTSC),
    ("twice 315/88 MHz", 2 * NTSC),
    ("four times 315/88 MHz", 4 * NTSC),
    ("eight times 315/88 MHz", 8 * NTSC),
    ("(625 lines): 4.433 618 75 MHz", PAL),
    ("twice 4.433 618 75 MHz", 2 * PAL),
    ("four times 4.433 618 75 MHz", 4 * PAL),
]


@pytest.mark.parametrize("reason, frequency", RELATIONS, ids=[row[0] for row in RELATIONS])
def test_crystal_is_what_its_reason_says(reason, frequency):
    """The marking rounds to the nearest few hertz; the relation is exact."""
    (row,) = [row for row in STOCK_CRYSTALS if abs(row.frequency - frequency) < 1000]
    assert reason in row.reason
    assert row.frequency == pytest.approx(float(frequency), abs=6)


def test_every_crystal_with_a_multiple_is_checked():
    with_arithmetic = [row for row in STOCK_CRYSTALS if "×" in row.reason or "power" in row.reason
                       or "lines" in row.reason]
    assert len(with_arithmetic) == len(RELATIONS)
