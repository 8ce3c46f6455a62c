"""Docstrings are part of the work: there, long enough to say something, and about what is passed.

All that fails is reported together, by name.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re

import rxlearn
from tests.test_layers import PACKAGE, room_of

SHORTEST = 20
"""Characters below which a docstring can hardly say anything."""

CLEAR_BY_ITSELF = re.compile(
    r"frequenc|bandwidth|resistance|inductance|capacitance|temperature|amplitude|sample|"
    r"(?:_db|_dbm|_degrees|_percent)$|^(?:loaded_q|circuits|region|points|order)$"
)
"""Names that are a quantity of the trade, in SI or with its unit at the end, or a plain count."""

UNIT = re.compile(
    r"\b(?:[kM]?Hz|[pµn]?F|[µm]?H|m?V|m?A|ohms?|k?Ω|W|dBm?|m?s|mm|°C?|ppm|percent|radians?|"
    r"ratios?|hertz|degrees?|times|SI|unit|plain|samples?|dimensionless)\b|%|°|Ω|unitless"
)


def public_modules():
    """Every module of the package whose name does not begin with an underscore."""
    yield rxlearn
    for found in pkgutil.walk_packages(rxlearn.__path__, "rxlearn."):
        if not found.name.rpartition(".")[2].startswith("_"):
            yield importlib.import_module(found.name)


def public_items():
    """Names and objects: modules, and the classes, functions and methods that they define."""
    for module in public_modules():
        yield module.__name__, module
        for name, item in vars(module).items():
            ours = getattr(item, "__module__", None) == module.__name__
            if name.startswith("_") or not ours or not (
                    inspect.isclass(item) or inspect.isfunction(item)):
                continue
            yield f"{module.__name__}.{name}", item
            if inspect.isclass(item):
                yield from methods_of(f"{module.__name__}.{name}", item)


def methods_of(prefix, owner):
    """Public methods and properties that ``owner`` itself defines."""
    for name, member in vars(owner).items():
        function = getattr(member, "fget", None) or getattr(member, "__func__", member)
        if not name.startswith("_") and inspect.isfunction(function):
            yield f"{prefix}.{name}", function


def words_of(item) -> str:
    """The item's own docstring; a dataclass's made-up signature is none."""
    doc = (item.__doc__ or "").strip()
    return "" if inspect.isclass(item) and doc.startswith(f"{item.__name__}(") else doc


def test_everything_public_says_what_it_is():
    silent = [f"{name}: {words_of(item)!r}" for name, item in public_items()
              if len(words_of(item)) < SHORTEST
              and not (inspect.isclass(item) and issubclass(item, tuple))]
    assert not silent, "\n".join(["too little is said of:", *silent])


def test_enough_is_looked_at():
    names = [name for name, _ in public_items()]
    assert len(names) > 250 and "rxlearn.compute.mixing.mix" in names
    assert "rxlearn.bench.live.LiveBench.turn" in names
    read = {path.stem for path in PACKAGE.rglob("*.py") if room_of(path) == "compute"}
    assert {name.rpartition(".")[2] for name in names} >= read - {"__init__"}


def is_mentioned(argument: str, words: str) -> bool:
    """Whether ``words`` speak of ``argument``: by name, or by a word that its name is made of."""
    pieces = [piece for piece in argument.split("_") if len(piece) > 3] or [argument]
    stems = [re.escape(piece[:-1] if piece[-1] in "ysde" else piece) for piece in pieces]
    return any(re.search(rf"\b{stem}", words, re.IGNORECASE) for stem in stems) or bool(
        re.search(rf"\b{re.escape(argument)}\b", words))


def compute_functions():
    """Public functions of the compute room, with the words that go for them."""
    for name, item in public_items():
        if name.startswith("rxlearn.compute.") and inspect.isfunction(item) and (
                name.count(".") == 3):
            yield name, item


def numbers_of(function) -> list[str]:
    """Names of the arguments that are numbers or arrays of them: their meaning needs words."""
    return [name for name, argument in inspect.signature(function).parameters.items()
            if any(word in str(argument.annotation) for word in ("float", "int", "ndarray"))]


def test_compute_speaks_of_every_number_it_is_given_and_of_units():
    """In its own docstring, or in that of its module where a family shares what is said."""
    missing = []
    for name, function in compute_functions():
        own = words_of(function)
        words = f"{own} {inspect.getmodule(function).__doc__}".replace("r.m.s.", "rms")
        # "See" a function of the same arguments is as good as saying it again.
        unspoken = [] if re.search(r"see\s+:func:", own) else [
            a for a in numbers_of(function)
            if not CLEAR_BY_ITSELF.search(a) and not is_mentioned(a, words)]
        if unspoken:
            missing.append(f"{name}: nothing about {', '.join(unspoken)}")
        # A whole number counts something, or names a place in a row.
        measured = [p for p in inspect.signature(function).parameters.values()
                    if any(word in str(p.annotation) for word in ("float", "ndarray"))
                    and "Mapping" not in str(p.annotation)]
        if measured and not UNIT.search(words):
            missing.append(f"{name}: no unit is named")
    assert not missing, "\n".join(missing)


def test_compute_results_speak_of_their_fields_or_hold_documented_ones():
    """A frozen result names the units of what it holds."""
    missing = []
    for name, item in public_items():
        if name.startswith("rxlearn.compute.") and hasattr(item, "__dataclass_fields__"):
            floats = [f for f in item.__dataclass_fields__.values() if "float" in str(f.type)]
            words = f"{words_of(item)} {inspect.getmodule(item).__doc__}"
            if floats and not UNIT.search(words):
                missing.append(f"{name}: no unit is named")
    assert not missing, "\n".join(missing)


def test_each_compute_module_names_its_limits_or_its_source():
    missing = []
    for module in public_modules():
        computes = any(inspect.isfunction(item) and item.__module__ == module.__name__
                       for item in vars(module).values())
        if computes and module.__name__.startswith("rxlearn.compute.") and not re.search(
                r"limit|source|model|definition|approximat|assum|ideal|range",
                inspect.getsource(module), re.IGNORECASE):
            missing.append(module.__name__)
    assert not missing, missing


def test_comments_are_no_leftovers():
    """No note to oneself is left in the package."""
    left = []
    for path in PACKAGE.rglob("*.py"):
        source = path.read_text()
        left += [f"{path.name}: {found}" for found in re.findall(
            r"#.*\b(?:TODO|FIXME|XXX|HACK)\b.*", source)]
    assert not left, left
