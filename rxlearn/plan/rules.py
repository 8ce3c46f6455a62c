"""Conditions across the fields of a plan: what no receiver of this kind can do without.

A weak scheme is the learner's to find and to weigh; only what cannot work at
all is refused here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from rxlearn.compute.quantities import show

BANDS: Mapping[str, str] = MappingProxyType(
    {"lower_band": "lower band", "upper_band": "upper band"}
)
"""Key prefix of each band and the words for it."""


def faults(values: Mapping[str, float | int | str]) -> list[str]:
    """Return a sentence for every rule that ``values`` (field key to SI value) break.

    ``values`` must hold every field, each already good by itself.  Rules that
    build on a broken one are left out, so that one slip makes one sentence.
    """
    broken = [sentence for band in (*BANDS, "third_band") for sentence in _edges(values, band)]
    if broken:
        return broken
    return [
        *_crystal_outside(values),
        *_order(values),
        *(
            sentence
            for band in BANDS
            for sentence in (*_frequency_in_band(values, band), *_oscillator(values, band))
        ),
    ]


def _named(values: Mapping[str, float | int | str], band: str) -> str:
    words = BANDS.get(band, "third band")
    return f"{words} ({values[f'{band}.name']})"


def _edges(values: Mapping[str, float | int | str], band: str) -> Iterator[str]:
    low, high = values[f"{band}.low"], values[f"{band}.high"]
    if not low < high:
        yield (
            f"The {_named(values, band)} has its low edge at {show(low, 'Hz')} and its high edge "
            f"at {show(high, 'Hz')}: make the low edge the lower one, since a band needs a width."
        )


def _order(values: Mapping[str, float | int | str]) -> Iterator[str]:
    top, bottom = values["lower_band.high"], values["upper_band.low"]
    if not top < bottom:
        yield (
            f"The {_named(values, 'lower_band')} reaches up to {show(top, 'Hz')} and the "
            f"{_named(values, 'upper_band')} begins at {show(bottom, 'Hz')}: move one of them or "
            "exchange the two, since the preselector can only choose between bands that lie apart."
        )


def _frequency_in_band(values: Mapping[str, float | int | str], band: str) -> Iterator[str]:
    low, high = values[f"{band}.low"], values[f"{band}.high"]
    intermediate_frequency = values["intermediate_frequency"]
    if low <= intermediate_frequency <= high:
        yield (
            f"The intermediate frequency of {show(intermediate_frequency, 'Hz')} lies inside the "
            f"{_named(values, band)}: choose one below {show(low, 'Hz')} or above "
            f"{show(high, 'Hz')}, since a signal on it would pass straight through, wherever you "
            "tune."
        )


def _oscillator(values: Mapping[str, float | int | str], band: str) -> Iterator[str]:
    low, intermediate_frequency = values[f"{band}.low"], values["intermediate_frequency"]
    if values[f"{band}.injection"] == "low" and not intermediate_frequency < low:
        yield (
            f"Low-side injection on the {_named(values, band)} puts the oscillator at the signal "
            f"less {show(intermediate_frequency, 'Hz')}, which is not above zero at "
            f"{show(low, 'Hz')}: choose high-side injection or a lower intermediate frequency."
        )


def _crystal_outside(values: Mapping[str, float | int | str]) -> Iterator[str]:
    """Only asked of a third band that is wanted: its other faults depend on the main bands."""
    low, high = values["third_band.low"], values["third_band.high"]
    crystal = values["converter.crystal"]
    if values["third_band.wanted"] == "yes" and low <= crystal <= high:
        yield (
            f"The converter's crystal of {show(crystal, 'Hz')} lies inside the "
            f"{_named(values, 'third_band')}: choose one below {show(low, 'Hz')} or above "
            f"{show(high, 'Hz')}, since the band would fold over itself."
        )
