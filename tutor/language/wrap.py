"""Folding text into lines without tearing apart what is read as one: 1.59 kHz, L1 ∥ C1."""

from __future__ import annotations

import re
import textwrap
import unicodedata

_TIE = "\u00a0"
_TIED = re.compile(
    r"(?<=[0-9)]) (?=[fpnµumkMGT]?(?:Ω|ohm|Hz|rad/s|H|F|dB|s|%)(?![A-Za-z]))"  # value and unit
    r"|(?<=[\w)]) (?=(?:∥|\|\||\+) [\w(])|(?<=[\w)] ∥) |(?<=[\w)] \|\|) |(?<=[\w)] \+) "  # arms
)


def fold(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """``text`` in lines of at most ``width`` columns, ``first`` and ``rest`` before them."""
    lines = textwrap.wrap(
        _TIED.sub(_TIE, text),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    return [line.replace(_TIE, " ") for line in lines]


def columns(text: str) -> int:
    """Columns that a text takes: two for a wide sign, none for an accent on the one before."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.combining(sign) else 1 + (unicodedata.east_asian_width(sign) in "WF")
        for sign in text
    )
