"""Readings from the bench: a dial to practise on, the learner's own, and what they change."""

from __future__ import annotations

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.live import LiveBench, Setting, live, live_with_plan
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import FollowsPlan
from rxlearn.compute.bench_fit import ZERO, BenchFit, Quarrel, Reading
from rxlearn.compute.practice_bench import CoilBench, PracticeBench, practise, practise_coil
from rxlearn.compute.quantities import Unclear, show
from rxlearn.figures.bench_fit import ReadingsFigure
from rxlearn.figures.two_capacitors import TwoCapacitorsFigure
from rxlearn.plan.alignment import BenchStep, alignment_steps
from rxlearn.plan.band_spread import OTHER, built, narrow_band, shape
from rxlearn.plan.consequences import compare
from rxlearn.plan.document import Plan
from rxlearn.plan.measured import (
    advice,
    coil_readings,
    coil_says,
    dial_readings,
    dials_quarrel,
    known_parts,
    measured_changes,
    measured_coil,
    measured_dial,
    supply_readings,
)
from rxlearn.plan.measured_fields import PLACES

STRAYS = 9e-12
"""Strays of a coil on short leads, F (invented for practice)."""

REACH = 12e-3
"""The picture's half-height as a share of the dial's whole range."""


def two_capacitors() -> LiveBench:
    """Measure the plan's oscillator coil with two known capacitors, near or far apart."""
    plan = the_desk().plan()
    inductance = plan.value("oscillator.inductance")

    def compute(small: float, large: float, sure: float) -> CoilBench:
        return practise_coil(inductance, STRAYS, small, large, sure / 100)

    return live(
        "A coil, two capacitors",
        [
            Knob(key="small", label="Smaller capacitor", unit="F", low=15e-12, high=200e-12,
                 start=47e-12, fine=1e-12, coarse=10e-12, prefix="p", decimals=0),
            Knob(key="large", label="Larger capacitor", unit="F", low=60e-12, high=500e-12,
                 start=330e-12, fine=1e-12, coarse=10e-12, prefix="p", decimals=0),
            Knob(key="sure", label="Capacitors known to (standard)", unit="%", low=0.1, high=5,
                 start=1, fine=0.1, coarse=0.5, decimals=1),
        ],
        compute,
        lambda: TwoCapacitorsFigure(inductance),
        predict="measured.predict_capacitors",
    )


def practice_dial() -> LiveBench:
    """Take readings of a practice receiver, few or many, coarse or fine, one of them wrong."""
    plan, note = _plan_with_a_dial()
    network = built(plan, "lower_band")
    span = _span(network)
    # A round number of hertz, so that the knob meets nought.
    fine = max(1.0, float(f"{span / 2000:.1g}"))

    def compute(count: float, finely: float, wrong: float, seed: float) -> PracticeBench:
        return practise(network, count=round(count), step=finely, wrong=wrong, seed=round(seed))

    return live(
        "Readings of a practice receiver",
        [
            Knob(key="count", label="Readings", unit="", low=5, high=25, start=7, fine=1,
                 coarse=5, decimals=0),
            Knob(key="finely", label="Smallest step you can read", unit="°", low=0.2, high=5,
                 start=1, fine=0.1, coarse=0.5, decimals=1),
            Knob(key="wrong", label="One reading wrong by", unit="Hz", low=-100 * fine,
                 high=100 * fine, start=0, fine=fine, coarse=10 * fine, prefix="k", decimals=2),
            Knob(key="seed", label="Seed of the scatter", unit="", low=1, high=50, start=1, fine=1,
                 coarse=10, decimals=0),
        ],
        compute,
        lambda: ReadingsFigure(plan.value("dial.degrees"), REACH * span, note),
        predict="measured.predict_readings",
    )


def your_dial() -> LiveBench:
    """The learner's own readings of either band; the practice receiver stands in for none."""
    return live_with_plan("Your own dial", _readings_setting)


def _readings_setting() -> Setting:
    plan, note = _plan_with_a_dial()
    if not note:  # else it is not the learner's plan whose readings are missing
        for band in OTHER:
            fit, reason = _fit_or_reason(plan, band)
            if fit is None:
                note += f" {plan.value(f'{band}.name')}: {reason} Practice readings stand in."

    def compute(band: str, finely: float) -> BenchFit | PracticeBench:
        found, _ = _fit_or_reason(plan, band, finely)
        return found or practise(shape(plan, band), count=7, step=finely)

    spans = [_span(shape(plan, band)) for band in OTHER]
    return Setting(
        [Choice(key="band", label="Band", start="lower_band",
                options={band: plan.value(f"{band}.name")[:20] for band in OTHER}),
         Knob(key="finely", label="Smallest step you can read", unit="°", low=0.1, high=10,
              start=min(max(plan.value("measured.dial_step"), 0.1), 10.0), fine=0.1, coarse=0.5,
              decimals=1)],
        compute,
        lambda: ReadingsFigure(plan.value("dial.degrees"), REACH * max(spans), note.strip()),
    )


class ReadingsPanel(FollowsPlan):
    """What the readings in the plan say, what to turn, and what becomes of the plan."""

    def __init__(self, desk: Desk) -> None:
        self.panel = Panel("What your readings say", self._hear)
        self._word = ("", "plain")
        self.panel.plain_text = "\n".join(_findings(Plan.demo()))
        self._follow(desk)

    def press(self, key: str) -> None:
        """Press ``again`` or ``save``."""
        self._hear("press", key, None)

    def _hear(self, event: str, key: str, value: object) -> None:
        if event != "press" or key not in ("again", "save"):
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        self._word = ("", "plain")
        if key == "save":
            self._save()
        self._lay_out()

    def _save(self) -> None:
        plan = self.desk.plan()
        _, self._word = self.desk.save(measured_changes(plan), seen=plan, by=self,
                                       said="Saved as measured.")

    def _lay_out(self) -> None:
        plan = self.desk.plan()
        parts: list[dict] = [{"kind": "heading", "text": "What your readings say"},
                             {"kind": "list", "items": _findings(plan)}]
        changes = measured_changes(plan)
        buttons = [{"key": "again", "label": "Read my plan again"}]
        differences = compare(plan, plan.changed(changes)) if changes else []
        if differences:
            rows = [[d.label, d.before, d.after, "you measured it" if d.direct else "follows"]
                    for d in differences]
            parts.append({"kind": "table", "caption": "What changes in your plan", "rows": rows,
                          "head": ["value", "now", "then", "why"]})
            buttons.append({"key": "save", "label": "Put it into my plan as measured",
                            "main": True})
        parts.append({"kind": "buttons", "items": buttons})
        words, tone = self._word
        if words:
            parts.append({"kind": "verdict", "text": words, "tone": tone})
        self.panel.parts = parts


def your_readings() -> ReadingsPanel:
    """Say what the plan's readings show, in the running cell."""
    desk = the_desk()
    return desk.place("readings", lambda: ReadingsPanel(desk))


class SupplyPanel(FollowsPlan):
    """The supply voltages read, beside those that the plan expects; made by :func:`supply_check`."""

    def __init__(self, desk: Desk) -> None:
        self.panel = Panel("Supply voltages", _nothing_to_turn, gate=desk.gate)
        self._follow(desk)

    def _lay_out(self) -> None:
        self.panel.parts = _supply_parts(self.desk.plan())


def supply_check() -> SupplyPanel:
    """Compare the supply voltages read with the plan's; covered until the list is ticked."""
    desk = the_desk()
    return desk.place("supply readings", lambda: SupplyPanel(desk))


class AlignmentPanel(FollowsPlan):
    """The alignment's steps, each with what the plan expects; made by :func:`alignment`."""

    def __init__(self, desk: Desk) -> None:
        self.panel = Panel("Alignment, in order", _nothing_to_turn)
        self._follow(desk)

    def _lay_out(self) -> None:
        try:
            steps = alignment_steps(self.desk.plan())
        except Unclear as reason:
            self.panel.parts = [{"kind": "verdict", "text": str(reason), "tone": "ask"}]
            self.panel.plain_text = str(reason)
            return
        self.panel.parts = [
            {"kind": "heading", "text": "Alignment, in order"},
            {"kind": "table", "caption": "What to do, and what your plan expects",
             "head": ["step", "what to do", "expected"],
             "rows": [[str(n), _with_hold(step), step.wanted] for n, step in enumerate(steps, 1)]},
        ]
        self.panel.plain_text = "\n".join(
            f"{n}. {_with_hold(step)} Expected: {step.wanted}." for n, step in enumerate(steps, 1))


def alignment() -> AlignmentPanel:
    """The steps of the alignment in order, each with what the plan expects."""
    desk = the_desk()
    return desk.place("alignment", lambda: AlignmentPanel(desk))


def _supply_parts(plan: Plan) -> list[dict]:
    try:
        found = supply_readings(plan)
    except Unclear as reason:
        return [{"kind": "verdict", "text": str(reason), "tone": "ask"}]
    rows = [
        [PLACES[r.place], show(r.voltage, "V", digits=4), show(r.expected, "V", digits=4),
         f"{100 * r.off:+.1f} %", "as expected" if r.as_expected else "look for the cause: plug out"]
        for r in found
    ]
    if not rows:
        return [{"kind": "heading", "text": "Supply voltages"},
                {"kind": "text", "text": "No supply voltage is in your plan yet.", "tone": "quiet"}]
    return [
        {"kind": "heading", "text": "Supply voltages"},
        {"kind": "table", "caption": "Read and expected, at the mains voltage of that moment",
         "head": ["where", "read", "expected", "off by", "verdict"], "rows": rows},
    ]


def _with_hold(step: BenchStep) -> str:
    return f"{step.told} Hold until it is so." if step.hold else step.told


def _nothing_to_turn(event: str, key: str, value: object) -> None:
    raise Stray(f"there is nothing called {key[:40]!r} to {event}")


def _findings(plan: Plan) -> list[str]:
    """One sentence or two for the coil and for each dial, the wider one first."""
    found = []
    try:
        fit = measured_coil(plan)
    except Unclear as reason:
        found.append(f"Coil: {reason}")
    else:
        found.append(f"Coil, from {_count(coil_readings(plan))}: {_words(fit)}")
    if plan.value("measured.inductance"):
        found.append(f"In your plan: {coil_says(plan)}")
    narrow = narrow_band(plan)
    tried = {band: _fit_or_reason(plan, band) for band in (OTHER[narrow], narrow)}
    fits = {band: fit for band, (fit, _) in tried.items() if fit is not None}
    try:
        turns = advice(plan, fits)
    except Unclear:
        turns = {}
    for band, (fit, reason) in tried.items():
        name = plan.value(f"{band}.name")
        if fit is None:
            found.append(f"{name}: {reason}")
            continue
        turn = " ".join(turns[band].sentences) if band in turns else ""
        found.append(f"{name}, from {_count(dial_readings(plan, band))}: {_words(fit)} {turn}".strip())
    if turns:
        found.append(_taken_as_known(plan))
        if contradiction := dials_quarrel(plan, fits):
            found.append(_contradiction(plan, contradiction))
    return found


def _count(readings: tuple[Reading, ...]) -> str:
    return f"{len(readings)} reading{'s' if len(readings) != 1 else ''}"


def _taken_as_known(plan: Plan) -> str:
    """What the ± of a dial's coil counts besides the readings."""
    known = known_parts(plan)
    series = [shape(plan, band).series for band in OTHER]
    held = " and ".join(dict.fromkeys(show(each, "F", digits=3) for each in series if each))
    behind = f", the series capacitor of {held} ({100 * known.series:.2g} %)" if held else ""
    return (f"What no reading tells is taken from your plan, and the ± counts how well: the variable's "
            f"ends ({show(known.minimum, 'F', digits=2)} and {show(known.maximum, 'F', digits=2)}), "
            f"{'' if behind else 'and '}the pointer's zero ({show(known.zero, '°')}){behind}. What to "
            "turn hardly hangs on it: it compares the dial with itself.")


def _contradiction(plan: Plan, found: Quarrel) -> str:
    narrow = narrow_band(plan)
    words = (f"One coil, two values: {show(found.first, 'H', digits=3)} by "
             f"{plan.value(f'{OTHER[narrow]}.name')}, {show(found.second, 'H', digits=3)} by "
             f"{plan.value(f'{narrow}.name')}. Something round the variable is not what your plan says")
    if found.series is None:
        return f"{words}: look at the capacitors that are really in the set."
    return (f"{words}: with {show(found.series, 'F', digits=2)} in series on "
            f"{plan.value(f'{narrow}.name')} they would agree. Look which one is in the set, and type "
            "it in the lesson on band spread.")


def _words(fit: BenchFit) -> str:
    words = ", ".join(estimate.says() for estimate in fit.estimates.values()) + "."
    coil = fit.estimates["coil"]
    if coil.shifts and not fit.bowed:
        alone = 100 * coil.by_readings / coil.value
        words += f" (The readings alone would give the coil to ± {alone:.2g} %.)"
    if fit.bowed:
        return (f"{words} What is left of the readings bends in a row: no plate law fits, or the "
                "pointer or the drive slips, or a capacitor is not what your plan says. So there is no "
                f"± here.{_doubted(fit)}")
    if fit.law:
        other = f", or {' or '.join(fit.close_laws)}: take more readings" if fit.close_laws else ""
        words += f" Plates cut for straight-line {fit.law}{other}." if fit.law != "midline" else \
            f" Plates cut for the midline law{other}."
    if ZERO in fit.estimates:
        words += (f" With plates fully meshed the pointer reads "
                  f"{show(fit.estimates[ZERO].value, '°', digits=2)}: set it to zero.")
    if fit.widened > 1:
        words += f" They scatter {fit.widened:.2g} times more than you stated."
    return words + _doubted(fit)


def _doubted(fit: BenchFit) -> str:
    """Which readings are left out, by their row in the form and by what was read."""
    if not fit.doubtful:
        return ""
    unit = "°" if fit.law else "F"
    named = "; ".join(
        f"row {fit.readings[n].row} ({show(fit.readings[n].at, unit, digits=4)}, oscillator "
        f"{show(fit.readings[n].frequency, 'Hz', digits=6)})" for n in fit.doubtful)
    return f" Doubtful and left out: {named}; take it again."


def _fit_or_reason(
    plan: Plan, band: str, step: float | None = None
) -> tuple[BenchFit | None, str]:
    try:
        if not dial_readings(plan, band):
            return None, "There are no readings of this dial yet."
        return measured_dial(plan, band, step=step), ""
    except Unclear as reason:
        return None, str(reason)


def _plan_with_a_dial() -> tuple[Plan, str]:
    """The learner's plan if both its bands have a dial; else the demo, and why."""
    plan = the_desk().plan()
    try:
        for band in OTHER:
            built(plan, band)
    except Unclear as reason:
        return Plan.demo(), f"Your plan gives no dial. {reason} The demo receiver stands in."
    return plan, ""


def _span(network) -> float:
    """The dial's whole range, Hz."""
    return float(network.frequency_at(network.variable.degrees)) - float(network.frequency_at(0.0))
