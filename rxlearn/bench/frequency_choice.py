"""The table of schemes for two bands: chosen, sorted, looked at, and put into the plan."""

from __future__ import annotations

from rxlearn.bench.desk import Desk, the_desk
from rxlearn.bench.frequency_controls import (
    PLANNED,
    SIDES,
    TYPED,
    controls_of,
    edges_entry,
    read_edges,
)
from rxlearn.bench.frequency_table import SORTED_BY_POINTS, VIEWS, near_table, order_of, table
from rxlearn.bench.panel import Panel, Stray
from rxlearn.bench.plan import differences
from rxlearn.bench.shown import Shown
from rxlearn.compute.frequency_choice import (
    AtHand,
    Band,
    FrequencyChoice,
    amateur_bands,
    choose_frequencies,
    own_crystals,
)
from rxlearn.compute.frequency_choice_views import profile_of
from rxlearn.compute.frequency_choice_words import weigh_scheme, why_nothing_works
from rxlearn.compute.quantities import Unclear, parse, show, show_span
from rxlearn.figures.frequency_choice import FrequencyChoiceFigure
from rxlearn.plan.document import Plan, PlanFault
from rxlearn.plan.frequency_choice import (
    all_crystals,
    at_hand_of,
    bands_of,
    drawer_of,
    scheme_changes,
)

TITLE = "Which crystal for two bands"
MOST_ADDED = 40
SAVED = "Saved. Every lesson that you run from now on opens with it."


class FrequencyBench(Shown):
    """Two bands, the crystals there are, and every scheme that works; see :func:`choose_frequency`.

    ``choice`` is what was weighed last, ``picked`` the row of it that is looked at (None where
    nothing works), ``plan`` the plan that the learner was shown.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.plan = desk.plan()
        self.values = {"region": str(self.plan.value("region")), "lower": PLANNED,
                       "upper": PLANNED, "circuits": str(self.plan.value("preselector.circuits"))}
        self.controls = {control.key: control for control in controls_of(self.plan, self.values)}
        self.typed: dict[str, tuple[float, float]] = {}
        self.added: tuple[float, ...] = ()
        self.view, self.sort = "overview", SORTED_BY_POINTS
        self.choice: FrequencyChoice | None = None
        self.picked: int | None = None
        self._changes: dict | None = None
        self._asked: list[dict] = []
        self._word, self._fault = ("", "plain"), ""
        self.figure = FrequencyChoiceFigure()
        self.panel = Panel(TITLE, self._hear)
        width, height = self.figure.size
        self._step = 0
        self._weigh()
        self.panel.picture = {"svg": self.figure.svg(), "nodes": self.figure.nodes,
                              "width": width, "height": height}
        self.panel.plain_text = self._plain()
        self.panel.still = self.figure.still
        desk.watch_plan(self._saved_elsewhere)
        self._show()

    # -- by hand, as tests do it ---------------------------------------------
    def turn(self, **values: str) -> None:
        """Turn choices to their values (``region``, ``lower``, ``upper``, ``circuits``)."""
        self._hear("turn", "", {"positions": {
            key: self.controls[key].position_of(value) for key, value in values.items()}})

    def type(self, key: str, text: str) -> None:
        """Type into ``lower_edges``, ``upper_edges`` or ``own``."""
        self._hear("type", key, text)

    def press(self, key: str) -> None:
        """Press ``sort:…``, ``row:…``, ``view:…``, ``put``, ``save`` or ``leave``."""
        self._hear("press", key, None)

    @property
    def bands(self) -> tuple[Band, Band]:
        """The two bands as chosen; raises :class:`Unclear` where their edges are still to come."""
        return tuple(self._band(side) for side in SIDES)

    @property
    def fault(self) -> str:
        """The sentence that says why the last setting could not be weighed; empty if it could."""
        return self._fault

    def close(self) -> None:
        """Take the panel out of the page."""
        self.desk.unwatch_plan(self._saved_elsewhere)
        super().close()
        self.panel.still = None

    def __repr__(self) -> str:
        return self.panel.plain_text

    def _saved_elsewhere(self) -> None:
        """Weigh again with the plan and the drawer as another panel has just saved them."""
        self._follow(self.desk.plan())
        self._weigh()
        self._show()

    def _follow(self, plan: Plan) -> None:
        """Take ``plan`` as the one that the learner has before them."""
        self.plan = plan
        self.controls = {control.key: control for control in controls_of(plan, self.values)}

    # -- what comes from the page ---------------------------------------------
    def _hear(self, event: str, key: str, value: object) -> None:
        if event == "turn":
            self._turned(value.get("positions", {}))
        elif event == "type" and isinstance(value, str) and key in ("lower_edges", "upper_edges"):
            self._take_edges(key.removesuffix("_edges"), value)
        elif event == "type" and isinstance(value, str) and key == "own":
            self._add(value)
        elif event == "press":
            self._pressed(key)
        else:
            raise Stray(f"there is nothing called {key[:40]!r} to {event}")
        self._show()

    def _turned(self, positions: dict) -> None:
        values = dict(self.values)
        for key, position in positions.items():
            try:
                values[key] = self.controls[key].value_at(position)
            except (KeyError, ValueError, IndexError) as problem:
                raise Stray(str(problem)) from None
        if values != self.values:
            self.values = values
            self._weigh()

    def _take_edges(self, side: str, text: str) -> None:
        try:
            self.typed[side] = read_edges(text, name=f"{side.capitalize()} band")
        except Unclear as problem:
            self._fault = str(problem)
            return
        self._weigh()

    def _add(self, text: str) -> None:
        try:
            if len(self.added) >= MOST_ADDED:
                raise Unclear(f"Crystals: {MOST_ADDED} added are enough here; write the others "
                              "into your plan below.")
            frequency = parse(text, "Hz", name="Your crystal")
            own_crystals([frequency])
        except Unclear as problem:
            self._fault = str(problem)
            return
        if frequency not in self.added:
            self.added += (frequency,)
        self._weigh()

    def _pressed(self, key: str) -> None:
        kind, _, name = key.partition(":")
        if kind == "sort" and name in VIEWS[self.view]:
            self.sort = (name, not self.sort[1] if self.sort[0] == name else False)
        elif kind == "view" and name in VIEWS:
            self.view, self.sort = name, SORTED_BY_POINTS
        elif kind == "row" and name in {str(row) for row in self.rows}:
            self._pick(int(name))
        elif key == "put" and self.picked is not None:
            self._put()
        elif key == "save":
            if self._changes:  # else it was pressed twice
                self._save()
        elif key == "leave":
            self._changes, self._word = None, ("Your plan stays as it was.", "plain")
        else:
            raise Stray(f"there is nothing called {key[:40]!r} to press")

    # -- weighing --------------------------------------------------------------
    @property
    def rows(self) -> list[int]:
        """The rows that work, in the order in which the table shows them."""
        return [int(row) for row in order_of(self.choice, *self.sort)]

    def _band(self, side: str) -> Band:
        value = self.values[side]
        if value == PLANNED:
            return bands_of(self.plan)[SIDES[side]]
        if value != TYPED:
            region = amateur_bands(int(self.values["region"]))
            return next(band for band in region if band.name == value)
        if side not in self.typed:
            raise Unclear(f"{side.capitalize()} band: type its edges and press “Take these”.")
        low, high = self.typed[side]
        return Band(show_span(low, high, "Hz", digits=5), low, high)

    def _at_hand(self) -> AtHand:
        return at_hand_of(self.plan, region=int(self.values["region"]),
                          circuits=int(self.values["circuits"]))

    def _weigh(self) -> None:
        """Weigh afresh; what cannot be weighed leaves the last table and says why."""
        before = self._crystal_picked()
        try:
            crystals = all_crystals(drawer_of(self.plan) + own_crystals(self.added))
            choice = choose_frequencies([self.bands], crystals, at_hand=self._at_hand())
        except Unclear as problem:
            self._fault = f"{problem} The table shows the last two bands that could be weighed."
            return
        self._fault, self.choice, self.picked = "", choice, None
        self._changes, self._word = None, ("", "plain")
        rows = choice.ranked()
        if len(rows):
            same = [int(row) for row in rows if self._crystal(int(row)) == before]
            self._pick(same[0] if same else self._first(rows))

    def _first(self, rows) -> int:
        """The plan's own scheme if it is among ``rows``, else the one with fewest points."""
        own = self.plan.value("intermediate_frequency")
        for row in rows:
            if self.choice.crystals[self.choice.crystal[row]].frequency == own:
                return int(row)
        return int(rows[0])

    def _crystal(self, row: int) -> tuple[float, bool]:
        return (self.choice.crystals[self.choice.crystal[row]].frequency,
                bool(self.choice.summed[row]))

    def _crystal_picked(self) -> tuple[float, bool] | None:
        return None if self.picked is None else self._crystal(self.picked)

    def _pick(self, row: int) -> None:
        self.picked, self._changes, self._word = row, None, ("", "plain")
        self.profile = profile_of(self.choice, row)
        self.figure.update(self.profile)
        self.scheme = weigh_scheme(self.choice, row)

    # -- into the plan ----------------------------------------------------------
    def _put(self) -> None:
        """Ask what the scheme looked at would change; nothing is saved yet."""
        self._changes = None
        try:
            changes = scheme_changes(self.plan, self.scheme, int(self.values["region"]), self.added)
        except (Unclear, PlanFault) as problem:
            self._word = (str(problem), "ask")
            return
        # Worked out once: what follows from a plan takes longer than all the rest here.
        self._asked = [{**part, "tall": True} if part["kind"] == "table" else part
                       for part in differences(self.plan, changes)]
        self._changes, self._word = changes, ("", "plain")

    def _save(self) -> None:
        self.plan, self._word = self.desk.save(self._changes, seen=self.plan, by=self, said=SAVED)
        if self._word[1] == "good":
            self._follow(self.plan)
        self._changes = None

    # -- what goes to the page ---------------------------------------------------
    def _show(self) -> None:
        """Send the present state as one message."""
        self._step += 1
        with self.panel.hold_sync():
            self.panel.parts = self._parts()
            self.panel.texts = {
                **self.panel.texts, "step": self._step, "fault-here": self._fault,
                "at": {key: control.position_of(self.values[key])
                       for key, control in self.controls.items()},
                "picture": self.figure.texts(), "sentence": self._sentence(),
            }
            self.panel.frame = self.figure.frame()

    def _sentence(self) -> str:
        return "" if self.picked is None else self.figure.describe(self.profile)

    def _plain(self) -> str:
        if self.picked is None:
            return why_nothing_works(self.choice, 0)
        return f"{self._sentence()}\n{self.scheme.sentence}"

    def _parts(self) -> list[dict]:
        parts: list[dict] = [
            {"kind": "heading", "text": TITLE},
            {"kind": "controls",
             "items": [control.part(off=False) for control in self.controls.values()]},
            *(edges_entry(side, self.typed.get(side)) for side in SIDES
              if self.values[side] == TYPED),
            {"kind": "entry", "key": "own", "label": "A crystal from your drawer", "value": "",
             "action": "Add it", "hint": self._drawer_words()},
            {"kind": "text", "key": "fault-here", "tone": "ask", "text": ""},
        ]
        if self.choice is None:
            return parts
        if self.picked is None:
            parts.append({"kind": "verdict", "tone": "ask", "text": why_nothing_works(self.choice, 0)})
        else:
            parts += self._scheme_parts()
        return parts + near_table(self.choice)

    def _scheme_parts(self) -> list[dict]:
        views = [{"key": f"view:{view}", "label": words, "pressed": view == self.view,
                  "main": view == self.view}
                 for view, words in _VIEW_NAMES.items()]
        return [
            {"kind": "buttons", "items": views},
            table(self.choice, self.rows, self.picked, self.view, self.sort),
            {"kind": "picture"}, {"kind": "sentence", "key": "sentence"},
            {"kind": "text", "text": self.scheme.sentence},
            {"kind": "text", "tone": "quiet", "text": self.figure.explain(self.profile)},
            {"kind": "buttons", "items": [
                {"key": "put", "label": "Put this scheme into my plan", "main": True}]},
            *self._asking(),
        ]

    def _asking(self) -> list[dict]:
        parts = []
        if self._changes is not None:
            parts += self._asked
        if self._word[0]:
            parts.append({"kind": "verdict", "text": self._word[0], "tone": self._word[1]})
        return parts

    def _drawer_words(self) -> str:
        own = [row.frequency for row in drawer_of(self.plan)]
        own += [frequency for frequency in self.added if frequency not in own]
        if not own:
            return "its frequency with the unit, such as 3.2 MHz"
        shown = ", ".join(show(frequency, "Hz", digits=8) for frequency in own[-4:])
        return f"in your drawer: {shown}" + (" and more" if len(own) > 4 else "")


_VIEW_NAMES = {"overview": "overview", "dial": "the dial", "oscillator": "the oscillator",
               "rejection": "what is held down", "quiet": "neighbours and whistles"}


def choose_frequency() -> FrequencyBench:
    """Open the table of schemes for two bands, in the running cell."""
    desk = the_desk()
    return desk.place(TITLE, lambda: FrequencyBench(desk))
