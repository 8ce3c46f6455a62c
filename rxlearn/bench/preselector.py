"""The live figure on the circuits before the mixer."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.image_swapping import names_of
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.image_swapping import LOWER_BAND, UPPER_BAND
from rxlearn.compute.preselector import stretch_for, sweep_band
from rxlearn.figures.preselector import PreselectorFigure
from rxlearn.plan.proposals import scheme_of


def preselector() -> LiveBench:
    """Tune one or two circuits through either band; see what they leave of image and IF."""
    plan = the_desk().plan()
    scheme, names = scheme_of(plan), names_of(plan)
    bands = {LOWER_BAND: scheme.lower, UPPER_BAND: scheme.upper}
    low, high = stretch_for(tuple(bands.values()))
    loaded_q = plan.value("preselector.loaded_q")

    def compute(band: str, place: float, loaded_q: float, circuits: str):
        return sweep_band(bands[band], place / 100, loaded_q, int(circuits), low, high)

    return live(
        "What the preselector holds down",
        [
            Choice(key="band", label="Band", options=dict(zip(bands, names)), start=LOWER_BAND),
            Knob(key="place", label="Tuned to (0 % is the band's low edge)", unit="%", low=0,
                 high=100, start=0, fine=1, coarse=10),
            Choice(key="circuits", label="Tuned circuits", options={"1": "one", "2": "two"},
                   start=str(plan.value("preselector.circuits"))),
            Knob(key="loaded_q", label="Loaded Q of each circuit", unit="", low=2,
                 high=300 if loaded_q <= 300 else 1000, start=loaded_q, fine=1, coarse=10),
        ],
        compute,
        lambda: PreselectorFigure(low, high),
        predict="swap.predict_beside",
    )
