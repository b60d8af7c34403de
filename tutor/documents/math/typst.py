"""Formulas as source of typst's mathematics.

The source is made from our own trees only: letters are single letters of a list, everything
else stands in quotes, so that no text can become code.
"""

from __future__ import annotations

import re

from ....problems.formulas.tree import Formula
from ....problems.solutions.step import Equation
from .nodes import (
    ROOM,
    Fenced,
    Frac,
    Id,
    MathRow,
    MathText,
    Node,
    Num,
    Operator,
    Sqrt,
    SumLines,
    Sup,
    nodes,
)

_GREEK = {"ω": "omega", "σ": "sigma", "π": "pi"}
_SIGNS = {
    "": "",
    " ": "thin",
    "+": "+",
    "−": "−",
    "±": "±",
    "·": "⋅",
    "=": "=",
    "→": "→",
    "∥": "∥",
    ",": "\\,",
    "/": "\\/",
    "×": "×",
    "≈": "≈",
    "<": "<",
    ">": ">",
    "≤": "≤",
    "≥": "≥",
    "∞": "∞",
}


_DIGITS = re.compile(r"[0-9]+(\.[0-9]+)?")


def typst_math(thing: Formula | Equation | str, *, room: float = ROOM) -> str:
    """The inside of ``$…$``: a formula, an equation or a line of text, ``thing``.

    Sums longer than ``room`` ems are broken.
    """
    return _write(nodes(thing, room))


def quoted(text: str) -> str:
    """A string of typst."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _write(node: Node) -> str:
    match node:
        case Id(letter, index):
            base = _GREEK.get(letter) or (
                letter if len(letter) == 1 and letter.isascii() and letter.isalpha() else None
            )
            base = base or quoted(letter)
            return f"{base}_{quoted(index)}" if index else base
        case Num(digits, power):
            number = digits if _DIGITS.fullmatch(digits) else quoted(digits)
            if not power:
                return number
            return f"{number} × 10^{quoted(power.replace('-', '−'))}"
        case MathText(text):
            return quoted(text)
        case Operator(sign, prefix):
            return f'class("unary", {_SIGNS[sign]})' if prefix else _SIGNS[sign]
        case MathRow(items):
            return " ".join(filter(None, map(_write, items)))
        case Frac(top, bottom):
            return f"display(frac({_write(top)}, {_write(bottom)}))"
        case Sqrt(of):
            return f"sqrt({_write(of)})"
        case Sup(base, exponent):
            return f"{_write(base)}^{quoted(str(exponent).replace('-', '−'))}"
        case Fenced(of, bars):
            ends = ("|", "|") if bars else ("(", ")")
            return f"lr({ends[0]} {_write(of)} {ends[1]})"
        case SumLines(rows):
            inner = " ".join(
                ('quad "" ' if n else "") + f"inline({_write(r)});" for n, r in enumerate(rows)
            )
            return f"mat(delim: #none, align: #left, row-gap: #0.5em, {inner})"
