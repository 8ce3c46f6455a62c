"""Live figures on spurious responses: levels, chart, whistles, schemes, and a sampled mixer.

All start from the plan, band by band: whether both bands can share one oscillator does not
matter here.
"""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.hearing import Hearing
from rxlearn.bench.image_swapping import names_of
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.mixer_levels import BENT, SWITCH, Mixer
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.receiver_sound import (
    ENVELOPE,
    PRODUCT,
    Sound,
    Station,
    listen,
    plain_filter,
)
from rxlearn.compute.spur_chart import tune_chart
from rxlearn.compute.spur_mixer import mix_response
from rxlearn.compute.spurs import HALF_IF, WANTED, spurious_responses
from rxlearn.compute.tuning import HIGH, LOW, BandPlan, oscillator_frequency, plan_band
from rxlearn.compute.whistle_map import compare_schemes
from rxlearn.compute.whistle_pitch import PitchSweep, off_the_middle, sweep_pitch
from rxlearn.compute.whistles import Whistle, whistles
from rxlearn.figures.clean_and_dirty import CleanAndDirtyFigure
from rxlearn.figures.spur_chart import SpurChartFigure
from rxlearn.figures.spur_levels import SpurLevelsFigure
from rxlearn.figures.spur_mixer import SpurMixerFigure
from rxlearn.figures.spur_words import kind_words, khz, mhz, whistle_key
from rxlearn.figures.whistle_pitch import WhistlePitchFigure
from rxlearn.plan.band_spread import solved
from rxlearn.plan.document import Plan
from rxlearn.plan.spurious import BANDS, band_plans

MIXERS = {SWITCH: "a switch, nearly balanced", BENT: "one bent valve or diode"}

OTHER_PAIRS = {
    "40-20": ("40 m and 20 m, 3.579545 MHz", (7.0e6, 7.3e6), (14.0e6, 14.35e6), 3.579545e6),
    "20-17": ("20 m and 17 m, 2 MHz", (14.0e6, 14.35e6), (18.068e6, 18.168e6), 2.0e6),
    "30-20": ("30 m and 20 m, 2.048 MHz", (10.1e6, 10.15e6), (14.0e6, 14.35e6), 2.048e6),
    "80-30": ("80 m and 30 m, 3.2768 MHz", (3.5e6, 4.0e6), (10.1e6, 10.15e6), 3.2768e6),
    "80-12": ("80 m and 12 m, 10.7 MHz", (3.5e6, 4.0e6), (24.89e6, 24.99e6), 10.7e6),
}
"""Pairs of bands with an intermediate frequency to set beside the plan's, Hz."""

TURNED = 200.0
"""How far the dial is turned up while one hears a whistle, Hz."""

MIDDLE = 1e6
"""Where the filter that one hears through has its middle, Hz: only distances from it count."""

WHISTLE_DB, NOISE_DB = -10.0, -40.0
"""A whistle and the noise beside the station's carrier, as one hears them, dB."""

FINDABLE = 6
"""Responses that the sampled mixer offers."""

FARTHEST = 2.6
"""A response farther up than so many times the oscillator is not offered: the picture ends."""


def spur_levels() -> LiveBench:
    """Tune along a band and see everything that reaches the intermediate frequency."""
    plan, bands = _bands()

    def compute(band: str, place: float, loaded_q: float, mixer: str):
        return spurious_responses(
            bands[band], _signal(bands[band], place), order=7, mixer=Mixer(kind=mixer),
            loaded_q=loaded_q, circuits=plan.value("preselector.circuits"),
            region=plan.value("region"))

    loaded_q = plan.value("preselector.loaded_q")
    return live(
        "What else arrives on the intermediate frequency",
        [
            _band(plan, bands), _place(),
            Knob(key="loaded_q", label="Preselector, loaded Q", unit="", low=2,
                 high=300 if loaded_q <= 300 else 1000, start=loaded_q, fine=1, coarse=10),
            Choice(key="mixer", label="The mixer is", options=MIXERS, start=SWITCH),
        ],
        compute,
        lambda: SpurLevelsFigure(tuple(bands.values())),
        predict="spurs.predict_strongest",
    )


def spur_chart() -> LiveBench:
    """Tune through a chart of products, and move the intermediate frequency until one whistles."""
    plan, bands = _bands()
    planned = plan.value("intermediate_frequency")
    low, high, fine = _around(bands, planned)
    front = {"loaded_q": plan.value("preselector.loaded_q"),
             "circuits": plan.value("preselector.circuits")}
    networks = {band: _network(plan, band) for band in bands}

    def compute(band: str, place: float, intermediate: float, order: float):
        own = bands[band]
        moved = plan_band(own.band_low, own.band_high, intermediate, own.injection)
        network = networks[band] if intermediate == planned else None
        return tune_chart(moved, place / 100, network=network, order=order, points=9,
                          highest_frequency=1e9, **front)

    return live(
        "Lines over the dial, and where one whistles",
        [
            _band(plan, bands), _place(),
            Knob(key="intermediate", label="Intermediate frequency", unit="Hz", low=low, high=high,
                 start=planned, fine=fine, coarse=20 * fine, prefix="k", decimals=1),
            Knob(key="order", label="Products up to order", unit="", low=2, high=9, start=7,
                 fine=1, coarse=1),
        ],
        compute,
        lambda: SpurChartFigure(tuple(bands.values()), plan.value("dial.reduction")),
        predict="spurs.predict_line",
    )


def whistle_pitch() -> LiveBench:
    """Tune across a whistle and hear, in numbers, how fast its pitch runs."""
    plan, bands = _bands()
    found = [(own.injection, w) for own in bands.values() for w in whistles(own, order=9)]
    note = ""
    if not found:
        name, lower, upper, intermediate = OTHER_PAIRS["40-20"]
        note = ("No whistle up to order 9 lies in the bands of your plan, so here is one of "
                f"another scheme: {name}.")
        found = [(side, w) for edges, side in ((lower, HIGH), (upper, LOW))
                 for w in whistles(plan_band(*edges, intermediate, side), order=9)]
    found = sorted(found, key=lambda row: whistle_key(row[1]))[:6]
    offered = {f"{i}": row for i, row in enumerate(found)}

    def compute(whistle: str, dial: float, station: float):
        side, chosen = offered[whistle]
        return sweep_pitch(chosen, side, dial_offset=dial, station_offset=station)

    return live(
        "A whistle under the hand",
        [
            Choice(key="whistle", label="The whistle",
                   options={key: _offer(w) for key, (_, w) in offered.items()}, start="0"),
            Knob(key="dial", label="Dial, off the whistle's place", unit="Hz", low=-5e3, high=5e3,
                 start=800, fine=10, coarse=100, prefix="k", decimals=2),
            Knob(key="station", label="Station, off that place", unit="Hz", low=-3e3, high=3e3,
                 start=0, fine=10, coarse=100, prefix="k", decimals=2),
        ],
        compute,
        lambda: WhistlePitchFigure(note),
        predict="spurs.predict_pitch",
        sound=Hearing(_whistle, _whistle_words),
    )


def _whistle(result: PitchSweep) -> Sound:
    """The whistle while the dial is turned on by :data:`TURNED`."""
    whistle = result.whistle
    before, after = (
        off_the_middle(whistle, result.injection, dial, result.station_offset)
        for dial in (result.dial_offset, result.dial_offset + TURNED))
    loud = [0.0] if whistle.self_made else [WHISTLE_DB, 0.0]
    stations = [Station(MIDDLE + start, level_db=level, glide=end - start)
                for start, end, level in zip(before, after, loud)]
    return listen(stations, MIDDLE, response=plain_filter(MIDDLE, result.bandwidth),
                  noise_db=NOISE_DB, detector=PRODUCT if whistle.self_made else ENVELOPE)


def _whistle_words(result: PitchSweep) -> str:
    """From where to where it runs, and how loud it would be."""
    turned = sweep_pitch(result.whistle, result.injection, bandwidth=result.bandwidth,
                         dial_offset=result.dial_offset + TURNED,
                         station_offset=result.station_offset)
    if not (result.passes_now or turned.passes_now):
        return "4 s with the whistle outside the filter: what is left of it is weak, behind noise."
    run = " to ".join(show(heard.whistle_now, "Hz", decimals=0, prefix="")
                      for heard in (result, turned))
    loud = "" if result.whistle.self_made else (
        " It is made loud here; on the air it would be weaker against the station, by the estimate "
        "below.")
    return f"4 s while the dial is turned up by {TURNED:.0f} Hz: the whistle runs from {run}.{loud}"


def clean_and_dirty() -> LiveBench:
    """Move your intermediate frequency through the stretches that whistle, a scheme beside it."""
    plan, bands = _bands()
    planned = plan.value("intermediate_frequency")
    low, high, fine = _around(bands, planned)
    beside = {key: (plan_band(*row[1], row[3], HIGH), plan_band(*row[2], row[3], LOW))
              for key, row in OTHER_PAIRS.items()}
    places = [low, high, *(row[3] for row in OTHER_PAIRS.values())]

    def compute(intermediate: float, order: float, other: str):
        yours = [plan_band(own.band_low, own.band_high, intermediate, own.injection)
                 for own in bands.values()]
        return compare_schemes([*yours, *beside[other]], order=order)

    return live(
        "A clean scheme beside a dirty one",
        [
            Knob(key="intermediate", label="Your intermediate frequency", unit="Hz", low=low,
                 high=high, start=planned, fine=fine, coarse=20 * fine, prefix="k", decimals=1),
            Knob(key="order", label="Products up to order", unit="", low=2, high=15, start=9,
                 fine=1, coarse=2),
            Choice(key="other", label="Beside it", start="40-20",
                   options={key: row[0] for key, row in OTHER_PAIRS.items()}),
        ],
        compute,
        lambda: CleanAndDirtyFigure(min(places) / 1.1, max(places) * 1.1),
        predict="spurs.predict_width",
    )


def spur_mixer() -> LiveBench:
    """Put a signal on a spurious response and find its product in a sampled mixer's output."""
    plan, bands = _bands()
    own = bands["lower_band"]
    signal = _signal(own, 50)
    oscillator = oscillator_frequency(signal, own.intermediate_frequency, own.injection)
    offered = _responses(own, signal, plan)

    def compute(response: str, mixer: str, drive: float, moved: float):
        row = offered[response]
        orders = row.oscillator_order, row.signal_order, row.sign
        return mix_response(oscillator, own.intermediate_frequency, orders, moved=moved,
                            mixer=Mixer(kind=mixer, signal_drive=drive / 100))

    widest = max(oscillator, own.intermediate_frequency)
    return live(
        "Find it in the mixer itself",
        [
            Choice(key="response", label="The signal stands on", start=next(iter(offered)),
                   options={key: f"{kind_words(row.kind, row.oscillator_order)}: {row.name}, "
                                 f"{mhz(row.frequency)}" for key, row in offered.items()}),
            Choice(key="mixer", label="The mixer is", options=MIXERS, start=SWITCH),
            Knob(key="drive", label="Signal, of the bend voltage", unit="%", low=1, high=50,
                 start=10, fine=1, coarse=5),
            Knob(key="moved", label="Station moved by", unit="Hz", low=-400e3, high=400e3, start=0,
                 fine=20e3, coarse=100e3, prefix="k"),
        ],
        compute,
        lambda: SpurMixerFigure(2.4 * widest),
        predict="spurs.predict_half",
    )


def _bands() -> tuple[Plan, dict[str, BandPlan]]:
    """The plan with its two bands; the plan's own rules see to it that each has an oscillator."""
    plan = the_desk().plan()
    return plan, band_plans(plan)


def _band(plan: Plan, bands: dict[str, BandPlan]) -> Choice:
    sides = {HIGH: "high side", LOW: "low side"}
    return Choice(key="band", label="Band", start=BANDS[0], options={
        key: f"{name}, {sides[bands[key].injection]}" for key, name in zip(BANDS, names_of(plan))})


def _place() -> Knob:
    return Knob(key="place", label="Tuned to (0 % is the band's low edge)", unit="%", low=0,
                high=100, start=50, fine=1, coarse=10)


def _signal(band: BandPlan, place: float) -> float:
    """The signal (Hz) at ``place`` percent of a band."""
    return band.band_low + place / 100 * (band.band_high - band.band_low)


def _around(bands: dict[str, BandPlan], planned: float) -> tuple[float, float, float]:
    """Ends and step of a knob for the intermediate frequency (Hz) at which both bands work."""
    highest = min([3 * planned, 40e6,
                   *(0.97 * own.band_low for own in bands.values() if own.injection == LOW)])
    fine = 100.0 if planned < 1e6 else 500.0 if planned < 5e6 else 1000.0
    low = max(1, round(0.35 * planned / fine)) * fine
    high = max(highest // fine * fine, -(-planned // fine) * fine)
    return low, high, fine


def _network(plan: Plan, band: str):
    """The tuned circuit behind the dial of a band, or None where the plan gives none."""
    try:
        return solved(plan, band)
    except Unclear:
        return None


def _offer(whistle: Whistle) -> str:
    return f"{khz(whistle.signal)}: {whistle.name}"


def _responses(own: BandPlan, signal: float, plan: Plan) -> dict:
    """The responses to look for, by key: half-IF, the strongest of other kinds, the wanted one."""
    found = spurious_responses(own, signal, order=4, loaded_q=plan.value("preselector.loaded_q"),
                               circuits=plan.value("preselector.circuits"))
    fit = [row for row in found.responses if row.frequency < FARTHEST * found.oscillator
           and row.frequency > 0.05 * own.intermediate_frequency]
    kinds, chosen = set(), []
    for row in fit:
        # One of each kind: the strongest stands for the rest.
        if row.kind not in kinds:
            kinds.add(row.kind)
            chosen.append(row)
    chosen.sort(key=lambda row: (row.kind != HALF_IF, row.kind == WANTED))
    return {f"{i}": row for i, row in enumerate(chosen[:FINDABLE])}
