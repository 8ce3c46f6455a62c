"""Read and print quantities as the trade writes them: ``3.2768 MHz``, ``47 pF``.

SI values inside, engineering units at the edge.  Reading never guesses: text
that could mean two things raises :class:`Unclear` with one sentence that says
what to write instead.

Why not a general unit library: the work here is to tell a learner *why* a text
will not do (a missing unit, ``3,500 kHz``, ``mHz`` for ``MHz``), and that is
the one thing such libraries leave out.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

import numpy as np

LONGEST_TEXT = 60
"""Longest text, in characters, that :func:`parse` looks at."""

PREFIXES = {
    "f": -15, "p": -12, "n": -9, "µ": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9,
}
"""Decimal prefixes (SI brochure, 9th ed., table 7) that the trade uses, as powers of ten."""

UNITS = {
    "Hz": ("frequency", "3.5 MHz"),
    "F": ("capacitance", "47 pF"),
    "H": ("inductance", "1.8 µH"),
    "V": ("voltage", "6.3 V"),
    "A": ("current", "55 mA"),
    "Ω": ("resistance", "4.7 kΩ"),
    "W": ("power", "2 W"),
    "s": ("time", "20 ms"),
    "J": ("energy", "2.9 J"),
    "m": ("length", "25 mm"),
    "dB": ("ratio in decibels", "40 dB"),
    "dBm": ("power level", "-73 dBm"),
    "%": ("percentage", "10 %"),
    "ppm": ("ratio in parts per million", "30 ppm"),
    "°": ("angle", "90 °"),
    "°C": ("temperature", "25 °C"),
    "": ("plain number", "50"),
}
"""Unit symbol to (what it measures, an example)."""

_UNPREFIXED = {"dB", "dBm", "%", "ppm", "°", "°C", ""}
_SPELLINGS = {
    "ohm": "Ω", "ohms": "Ω", "Ohm": "Ω", "Ohms": "Ω", "hz": "Hz", "HZ": "Hz", "db": "dB",
    "dbm": "dBm", "v": "V", "h": "H", "a": "A", "w": "W", "deg": "°", "degree": "°",
    "degrees": "°", "sec": "s", "percent": "%",
}
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<digits>\d[\d\s.,]*|[.,]\d[\d\s]*)"
    r"(?:\s*(?:[eE]|[x×*·]\s*10\s*(?:\^|\*\*)?)\s*(?P<exponent>[+-]?\d{1,3})(?![\d.]))?"
    r"\s*(?P<unit>.*)"
)
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_SUPERSCRIPT_RUN = re.compile("[⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺]+")
_SMALL_LETTERS = re.compile("[pnuµ]f|[nuµm]h|[uµmk]v|[uµm]a|kw")


class Unclear(ValueError):
    """Text or value that will not do; ``str()`` of it is one sentence that says what to change."""


@dataclass(frozen=True)
class Range:
    """What a field accepts: a closed interval ``low``..``high`` in SI of ``unit``.

    ``name`` is the trade's word for the quantity and opens every complaint.
    """

    name: str
    unit: str
    low: float
    high: float

    def check(self, value: float) -> float:
        """Return ``value`` (SI) as float if finite and inside; else raise :class:`Unclear`.

        Text and truth values are refused even where ``float()`` would take
        them: text has no unit here, and :meth:`parse` is the way to read it.
        """
        try:
            if isinstance(value, (str, bytes, bytearray, bool, np.bool_)):
                raise TypeError
            value = float(value)
        except (TypeError, ValueError, OverflowError):
            raise Unclear(f"{self.name} must be a number with its unit: {self.says}.") from None
        if not math.isfinite(value):
            raise Unclear(f"{self.name} must be a finite number: {self.says}.")
        if not self.low <= value <= self.high:
            where, limit = ("below", self.low) if value < self.low else ("above", self.high)
            given = show(value, self.unit)
            if given == show(limit, self.unit):
                given = show(value, self.unit, digits=17)
            raise Unclear(f"{self.name} of {given} is {where} what is allowed here: {self.says}.")
        return value

    def check_each(self, values: float | np.ndarray) -> float | np.ndarray:
        """Check one number or an array of any shape (SI); return float or float array.

        Raises :class:`Unclear` with the sentence of :meth:`check` about the
        first value that will not do.
        """
        if np.isscalar(values) or values is None:
            return self.check(values)
        try:
            array = np.asarray(values)
            mixed = isinstance(values, list | tuple) and any(isinstance(v, bool) for v in values)
        except ValueError:
            array, mixed = np.array(None), True
        if mixed or array.dtype.kind not in "iuf":
            raise Unclear(f"{self.name} must be numbers with their unit: {self.says}.")
        if array.ndim == 0:
            return self.check(array)
        array = array.astype(float)
        good = (array >= self.low) & (array <= self.high)
        if not good.all():
            self.check(array[~good][0])
        return array

    def parse(self, text: str) -> float:
        """Read ``text`` as a quantity of this range's unit, in SI, and check it."""
        return self.check(parse(text, self.unit, name=self.name))

    @property
    def says(self) -> str:
        """The interval in words, such as ``enter 1.8 MHz to 30 MHz``."""
        return f"enter {show(self.low, self.unit)} to {show(self.high, self.unit)}"


def parse(text: str, unit: str, *, name: str = "The value") -> float:
    """Read ``text`` as a quantity measured in ``unit``; return its SI value.

    Accepts grouped digits (``3.276 8 MHz``), a decimal comma (``3,5 MHz``),
    powers of ten (``3.5e6 Hz``), ``ohm`` and ``uF`` spellings, and the old
    ``uuF`` for pF.  Raises :class:`Unclear` for a missing, wrong or doubtful
    unit, for a comma that could mean two things, and for anything else that is
    not one finite number.  ``unit`` is a key of :data:`UNITS`.
    """
    kind, example = UNITS[unit]
    if not isinstance(text, str):
        raise Unclear(f"{name} must be typed as text, for example {example}.")
    # Far too long is refused before it is looked at: a pasted book must not stop the slider.
    clean = _tidy(text) if len(text) <= 10 * LONGEST_TEXT else text
    if not clean:
        raise Unclear(f"{name} is empty: type it with its unit, for example {example}.")
    if len(clean) > LONGEST_TEXT:
        raise Unclear(f"{name} is too long to read: type one number, for example {example}.")
    match = _NUMBER.fullmatch(clean)
    if match is None:
        raise Unclear(f"{name} must begin with a number: type it like {example}.")
    given = match["unit"].strip()
    number = clean[: match.start("unit")].strip()
    tail = f"e{match['exponent']}" if match["exponent"] else ""
    digits = _digits(match["digits"].strip(), f"{tail} {given or unit}".rstrip(), name)
    power = int(match["exponent"] or 0) + _power(given, unit, number, name)
    try:
        value = float(Decimal(match["sign"] + digits).scaleb(power))
    except (InvalidOperation, OverflowError):
        value = math.inf
    if not math.isfinite(value):
        raise Unclear(f"{name} is too large to be {_a(kind)}: type it like {example}.")
    return value


def show(
    value: float,
    unit: str,
    *,
    digits: int = 6,
    decimals: int | None = None,
    prefix: str | None = None,
) -> str:
    """Print an SI ``value`` with an engineering prefix: ``show(3276800, "Hz")`` is ``3.2768 MHz``.

    ``digits`` is the number of significant digits (trailing zeros are
    dropped); ``decimals`` fixes the places after the point instead, so that a
    number that follows a slider keeps its width.  ``prefix`` fixes the prefix.
    Not a number and infinity are printed in words, and what no prefix brings
    near as a power of ten.
    """
    value = float(value)
    if not math.isfinite(value):
        return "not a number" if math.isnan(value) else ("-" if value < 0 else "") + "infinite"
    if unit in _UNPREFIXED:
        prefix = ""
    elif prefix is None:
        prefix = _prefix_for(value, digits, unit)
    scaled = Decimal(repr(value)).scaleb(-PREFIXES[prefix])
    if decimals is None and scaled and not -9 <= scaled.adjusted() <= 15:
        text = re.sub(r"\.?0*e", "e", f"{scaled:.{digits - 1}e}") + f" {prefix}{unit}"
        return text.rstrip()
    if decimals is None:
        places = max(0, digits - 1 - (scaled.adjusted() if scaled else 0))
        text = f"{scaled:.{places}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        text = f"{scaled:.{decimals}f}"
    if float(text) == 0.0:
        text = text.lstrip("-")
    return f"{text} {prefix}{unit}".rstrip()


def show_span(
    low: float, high: float, unit: str, *, digits: int = 6, prefix: str | None = None
) -> str:
    """Print ``low`` to ``high`` (SI): ``show_span(3.5e6, 4e6, "Hz")`` is ``3.5 to 4 MHz``.

    ``digits`` and ``prefix`` as in :func:`show`; one prefix serves both.
    """
    if prefix is None:
        largest = max((abs(edge) for edge in (low, high) if math.isfinite(edge)), default=0.0)
        prefix = "" if unit in _UNPREFIXED else _prefix_for(largest, digits, unit)
    first = show(low, unit, digits=digits, prefix=prefix)
    number = first.removesuffix(f"{prefix}{unit}").rstrip()
    return f"{number} to {show(high, unit, digits=digits, prefix=prefix)}"


def _prefix_for(value: float, digits: int, unit: str) -> str:
    """Prefix that leaves one to three digits before the point once rounded to ``digits``.

    Hertz get none below 1 Hz: ``mHz`` is what :func:`parse` asks back about.  Capacitances get
    none below pF, as the trade writes them: 0.22 pF.
    """
    if value == 0:
        return ""
    rounded = Decimal(f"{abs(value):.{digits - 1}e}")
    least = {"Hz": 0, "F": -12}.get(unit, -15)
    power = min(9, max(least, 3 * (rounded.adjusted() // 3)))
    return next(prefix for prefix, exponent in PREFIXES.items() if exponent == power)


def _tidy(text: str) -> str:
    """Fold the look-alikes that keyboards and web pages bring: minus signs, spaces, micro, ohm."""
    # Raised digits are an exponent and nothing else: 10² is not 102.
    text = _SUPERSCRIPT_RUN.sub(lambda run: "^" + run[0].translate(_SUPERSCRIPTS), text)
    text = text.replace("\N{MINUS SIGN}", "-").replace("\u2013", "-")
    text = text.replace("\N{GREEK SMALL LETTER MU}", "µ").replace("\N{OHM SIGN}", "Ω")
    return "".join(_fold(character) for character in text).strip()


def _fold(character: str) -> str:
    """One character as it may stand in a one-line sentence; digits of other scripts as ASCII."""
    category = unicodedata.category(character)
    if category in ("Zs", "Zl", "Zp", "Cc", "Cf"):
        return " "
    # Half characters and unassigned ones cannot be sent to a browser or written to a file.
    if category in ("Cs", "Co", "Cn"):
        return "\N{REPLACEMENT CHARACTER}"
    return str(unicodedata.decimal(character, character))


def _digits(written: str, tail: str, name: str) -> str:
    """Turn the digits as written into a plain decimal, or say why that would be a guess.

    ``tail`` is what follows them, power and unit, for the complaint.
    """
    muddled = Unclear(
        f"{name}: “{written}” is not one number to me; write it without gaps, for example 3276.8."
    )
    groups = re.split(r"\s+", written)
    if len(groups) > 1:
        whole, _, part = written.replace(",", ".").partition(".")
        if not (_grouped(whole.split()) and _grouped(part.split(), fraction=True)):
            raise muddled
        written = "".join(groups)
    points, commas = written.count("."), written.count(",")
    if not points and not commas:
        return written
    if points and commas:
        decimal = "." if written.rfind(".") > written.rfind(",") else ","
        grouping = "," if decimal == "." else "."
        whole, _, part = written.partition(decimal)
        if written.count(decimal) != 1 or grouping in part or not _grouped(whole.split(grouping)):
            raise muddled
        return f"{whole.replace(grouping, '')}.{part or '0'}"
    mark = "." if points else ","
    pieces = written.split(mark)
    if len(pieces) > 2:
        if not _grouped(pieces):
            raise muddled
        return "".join(pieces)
    whole, part = pieces
    if mark == "," and len(part) == 3 and 1 <= len(whole) <= 3 and whole.lstrip("0") == whole:
        fraction, joined = f"{whole}.{part.rstrip('0') or '0'}", f"{whole}{part}"
        raise Unclear(
            f"{name}: “{written}{tail}” can be read two ways; "
            f"write {fraction}{tail} or {joined}{tail}."
        )
    return f"{whole or '0'}.{part or '0'}"


def _grouped(pieces: list[str], *, fraction: bool = False) -> bool:
    """Whether digit groups follow the rule of three; a short one stands first (fraction: last)."""
    if len(pieces) < 2:
        return True
    odd, full = (pieces[-1], pieces[:-1]) if fraction else (pieces[0], pieces[1:])
    return 1 <= len(odd) <= 3 and all(len(piece) == 3 for piece in full)


def _power(given: str, unit: str, digits: str, name: str) -> int:
    """Power of ten of the unit as ``given``, or :class:`Unclear` if it is not ``unit``."""
    kind, example = UNITS[unit]
    if given == unit:
        return 0
    if not given:
        raise Unclear(f"{name}: {digits} what? Add the unit, for example {example}.")
    spelled = _respell(given)
    if spelled in ("mHz", "mhz") and unit == "Hz":
        raise Unclear(f"{name}: {given} would be millihertz; write MHz if you mean megahertz.")
    if spelled in PREFIXES and unit not in _UNPREFIXED:
        raise Unclear(
            f"{name}: “{given}” is no whole unit; write {digits} {spelled}{unit} if you mean that."
        )
    found = _split(spelled)
    if found is None:
        raise Unclear(
            f"{name}: “{given[:20]}” is no unit that I know here; type it like {example}."
        )
    power, base = found
    if base != unit:
        raise Unclear(
            f"{name}: “{given[:20]}” is a unit of {UNITS[base][0]}; {_a(kind)} is wanted, "
            f"like {example}."
        )
    return power


def _a(kind: str) -> str:
    """``kind`` after its article: a capacitance, an inductance."""
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _respell(given: str) -> str:
    """Bring a unit's spellings to one: ``uF`` to ``µF``, ``uuF`` and ``pf`` to ``pF``.

    Small letters are taken where no other reading exists; ``mf`` and ``mw`` have one.
    """
    given = given.rstrip(".").replace(" ", "")
    if _SMALL_LETTERS.fullmatch(given):
        given = given[0] + given[1].upper()
    given = re.sub(r"^[uµ]{2}(?=F)", "p", given)
    given = re.sub(r"^u(?=[FHVAΩWsJm])", "µ", given)
    match = re.fullmatch(r"([fpnµumkKMG]?)([hH][zZ]|[oO]hms?)", given)
    if match:
        prefix = match[1].replace("K", "k").replace("u", "µ")
        if match[1] == "m" and match[2] == "hz":
            return "mhz"
        return prefix + ("Hz" if match[2][0] in "hH" else "Ω")
    if re.fullmatch(r"K[FHVAΩW]?", given):
        return "k" + given[1:]
    return _SPELLINGS.get(given, given)


def _split(spelled: str) -> tuple[int, str] | None:
    """Split a unit into (power of ten, base unit); None if there is no such unit."""
    if spelled in UNITS:
        return 0, spelled
    if spelled and spelled[0] in PREFIXES and spelled[1:] in UNITS:
        if spelled[1:] not in _UNPREFIXED:
            return PREFIXES[spelled[0]], spelled[1:]
    return None
