"""What the plain search is told of the spectrum, for the tests and the benchmark alike."""

from __future__ import annotations

from rxlearn.compute.frequency_choice_columns import STRONG
from rxlearn.data.spectrum import (
    AMATEUR,
    AMATEUR_BANDS,
    BROADCAST_BANDS,
    EVERYWHERE,
    OTHER_SERVICES,
    STANDARD_FREQUENCY_BANDS,
    TIME_STATIONS,
    VHF_BANDS,
)
from tests.compute import choice_by_search


def search_bench(region=2, **options) -> choice_by_search.Bench:
    """The search's own view of ``region``'s spectrum, with its other ``options``."""
    rows = [
        row for row in (*BROADCAST_BANDS, *AMATEUR_BANDS[region], *TIME_STATIONS,
                        *STANDARD_FREQUENCY_BANDS, *OTHER_SERVICES)
        if row.region in (EVERYWHERE, region)
    ]
    medium = next(row for row in rows if row.name == "medium wave")
    return choice_by_search.Bench(
        spectrum=[(row.low, row.high, row.service in STRONG, row.name) for row in rows],
        amateur=[(row.low, row.high) for row in (*AMATEUR_BANDS[region], *VHF_BANDS)
                 if row.service == AMATEUR and row.region == region],
        medium_wave=(medium.low, medium.high), **options,
    )
