"""The build sheet in the page: what is missing, and a button for each file to take away."""

from __future__ import annotations

from pathlib import Path

from rxlearn.bench.controls import Choice, Knob
from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.live import LiveBench, Setting, live_with_plan
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.shown import FollowsPlan
from rxlearn.compute.dial_scale import DialScale, draw_scale
from rxlearn.compute.printed_dial import RADIUS, PaperPlace, place_on_paper
from rxlearn.compute.quantities import Unclear
from rxlearn.figures.paper_dial import PaperDialFigure
from rxlearn.plan.band_spread import OTHER, band_of, offset_of
from rxlearn.plan.document import Plan
from rxlearn.plan.measured import dial_network
from rxlearn.sheets.build_sheet import build_sheet as made_from
from rxlearn.sheets.files import FILES, PRINTED, save_all
from rxlearn.sheets.pages import NOT_HERE, UNFINISHED, Sheet

TITLE = "Your build sheet"

_KINDS = {
    "pdf": "application/pdf", "html": "text/html", "csv": "text/csv", "cir": "text/plain",
    "s2p": "text/plain",
}
_GROUPS = {
    "Print": ("pdf", "html"),
    "Parts list": ("csv",),
    "Netlists for a circuit simulator (SPICE)": ("cir",),
    "Preselector for a network program (Touchstone)": ("s2p",),
}
_WORDS = {"build-sheet.pdf": "Build sheet as PDF", "build-sheet.html": "Build sheet as a web page"}


class SheetPanel(FollowsPlan):
    """What the plan still lacks, and its files; made by :func:`build_sheet`.

    The plan is read afresh at every press.  The sheet names high voltages, so all of it stays
    covered until the safety list is ticked.
    """

    def __init__(self, desk: Desk) -> None:
        self.panel = Panel(TITLE, self._hear, gate=desk.gate)
        self._word = ("", "plain")
        self._made: tuple[Plan, Sheet] | None = None
        self._follow(desk)

    def save(self, folder: str | Path) -> tuple[str, ...]:
        """Write every file into ``folder`` and return their names.

        Raises :class:`PermissionError` while the safety list is not ticked.
        """
        if not self.desk.cleared:
            raise PermissionError("Tick the list “Before any high voltage” first.")
        written, refused = save_all(self.desk.plan(), Path(folder))
        self._word = (" ".join([f"{len(written)} files are saved.", *refused]),
                      "ask" if refused else "good")
        self._lay_out()
        return written

    def press(self, name: str) -> None:
        """Press the button for the file ``name``."""
        self._hear("press", name, None)

    def _hear(self, event: str, key: str, value: object) -> None:
        if event != "press" or key not in FILES:
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        # At once, since the first sheet of all takes seconds on a slow machine.
        self._word = (f"Making {key} …", "plain")
        self._lay_out()
        try:
            content = (PRINTED[key](self._sheet()) if key in PRINTED
                       else FILES[key](self.desk.plan()))
        except Unclear as reason:
            self._word = (f"There is no {key} yet. {reason}", "ask")
        else:
            kind = _KINDS[key.rpartition(".")[2]]
            self._word = (self.panel.hand_over(key, kind, content), "good")
        self._lay_out()

    def _sheet(self) -> Sheet:
        """The sheet of the plan; to know what is missing all of it is made, so once for each plan."""
        plan = self.desk.plan()
        if self._made is None or self._made[0] != plan:
            self._made = (plan, made_from(plan))
        return self._made[1]

    def _lay_out(self) -> None:
        missing = self._sheet().missing
        parts: list[dict] = [{"kind": "heading", "text": TITLE}]
        if missing:
            parts += [{"kind": "verdict", "text": f"{UNFINISHED}. {NOT_HERE}:", "tone": "ask"},
                      {"kind": "list", "items": list(missing)}]
        else:
            parts.append({"kind": "verdict", "tone": "good",
                          "text": "Nothing is missing: the sheet can be built from."})
        for title, kinds in _GROUPS.items():
            names = [name for name in FILES if name.rpartition(".")[2] in kinds]
            if names:
                parts += [{"kind": "text", "text": title}, {"kind": "buttons", "items": [
                    {"key": name, "label": _WORDS.get(name, name), "main": name in _WORDS}
                    for name in names]}]
        words, tone = self._word
        if words:
            parts.append({"kind": "verdict", "text": words, "tone": tone})
        self.panel.parts = parts


def build_sheet() -> SheetPanel:
    """Show what the build sheet lacks and the buttons to take it away, in the running cell."""
    desk = the_desk()
    return desk.place("build sheet", lambda: SheetPanel(desk))


def paper_dial() -> LiveBench:
    """Turn a pointer over the scale as it will be printed, and make the scale larger or smaller."""
    return live_with_plan("The scale on paper", _paper_setting, predict="sheet.predict_radius")


def _paper_setting() -> Setting:
    plan, note = the_desk().plan(), ""
    try:
        scales = {band: _scale(plan, band) for band in OTHER}
    except Unclear as reason:
        note = f"Your plan gives no dial to print. {reason} The demo receiver stands in."
        plan = Plan.demo()
        scales = {band: _scale(plan, band) for band in OTHER}
    sense, degrees = plan.value("dial.sense"), plan.value("dial.degrees")

    def compute(band: str, radius: float, angle: float) -> PaperPlace:
        scale = scales[band]
        per = 10e3 if scale.coverage.span > 30e3 else 1e3
        return place_on_paper(scale, radius, angle, sense=sense, per=per)

    return Setting(
        [
            Choice(key="band", label="Band", start="lower_band",
                   options={band: plan.value(f"{band}.name")[:20] for band in OTHER}),
            Knob(key="radius", label="Radius of the scale", unit="m", low=RADIUS.low,
                 high=RADIUS.high, start=plan.value("dial.scale_radius"), fine=1e-3, coarse=1e-2,
                 prefix="m", decimals=0),
            Knob(key="angle", label="Shaft from fully meshed", unit="°", low=0, high=degrees,
                 start=round(degrees / 3), fine=0.5, coarse=10, decimals=1),
        ],
        compute,
        lambda: PaperDialFigure(degrees, note),
    )


def _scale(plan: Plan, band: str) -> DialScale:
    found = band_of(plan, band)
    return draw_scale(dial_network(plan, band), offset_of(plan, band), found.band_low,
                      found.band_high)
