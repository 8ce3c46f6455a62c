"""Live figures on the crystal filter: one crystal, the ladder, the beat oscillator, a fixture."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import the_desk
from rxlearn.bench.hearing import Hearing
from rxlearn.bench.live import LiveBench, live
from rxlearn.compute.beat_and_filter import BeatAndFilter, beat_against
from rxlearn.compute.crystal import FIXTURE_WIDTH, Crystal
from rxlearn.compute.crystal_curve import CrystalCurve, FixtureReading, read_fixture, sweep_crystal
from rxlearn.compute.crystal_ladder import design_ladder, widest_ladder
from rxlearn.compute.ladder_measures import LadderMeasures, measure_ladder
from rxlearn.compute.ladder_setting import LadderSetting, set_ladder
from rxlearn.compute.quantities import Unclear, show
from rxlearn.compute.receiver_sound import CODE, Sound, Station, listen
from rxlearn.figures.beat_and_filter import LOWER, UPPER, BeatAndFilterFigure
from rxlearn.figures.crystal_curve import CrystalCurveFigure
from rxlearn.figures.crystal_fixture import CrystalFixtureFigure
from rxlearn.figures.ladder_response import LadderResponseFigure
from rxlearn.plan.crystal_filter import crystal_of
from rxlearn.plan.document import Plan

PF = 1e-12
NUMBERS = ("2", "3", "4", "5", "6", "7", "8")
SPEECH_WIDTH = 2400.0
"""What single sideband asks for, Hz (common practice, no source)."""

LEFT, RIGHT = 0.6, 3.5
"""How far the picture of one crystal reaches, in the usual distance of its resonances."""

WIDEST_SHARE = 0.97
"""How much of the crystals' room the width's knob reaches into."""

DRAWN = (1.13, 0.8)
"""By what inductance and resistance of the crystal in the fixture differ from usual ones."""

NOISE_DB = -36.0
"""Noise behind the two stations, dB."""


@dataclass(frozen=True)
class Filter:
    """What the figures start from: a crystal, the widths (Hz) of a knob and the present one."""

    crystal: Crystal
    kind: str
    least: float
    most: float
    fine: float
    width: float
    crystals: int
    note: str


def crystal_resonance() -> LiveBench:
    """See a crystal's two resonances, what the holder does, and what a load moves."""
    start = _filter()
    usual = start.crystal
    room = usual.spacing

    def compute(parallel: float, inductance: float, load: float) -> CrystalCurve:
        crystal = Crystal(usual.frequency, usual.motional_inductance * inductance / 100,
                          usual.resistance, parallel)
        return sweep_crystal(crystal, load, usual.frequency - LEFT * room,
                             usual.frequency + RIGHT * room)

    across = round(usual.parallel_capacitance / PF, 1) * PF
    most = 1 / (usual.resistance * (2 * math.pi * usual.frequency * across) ** 2)
    return live(
        "A crystal near resonance",
        [
            Knob(key="parallel", label="Across it: electrodes and holder", unit="F",
                 low=_to(across / 2, 0.1 * PF), high=_to(3 * across, 0.1 * PF), start=across,
                 fine=0.1 * PF, coarse=1 * PF, prefix="p", decimals=1),
            Knob(key="inductance", label="Motional inductance, of a usual one", unit="%", low=60,
                 high=300, start=100, fine=1, coarse=20),
            Knob(key="load", label="Capacitor in series", unit="F", low=5 * PF, high=100 * PF,
                 start=20 * PF, fine=1 * PF, coarse=10 * PF, prefix="p"),
        ],
        compute,
        lambda: CrystalCurveFigure(usual.frequency, -LEFT * room, RIGHT * room,
                                   usual.resistance / 4, 20 * most, start.note),
        predict="crystal.predict_load",
    )


def crystal_ladder() -> LiveBench:
    """Change number, width, likeness and ends of a ladder filter, and see its response."""
    start = _filter()
    crystal = start.crystal
    low, high = _around(start)

    def compute(crystals: str, width: float, spread: float, termination: float) -> LadderSetting:
        return set_ladder(crystal, int(crystals), width, crystal.frequency + low,
                          crystal.frequency + high, kind=start.kind, spread=spread, termination=termination)

    return live(
        "A ladder of crystals",
        [
            Choice(key="crystals", label="Crystals", options={n: n for n in NUMBERS},
                   start=str(start.crystals)),
            Knob(key="width", label="Width wanted, 3 dB", unit="Hz", low=start.least,
                 high=start.most, start=start.width, fine=start.fine, coarse=10 * start.fine,
                 prefix="", decimals=_places(start.fine)),
            Knob(key="spread", label="Crystals differ by", unit="Hz", low=0,
                 high=_to(start.most / 2, start.fine), start=0, fine=start.fine,
                 coarse=10 * start.fine, prefix="", decimals=_places(start.fine)),
            Knob(key="termination", label="Ends see, of what they should", unit="%", low=20,
                 high=500, start=100, fine=5, coarse=20),
        ],
        compute,
        lambda: LadderResponseFigure(crystal.frequency, low, high, start.note),
        predict="crystal.predict_more",
    )


def beat_and_filter() -> LiveBench:
    """Turn the beat oscillator through the pass band, two stations beside it, and hear them."""
    start = _filter()
    crystal = start.crystal
    offered = {"0": "no crystals, transformers only"} | {
        str(n): f"{n} crystals" for n in sorted({2, 4, 6, 8, start.crystals})}

    @lru_cache(maxsize=len(NUMBERS))
    def measured(crystals: int) -> LadderMeasures:
        # While the beat oscillator turns nothing of the ladder changes.
        return measure_ladder(
            design_ladder(crystal, crystals, start.width, kind=start.kind).ladder)

    centre = measured(start.crystals).centre
    reach = _to(start.width / 2 + 1500, 50)
    low, high = -reach - 1600, reach + 1600

    def compute(crystals: str, beat: float, pitch: float) -> BeatAndFilter:
        count = int(crystals)
        return beat_against(measured(count or start.crystals), count, beat, pitch, centre + low,
                            centre + high)

    return live(
        "The beat oscillator and the pass band",
        [
            Knob(key="beat", label="Beat oscillator, from the middle", unit="Hz", low=-reach,
                 high=reach, start=0, fine=10, coarse=100, prefix=""),
            Knob(key="pitch", label="Pitch of both stations", unit="Hz", low=200, high=1600,
                 start=700, fine=10, coarse=100, prefix=""),
            Choice(key="crystals", label="The filter has", options=offered,
                   start=str(start.crystals)),
        ],
        compute,
        lambda: BeatAndFilterFigure(centre, low, high, start.note),
        predict="crystal.predict_middle",
        sound=Hearing(_both_stations, _both_said),
    )


def crystal_fixture() -> LiveBench:
    """Read a crystal's width in a fixture with two markers, and what it says of the crystal."""
    start = _filter()
    usual, (more, less) = start.crystal, DRAWN
    crystal = replace(usual, motional_inductance=more * usual.motional_inductance,
                      resistance=less * usual.resistance)
    widest = (100 + crystal.resistance) / (2 * math.pi * crystal.motional_inductance)
    fine = _step(widest / 100)
    reach = _to(min(2 * widest, FIXTURE_WIDTH.high / 2 - fine), fine)

    def compute(left: float, right: float, resistance: str) -> FixtureReading:
        return read_fixture(crystal, float(resistance), left, right, 2.2 * reach)

    place = _to(widest / 4, fine)
    shown = {"unit": "Hz", "fine": fine, "coarse": 10 * fine, "prefix": "",
             "decimals": _places(fine)}
    return live(
        "A crystal in the fixture",
        [
            Knob(key="left", label="Left marker, from the peak", low=-reach, high=-fine,
                 start=-place, **shown),
            Knob(key="right", label="Right marker, from the peak", low=fine, high=reach,
                 start=_to(1.6 * place, fine), **shown),
            Choice(key="resistance", label="The fixture's resistance",
                   options={r: f"{r} Ω" for r in ("12.5", "25", "50", "100")}, start="25"),
        ],
        compute,
        lambda: CrystalFixtureFigure(crystal.frequency, 2.2 * reach, start.note),
        predict="crystal.predict_fixture",
    )


def _both_stations(result: BeatAndFilter) -> Sound:
    """Both stations in Morse code through the filter, as they come out beside each other."""
    stations = [Station(result.beat + result.pitch, kind=CODE, text=UPPER),
                Station(result.beat - result.pitch, kind=CODE, text=LOWER)]
    return listen(stations, result.beat, response=(result.frequencies, result.levels_db),
                  noise_db=NOISE_DB)


def _both_said(result: BeatAndFilter) -> str:
    """Who is heard at which pitch, and how loud."""
    def loud(level: float) -> str:
        return "in full" if level > -0.5 else f"{-level:.0f} dB down"

    return (
        f"4 s of Morse code at {show(result.pitch, 'Hz')}: {UPPER} from above the beat oscillator, "
        f"{loud(result.upper_db)}, and {LOWER} from below it, {loud(result.lower_db)}, at the same "
        "pitch. Noise comes through the same filter.")


def _filter() -> Filter:
    """The plan's crystals and width, as far as a ladder of any number can have them."""
    plan = the_desk().plan()
    try:
        return _filter_of(plan)
    except Unclear as reason:
        return replace(
            _filter_of(Plan.demo()), note=f"Your plan gives no crystal filter to draw. {reason} "
            "The demo receiver stands in.")


def _filter_of(plan: Plan) -> Filter:
    """The same, or :class:`Unclear` with the reason."""
    crystal, kind = crystal_of(plan), plan.value("crystal_filter.kind")
    count, wanted = plan.value("crystal_filter.crystals"), plan.value("crystal_filter.width")
    # What more crystals cannot make any more is said under the knob.
    most = min(WIDEST_SHARE * widest_ladder(crystal, count, kind), 2 * SPEECH_WIDTH)
    fine = _step(most / 100)
    most = _to(math.floor(most / fine) * fine, fine)
    least = max(fine, _to(_least(crystal, kind, count, most), fine))
    width = _to(min(most, max(least, wanted)), fine)
    note = "" if abs(width - wanted) <= fine else (
        f"Your plan wants {show(wanted, 'Hz', digits=4)}; {count} of its crystals make "
        f"{show(least, 'Hz', digits=3)} to {show(most, 'Hz', digits=3)} here.")
    return Filter(crystal, kind, least, most, fine, width, count, note)


def _least(crystal: Crystal, kind: str, count: int, most: float) -> float:
    """The narrowest width (Hz) that the knob offers: a narrower one may ask for too good a Q."""
    for share in (8, 4, 2):
        try:
            design_ladder(crystal, count, most / share, kind=kind)
        except Unclear:
            continue
        return most / share
    design_ladder(crystal, count, 0.95 * most, kind=kind)
    return 0.95 * most


def _around(start: Filter) -> tuple[float, float]:
    """Ends of the ladder's picture, Hz from the crystals' series resonance."""
    design = design_ladder(start.crystal, start.crystals, start.width, kind=start.kind)
    middle = design.centre - start.crystal.frequency
    half = 2.2 * start.width
    return middle - half, middle + half


def _step(about: float) -> float:
    """A step of 1, 2 or 5 times a power of ten near ``about``, not above it."""
    decade = 10.0 ** math.floor(math.log10(about))
    return float(f"{next(n for n in (5, 2, 1) if n * decade <= about * (1 + 1e-9)) * decade:.3g}")


def _places(step: float) -> int:
    """Decimals that show a ``step`` of hertz whole."""
    return max(0, -math.floor(math.log10(step) + 1e-9))


def _to(value: float, step: float) -> float:
    """``value`` on a whole number of steps."""
    return float(f"{round(value / step) * step:.12g}")
