"""Draw a figure once as SVG, then say where its moving artists lie.

A :class:`LiveFigure` builds its artists once.  ``svg()`` gives the drawing
with a findable node for each artist that moves; ``frame()`` gives, for the
present state, one float32 buffer with their display coordinates.  Whoever
shows the figure moves the nodes.  The same object gives the still picture for
a saved notebook or a sheet.
"""

from __future__ import annotations

import io
import re
from abc import ABC, abstractmethod

import matplotlib as mpl
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.path import Path
from matplotlib.text import Text

from rxlearn.figures import style

ID_PREFIX = "rxid-"
"""Begins every id in a live drawing; the page swaps it for one of its own, so that two copies
of a figure never share an id."""

_ANCHORS = ("left", "center", "right")
_ROLE_OF = {colour: role for role, colour in style.LIGHT.items()}
_TAG = re.compile("<[^>]*>")
_ID = re.compile(r'\bid="|url\(#|href="#')
_COLOUR = re.compile("|".join(_ROLE_OF))


class LiveFigure(ABC):
    """A figure whose artists are made once and then moved.

    A subclass builds its artists in ``build(figure)``, registers those that
    move with :meth:`moving`, moves them in ``update(result)``, says what is seen
    in ``describe(result)`` and why in ``explain(result)``.  ``name`` is a short word,
    unique among figures; ``size`` is in pixels.  A figure with ``columns`` has a table beside
    it, headed by them under its ``caption``, whose rows come from :meth:`rows`.  A figure that is
    now this drawing and now that says which by ``drawing``; what moves stays the same in all.
    """

    name: str = ""
    size: tuple[float, float] = (900, 340)
    caption: str = ""
    columns: tuple[str, ...] = ()
    drawing: str = ""

    def __init__(self) -> None:
        self._moving: dict[str, Artist] = {}
        self._named: set[str] = set()
        with mpl.rc_context(style.RC):
            self.figure = style.blank(*self.size)
            self.build(self.figure)

    @abstractmethod
    def build(self, figure: mpl.figure.Figure) -> None:
        """Make all axes and artists.  Limits are fixed here, from the physics."""

    @abstractmethod
    def update(self, result: object) -> None:
        """Move the artists to show ``result``, a result of this topic's compute module."""

    @abstractmethod
    def describe(self, result: object) -> str:
        """One or two sentences that say what the figure shows, with numbers and units."""

    @abstractmethod
    def explain(self, result: object) -> str:
        """Why it is so, in a short paragraph that works with the numbers now on screen."""

    def rows(self, result: object) -> list[list[str]]:
        """The table's rows for ``result``, a text for each of ``columns``; few and short."""
        return []

    def moving(self, name: str, artist: Artist) -> Artist:
        """Register ``artist`` as one that moves; return it.

        Lines, markers without a line, patches with straight edges and unrotated texts on
        their baseline can move; anything else is refused, since the page could not follow it.
        Only position, visibility, words and horizontal alignment may change later: the page
        keeps colour, width and dashes as they are drawn first.
        """
        if name in self._moving:
            raise ValueError(f"two moving artists are called {name!r}")
        if isinstance(artist, Text):
            if artist.get_rotation() or artist.get_va() != "baseline":
                raise ValueError(f"moving text {name!r} must be unrotated and on its baseline")
        elif isinstance(artist, Line2D):
            if _kind(artist) == "marks" and artist.get_linestyle() != "None":
                raise ValueError(f"{name!r} has markers on a line: make two artists of it")
        elif not isinstance(artist, Patch):
            raise ValueError(f"a {type(artist).__name__} cannot be moved in the page")
        elif {Path.CURVE3, Path.CURVE4} & set(artist.get_path().codes.tolist()):
            raise ValueError(f"patch {name!r} has curved edges, which the page cannot follow")
        artist.set_gid(name)
        self._moving[name] = artist
        return artist

    def line(self, axes: Axes, name: str, role: str, *, named: bool = False, **options) -> Line2D:
        """Add a moving line in the colour and line style of ``role``.

        A ``named`` line is called by its label (``set_label``, which may change as it moves)
        when somebody points at it; whoever cannot point finds the same words in the table.
        """
        options.setdefault("linestyle", style.DASHES.get(role, "-"))
        (line,) = axes.plot([], [], color=style.LIGHT[role], **options)
        if named:
            self._named.add(name)
        return self.moving(name, line)

    def marker(self, axes: Axes, name: str, role: str, **options) -> Line2D:
        """Add a moving vertical line over the whole height of ``axes``; move it by ``set_xdata``."""
        options.setdefault("linestyle", style.DASHES.get(role, "-"))
        line = axes.axvline(axes.get_xlim()[0], color=style.LIGHT[role], **options)
        return self.moving(name, line)

    def label(self, axes: Axes, name: str, role: str = "ink", **options) -> Text:
        """Add a moving text, on its baseline, that the axes' frame does not clip.

        Its words are taken as they are: the page draws no formulas, so the still must not.
        """
        text = axes.text(
            0, 0, "", color=style.LIGHT[role], va="baseline", parse_math=False, **options)
        return self.moving(name, text)

    @property
    def nodes(self) -> list[dict]:
        """What moves, in the order of :meth:`frame`: ``id``, ``kind`` (path, marks, text),
        ``closed``, and ``named`` where it can be pointed at."""
        return [
            {"id": ID_PREFIX + name, "kind": _kind(artist), "closed": isinstance(artist, Patch)}
            | ({"named": True} if name in self._named else {})
            for name, artist in self._moving.items()
        ]

    def frame(self) -> bytes:
        """The moving artists' present state as float32, for each in the order of :attr:`nodes`:

        path or marks: visible (0 or 1), number of points n, then n pairs x, y;
        text: visible, anchor (0 start, 1 middle, 2 end), x, y.
        Pixels of the drawing, y downwards; NaN breaks a line.  A long line keeps only the
        points that can be seen, as in the still.
        """
        height = self.figure.bbox.height
        return np.concatenate(
            [_state(artist, height) for artist in self._moving.values()] or [np.empty(0, "f4")]
        ).tobytes()

    def texts(self) -> list[str]:
        """The moving texts' words, in the order in which texts come in :attr:`nodes`."""
        return [a.get_text() for a in self._moving.values() if isinstance(a, Text)]

    def names(self) -> list[str]:
        """What the named artists are called now, in the order in which they come in :attr:`nodes`."""
        return [str(self._moving[name].get_label()) for name in self._moving if name in self._named]

    def svg(self) -> str:
        """The drawing for a live page: every moving artist present, colours by role.

        An artist without points has no node in an SVG, so each is given some
        for the moment of drawing; the first :meth:`frame` puts all in place.
        """
        undo = [_fill(artist) for artist in self._moving.values()]
        try:
            drawing = self._draw()
        finally:
            for restore in undo:
                restore()
        drawing = _TAG.sub(lambda tag: _COLOUR.sub(_by_role, tag[0]), drawing)
        return _prefix_ids(drawing, ID_PREFIX)

    def still(self) -> str:
        """The present state as a standalone SVG document on light paper."""
        return _prefix_ids(self._draw(), f"{self.name}-")

    def _draw(self) -> str:
        """Save the figure as SVG; the salt makes matplotlib's own ids the same at each run."""
        buffer = io.StringIO()
        with mpl.rc_context({**style.RC, "svg.hashsalt": self.name}):
            self.figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None})
        drawing = buffer.getvalue()
        drawing = drawing[drawing.index("<svg"):]
        drawing = re.sub(r"<metadata>.*?</metadata>", "", drawing, flags=re.DOTALL)
        return re.sub(r"font-family: [^;\"]+", f"font-family: {style.PAGE_FONTS}", drawing)


def _kind(artist: Artist) -> str:
    if isinstance(artist, Text):
        return "text"
    if isinstance(artist, Line2D) and artist.get_marker() not in ("None", "none", "", " ", None):
        return "marks"
    return "path"


def _state(artist: Artist, height: float) -> np.ndarray:
    """One artist's part of the frame; see :meth:`LiveFigure.frame`."""
    visible = float(artist.get_visible())
    if isinstance(artist, Text):
        x, y = artist.get_transform().transform(artist.get_unitless_position())
        anchor = _ANCHORS.index(artist.get_ha())
        return np.array([visible and bool(artist.get_text()), anchor, x, height - y], "f4")
    if isinstance(artist, Line2D):
        points = artist.get_transform().transform(artist.get_xydata())
        points = _thinned(points) if _kind(artist) == "path" else points
    else:
        # A closed outline's last vertex only repeats the first: the page closes it.
        points = artist.get_transform().transform(artist.get_path().vertices)[:-1]
    state = np.empty(2 + 2 * len(points), "f4")
    state[:2] = visible, len(points)
    state[2::2] = points[:, 0]
    state[3::2] = height - points[:, 1]
    return state


def _thinned(points: np.ndarray) -> np.ndarray:
    """A line's ``points`` (n by 2, pixels) without those that lie on it to a quarter pixel.

    Matplotlib thins a still in the same way.  The browser then paints a curve of 2000 points in
    under a third of the time.
    """
    path = Path(points)
    if not path.should_simplify or np.isnan(points).all():
        return points
    path = path.cleaned(simplify=True, remove_nans=True)
    drawn = path.codes != Path.STOP
    # A move in the middle stands where NaN broke the line.
    breaks = np.flatnonzero(path.codes[drawn][1:] == Path.MOVETO) + 1
    return np.insert(path.vertices[drawn], breaks, np.nan, axis=0)


def _fill(artist: Artist):
    """Make ``artist`` leave a node in the drawing; return a function that undoes it."""
    visible = artist.get_visible()
    artist.set_visible(True)
    if isinstance(artist, Text):
        words = artist.get_text()
        artist.set_text(words or "0")
        position = artist.get_position()
        x, y = artist.axes.transAxes.transform((0.5, 0.5))
        artist.set_position(artist.get_transform().inverted().transform((x, y)))

        def restore() -> None:
            artist.set_text(words)
            artist.set_position(position)
            artist.set_visible(visible)
    elif isinstance(artist, Line2D):
        data = artist.get_data(orig=True)
        corners = artist.axes.transAxes.transform([(0.4, 0.4), (0.6, 0.6)])
        artist.set_data(*artist.get_transform().inverted().transform(corners).T)

        def restore() -> None:
            artist.set_data(*data)
            artist.set_visible(visible)
    else:
        def restore() -> None:
            artist.set_visible(visible)
    return restore


def _prefix_ids(drawing: str, prefix: str) -> str:
    """Begin every id, and every reference to one, with ``prefix``; words stay as they are."""
    return _TAG.sub(lambda tag: _ID.sub(lambda found: found[0] + prefix, tag[0]), drawing)


def _by_role(colour: re.Match) -> str:
    return f"var(--rx-{_ROLE_OF[colour[0]]}, {colour[0]})"
