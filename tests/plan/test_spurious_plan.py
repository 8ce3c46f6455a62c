"""What a plan says of whistles and unwanted responses."""

from __future__ import annotations

from rxlearn.plan.consequences import derive
from rxlearn.plan.document import Change, Plan
from rxlearn.plan.proposals import proposal


def planned(**changes):
    return Plan.demo().changed({
        key.replace("__", "."): Change(value=value, status="wished", origin="test")
        for key, value in changes.items()
    })


FORTY_AND_TWENTY = dict(
    lower_band__low=7.0e6, lower_band__high=7.3e6, upper_band__low=14.0e6,
    upper_band__high=14.35e6, intermediate_frequency=3.579545e6)


def test_the_demo_is_free_of_whistles():
    found = derive(Plan.demo())
    assert found["Lower band, whistles"].text == "none up to order 7"
    assert found["Upper band, whistles"].text == "none up to order 7"


def test_the_demos_upper_band_lets_the_second_harmonic_in():
    """DERIVED: 2·6.8482 − 3.2768 = 10.4196 MHz, near the 10.125 MHz that is tuned."""
    text = derive(Plan.demo())["Upper band, strongest unwanted response, mid-band"].text
    assert text == "10.42 MHz (2·oscillator − signal), about -34 dB"


def test_twice_the_intermediate_frequency_whistles():
    """DERIVED: 2 × 3.579545 = 7.15909 MHz; the pitch runs twice as fast as the dial."""
    found = derive(planned(**FORTY_AND_TWENTY))["Lower band, whistles"]
    assert "on 7159.09 kHz (2·signal − oscillator, 2 kHz of pitch for each kHz)" in found.text
    assert found.possible


def test_the_lesson_proposes_what_the_plan_holds():
    keys = [row.key for row in proposal("spurious_responses", Plan.demo())]
    assert keys == ["intermediate_frequency", "preselector.loaded_q", "preselector.circuits"]
