"""The drawing, its nodes and the frame: held against what matplotlib itself draws.

The reference is the still, a whole new drawing by matplotlib, read here as SVG.
"""

from __future__ import annotations

import json
import re
from itertools import pairwise
from xml.etree import ElementTree

import matplotlib
import numpy as np
import pytest
from matplotlib.patches import Circle

from rxlearn.bench.panel import Panel
from rxlearn.figures import style
from rxlearn.figures.scene import ID_PREFIX, LiveFigure
from tests.workbench import LIVE_FIGURES, decode, open_figure, settings_of

SVG = "{http://www.w3.org/2000/svg}"
CLOSE = 0.1
"""Pixels by which a node may lie off."""


def exactly(monkeypatch):
    """Draw every point: a simplified path leaves points out, and could not be compared."""
    monkeypatch.setitem(style.RC, "path.simplify", False)
    monkeypatch.setitem(matplotlib.rcParams, "path.simplify", False)


@pytest.fixture(scope="module", params=LIVE_FIGURES)
def opened(request):
    """Each figure once for all tests of it, since opening takes longer than most of them."""
    with pytest.MonkeyPatch.context() as patch:
        exactly(patch)
        bench = open_figure(request.param)
        yield bench
        bench.close()


@pytest.fixture(scope="module")
def drawn(opened):
    """The figure's settings, each with the still that matplotlib draws for it: the dearest part."""
    found = []
    for setting in settings_of(opened):
        opened.turn(**setting)
        found.append((setting, by_id(opened.figure.still())))
    return found


@pytest.fixture(scope="module")
def ids_seen():
    """The ids in the stills looked at so far, by class of figure."""
    return {}


@pytest.fixture
def bench(opened):
    opened.turn(**{key: control.start for key, control in opened.controls.items()})
    return opened


class Sketch(LiveFigure):
    """One artist of each kind, moved by a dict."""

    name = "sketch"
    size = (400, 200)

    def build(self, figure):
        self.axes = figure.add_axes((0.1, 0.1, 0.8, 0.8))
        self.axes.set(xlim=(0, 10), ylim=(0, 10))
        self.curve = self.line(self.axes, "curve", "signal")
        self.dots = self.line(self.axes, "dots", "image", marker="o", linestyle="none")
        self.words = self.label(self.axes, "words", "ink")
        self.band = self.moving("band", self.axes.axvspan(1, 2, color=style.LIGHT["shade"]))

    def update(self, result):
        self.curve.set_data(*result.get("curve", ((), ())))
        self.dots.set_data(*result.get("dots", ((), ())))
        self.words.set_text(result.get("words", ""))
        self.words.set_ha(result.get("ha", "left"))
        self.words.set_position(result.get("at", (5, 5)))
        self.band.set_visible("band" in result)
        self.band.set_bounds(result.get("band", 1), 0, 1, 1)

    def describe(self, result):
        return "A sketch."

    def explain(self, result):
        return "It is a sketch."


def by_id(drawing: str) -> dict[str, ElementTree.Element]:
    """The elements of a drawing that have an id; each id once."""
    elements = [e for e in ElementTree.fromstring(drawing).iter() if "id" in e.attrib]
    ids = [e.attrib["id"] for e in elements]
    assert len(ids) == len(set(ids))
    return dict(zip(ids, elements))


def strokes(path: str) -> list[np.ndarray]:
    """The polylines of SVG path data, each n by 2."""
    assert set(re.findall("[a-zA-Z]", path)) <= set("MLz"), "only straight strokes are expected"
    found = []
    for piece in path.replace("z", "").split("M")[1:]:
        numbers = [float(n) for n in piece.replace("L", " ").split()]
        found.append(np.array(numbers).reshape(-1, 2))
    return found


def unbroken(points: np.ndarray) -> list[np.ndarray]:
    """A frame's points as polylines: NaN breaks a line."""
    good = np.isfinite(points).all(axis=1)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], good.astype(int), [0]])))
    return [points[start:end] for start, end in zip(edges[::2], edges[1::2])]


def farthest(points: np.ndarray, lines: list[np.ndarray]) -> float:
    """The largest distance of any of ``points`` from the nearest of ``lines``."""
    ends = [(a, b) for line in lines for a, b in pairwise(line if len(line) > 1 else [*line] * 2)]
    if not len(points):
        return 0.0
    if not ends:
        return np.inf
    start, stop = (np.array(side) for side in zip(*ends))
    along = stop - start
    length = np.maximum((along**2).sum(axis=1), 1e-12)
    away = points[:, None, :] - start[None]
    share = np.clip((away * along).sum(axis=2) / length, 0, 1)
    nearest = np.linalg.norm(away - share[..., None] * along, axis=2).min(axis=1)
    return float(nearest.max())


def assert_frame_is_what_matplotlib_draws(figure: LiveFigure, drawn: dict | None = None) -> None:
    """Compare each node of the frame with the still, or with its elements if they are at hand."""
    drawn = by_id(figure.still()) if drawn is None else drawn
    texts = iter(figure.texts())
    width, height = figure.size
    for identity, state in decode(figure.nodes, figure.frame()).items():
        name = identity.removeprefix(ID_PREFIX)
        group = drawn.get(f"{figure.name}-{name}")
        if "xy" in state:
            words = next(texts)
            assert state["visible"] == (group is not None and bool(words)), name
            if state["visible"]:
                text = group.find(f"{SVG}text")
                assert text.text == words
                assert f"text-anchor: {state['anchor']}" in text.attrib["style"], name
                there = float(text.attrib["x"]), float(text.attrib["y"])
                assert state["xy"] == pytest.approx(there, abs=CLOSE), name
            continue
        points = state["points"][np.isfinite(state["points"]).all(axis=1)]
        if not state["visible"] or group is None:
            assert group is None or not len(points), name
            continue
        uses = group.findall(f".//{SVG}use")
        if uses:
            there = np.array([[float(u.attrib["x"]), float(u.attrib["y"])] for u in uses])
            assert points.shape == there.shape and np.abs(points - there).max() < CLOSE, name
            continue
        path = group.find(f"{SVG}path")
        lines = strokes(path.attrib["d"]) if path is not None else []
        # Matplotlib cuts off what lies outside the picture; inside, each must cover the other.
        inside = ((points >= 0) & (points <= (width, height))).all(axis=1)
        kept = unbroken(state["points"])
        if path is not None and "z" in path.attrib["d"]:
            kept = [np.vstack([line, line[:1]]) for line in kept]
            lines = [np.vstack([line, line[:1]]) for line in lines]
        # Mostly point for point the same, which is seen at once.
        if len(lines) == len(kept) and all(
                one.shape == other.shape and np.abs(one - other).max(initial=0) < CLOSE
                for one, other in zip(lines, kept)):
            continue
        assert farthest(points[inside], lines) < CLOSE, name
        for line in lines:
            assert farthest(line, kept) < CLOSE, name


# Every figure of the lessons --------------------------------------------------------


def test_there_are_figures_to_test():
    assert {"mixing", "tune_once", "simple_set"} <= set(LIVE_FIGURES)


def test_each_node_is_in_the_drawing_as_the_page_expects_it(bench):
    drawn = by_id(bench.figure.svg())
    inner = {"path": "path", "text": "text", "marks": "use"}
    for node in bench.figure.nodes:
        group = drawn[node["id"]]
        found = group.find(f"{'.//' if node['kind'] == 'marks' else ''}{SVG}{inner[node['kind']]}")
        assert found is not None, node
    assert all(identity.startswith(ID_PREFIX) for identity in drawn)


def test_frame_is_where_matplotlib_draws(bench, drawn):
    seen = set()
    for setting, still in drawn:
        bench.turn(**setting)
        assert_frame_is_what_matplotlib_draws(bench.figure, still)
        seen.add(bench.figure.frame())
    assert len(seen) > 3, "the settings tried must move the picture"


def test_nothing_changes_that_the_page_cannot_follow(bench, drawn):
    """Colour, width, dashes and size stay as they are in the drawing that the page was given."""
    def looks(group):
        return {re.sub(r"text-anchor: \w+", "", re.sub(r"var\(--rx-\w+, (#\w+)\)", r"\1", s))
                for s in (e.attrib.get("style", "") for e in group.iter()) if s}

    first = by_id(bench.figure.svg())
    names = {node["id"].removeprefix(ID_PREFIX): looks(first[node["id"]])
             for node in bench.figure.nodes}
    for setting, still in drawn:
        bench.turn(**setting)
        for name, look in names.items():
            if (group := still.get(f"{bench.figure.name}-{name}")) is not None:
                assert looks(group) <= look, name
        assert not any("\n" in words for words in bench.figure.texts())


def test_each_setting_fits_its_words_in_the_picture(bench):
    """Every label lies inside the picture, as matplotlib measures, with an eighth to spare."""
    width, height = bench.figure.size
    for setting in settings_of(bench, drawn=6):
        bench.turn(**setting)
        for name, artist in bench.figure._moving.items():
            if hasattr(artist, "get_text") and artist.get_visible() and artist.get_text():
                box = artist.get_window_extent()
                room = box.width / 8
                left = box.x0 - (room if artist.get_ha() != "left" else 0)
                right = box.x1 + (room if artist.get_ha() != "right" else 0)
                assert 0 <= left and right <= width, (name, artist.get_text(), setting)
                assert 0 <= box.y0 and box.y1 <= height, (name, artist.get_text(), setting)


def test_artists_are_made_once_and_moved(bench):
    figure = bench.figure
    movers = dict(figure._moving)
    artists = figure.figure.findobj()
    settings = settings_of(bench)
    for turn in range(30):
        bench.turn(**settings[turn % len(settings)])
    assert all(figure._moving[name] is artist for name, artist in movers.items())
    assert len(figure.figure.findobj()) == len(artists)


def test_stills_are_the_same_each_time(bench, request, monkeypatch):
    exactly(monkeypatch)
    other = open_figure(request.node.callspec.params["opened"])
    assert bench.figure.still() == other.figure.still()
    other.close()


def test_drawing_leaves_the_state_as_it_was(bench):
    before = bench.figure.frame(), bench.figure.texts(), bench.figure.still()
    bench.figure.svg()
    assert (bench.figure.frame(), bench.figure.texts(), bench.figure.still()) == before


def test_a_still_s_ids_are_its_own(bench, ids_seen):
    still = bench.figure.still()
    drawn = set(by_id(still))
    used = set(re.findall(r'(?:url\(|href=")#([^")]+)', still))
    assert used <= drawn, "a reference that leads nowhere"
    for kind, ids in ids_seen.items():
        assert kind is type(bench.figure) or not ids & drawn, kind
    ids_seen[type(bench.figure)] = drawn


def test_the_sentence_and_the_reason_follow_with_numbers(bench):
    said = set()
    for setting in settings_of(bench):
        bench.turn(**setting)
        sentence, reason = bench.figure.describe(bench.result), bench.figure.explain(bench.result)
        assert re.search(r"\d", sentence) and sentence.endswith((".", "!", "?"))
        assert len(sentence) < 500 and reason.strip()
        for words in (sentence, reason):
            assert not re.search(r"\bnan\b|\binf\b|None|\{|not a number|infinite", words), words
        said.add(sentence)
    assert len(said) > 3


# One artist of each kind ------------------------------------------------------------


@pytest.mark.parametrize("result", [
    {},
    {"curve": ([1, 2, 3], [1, 5, 2]), "words": "here", "band": 3},
    {"curve": ([1, 2, np.nan, 4, 5], [1, 2, 3, 4, 5]), "dots": ([1, 2, 3], [3, 2, 1])},
    {"dots": ([4], [4]), "words": "middle", "ha": "center", "at": (7, 2)},
    {"words": "end", "ha": "right", "at": (9, 9), "band": 8},
    {"curve": ([-50, 5, 50], [-50, 5, 50])},
])
def test_a_sketch_is_where_matplotlib_draws(result, monkeypatch):
    exactly(monkeypatch)
    sketch = Sketch()
    for state in ({"curve": ([0, 9], [9, 0]), "dots": ([1, 2], [1, 1]), "words": "w"}, result):
        sketch.update(state)
        assert_frame_is_what_matplotlib_draws(sketch)


def test_the_comparison_can_fail(monkeypatch):
    """A frame that is off by a fifth of a pixel, or turned round, is caught."""
    sketch = Sketch()
    sketch.update({"curve": ([1, 2, 3], [1, 5, 2]), "words": "here"})
    assert_frame_is_what_matplotlib_draws(sketch)
    frame = np.frombuffer(sketch.frame(), "f4").copy()
    frame[3] += 0.2
    monkeypatch.setattr(sketch, "frame", frame.tobytes)
    with pytest.raises(AssertionError, match="curve"):
        assert_frame_is_what_matplotlib_draws(sketch)


@pytest.mark.parametrize("words", [
    "<script>alert(1)</script>", '" onload="alert(1)', "a & b", "]]>", "&lt;b&gt;", "$\\frac{",
    "$x$", "url(#x)", "#1f2430", "µ Ω – ≥",
])
def test_markup_in_a_label_stays_text(words):
    sketch = Sketch()
    sketch.update({"words": words})
    for drawing, identity in ((sketch.still(), "sketch-words"), (sketch.svg(), "rxid-words")):
        group = by_id(drawing)[identity]
        assert "".join(group.itertext()).strip() == words
        assert [e.tag for e in group.iter()] == [f"{SVG}g", f"{SVG}text"]
        assert not any(key.startswith("on") for e in group.iter() for key in e.attrib)


def test_what_the_page_cannot_follow_is_refused():
    class Wrong(Sketch):
        def build(self, figure):
            super().build(figure)
            self.wrong(self.axes)

    cases = {
        "two moving": lambda self, axes: self.line(axes, "curve", "ink"),
        "unrotated": lambda self, axes: self.label(axes, "turned", rotation=90),
        "curved edges": lambda self, axes: self.moving("o", axes.add_patch(Circle((1, 1)))),
        "markers on a line": lambda self, axes: self.line(axes, "both", "ink", marker="o"),
        "cannot be moved": lambda self, axes: self.moving("f", axes.fill_between([0, 1], [1, 1])),
    }
    for complaint, wrong in cases.items():
        with pytest.raises(ValueError, match=complaint):
            type("Case", (Wrong,), {"wrong": wrong})()


# Colours ------------------------------------------------------------------------------

GROUNDS = {"paper", "shade", "grid"}
"""Roles that lie under the drawing and carry no meaning of their own."""


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definition of "relative luminance", sRGB)."""
    parts = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, definition of "contrast ratio")."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_formula():
    # WCAG 2.2 states the largest ratio, 21:1; #767676 on white is its well-known 4.5:1 grey
    # (from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert 4.5 <= contrast("#767676", "#ffffff") < 4.6


@pytest.mark.parametrize("theme", [style.LIGHT, style.DARK], ids=["light", "dark"])
def test_each_role_can_be_read_on_paper_and_on_shade(theme):
    # WCAG 2.2, success criterion 1.4.3: 4.5:1 for text.
    for role in theme.keys() - GROUNDS:
        for ground in ("paper", "shade"):
            assert contrast(theme[role], theme[ground]) >= 4.5, (role, ground)


def test_each_role_has_a_colour_of_its_own_in_both_themes():
    assert style.LIGHT.keys() == style.DARK.keys()
    for theme in (style.LIGHT, style.DARK):
        assert len(set(theme.values())) == len(theme)
        assert all(re.fullmatch("#[0-9a-f]{6}", colour) for colour in theme.values())


def test_the_page_has_the_same_colours():
    css = Panel._css.read_text() if hasattr(Panel._css, "read_text") else str(Panel._css)
    light, dark = re.findall(r"\{([^}]*--rx-ink[^}]*)\}", css)[:2]
    for block, theme in ((light, style.LIGHT), (dark, style.DARK)):
        given = dict(re.findall(r"--rx-(\w+): (#[0-9a-f]{6})", block))
        assert {role: given.get(role) for role in theme} == theme, json.dumps(given)
