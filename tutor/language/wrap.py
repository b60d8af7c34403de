"""Folding text into lines without tearing apart what is read as one: 1.59 kHz, L1 ∥ C1."""

from __future__ import annotations

import re
import textwrap

_TIE = "\u00a0"
_TIED = re.compile(
    r"(?<=[0-9)]) (?=[fpnµumkMGT]?(?:Ω|ohm|Hz|rad/s|H|F|dB|s|%)(?![A-Za-z]))"  # value and unit
    r"|(?<=[\w)]) (?=(?:∥|\|\||\+) [\w(])|(?<=[\w)] ∥) |(?<=[\w)] \|\|) |(?<=[\w)] \+) "  # arms
)


def fold(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """The text in lines of at most ``width`` columns, ``first`` and ``rest`` before them."""
    lines = textwrap.wrap(
        _TIED.sub(_TIE, text),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    return [line.replace(_TIE, " ") for line in lines]
