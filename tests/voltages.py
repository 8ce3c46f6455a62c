"""Find voltages in whatever a lesson shows, so that a test can say which of them are high."""

from __future__ import annotations

import base64
import html
import re

_NUMBER = r"(?<![\w.])(\d[\d  ,]*(?:\.\d+)?)"
_VOLTS = re.compile(_NUMBER + r"\s*(?:(µ|m|k|M)\s?)?(?:V\b|[Vv]olts?\b)")
_RANGE = re.compile(_NUMBER + r"\s*(?:to|–|…)\s*[\d.]+\s*(?:V\b|[Vv]olts?\b)")
_TWIN = re.compile(r"\b(\d{2,4})-0-\d{2,4}\b")  # a centre-tapped winding
_FACTOR = {"": 1.0, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}
_STILL = re.compile(r"base64,([A-Za-z0-9+/=]+)")


def volts_in(text: str) -> list[float]:
    """Every voltage that ``text`` (plain, HTML or SVG) names, in V; embedded stills are read too.

    In a drawing whose words speak of volts, bare numbers (the ticks of an axis) count as well.
    """
    stills = [base64.b64decode(code).decode() for code in _STILL.findall(text)]
    words = [html.unescape(re.sub(r"<[^>]*>", " ", _STILL.sub("", text)))]
    found = [_number(n) for n in _drawn(stills)]
    words += [html.unescape(re.sub(r"<[^>]*>", " ", still)) for still in stills]
    for said in words:
        found += [_number(n) * _FACTOR[prefix or ""] for n, prefix in _VOLTS.findall(said)]
        found += [_number(n) for n in _RANGE.findall(said) + _TWIN.findall(said)]
    return found


def _drawn(stills: list[str]) -> list[str]:
    """Bare numbers among the texts of drawings that speak of volts."""
    numbers = []
    for still in stills:
        texts = [html.unescape(t).strip() for t in re.findall(r"<text[^>]*>([^<]*)</text>", still)]
        if any(re.search(r"\bV\b|volt", t) for t in texts):
            numbers += [t for t in texts if re.fullmatch(r"\d+(?:\.\d+)?", t)]
    return numbers


def _number(text: str) -> float:
    return float(re.sub(r"[  ,]", "", text))
