"""Formulas as they are set on paper: a tree of rows, fractions, roots and indices.

`mathml` and `typst_math` each write this tree in their own language.  It is made from a
formula's own tree, or from a line of text such as ``f₀ = 1.592 kHz``, of which every
character that is not understood stays plain upright text.

Products are set by juxtaposition and with a point only before a number; a sum that is too
long is broken before a sign, inside a fraction too, for neither language does it by itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

from ....problems.formulas.layout import letter_text, number_text
from ....problems.formulas.tree import (
    Formula,
    Letter,
    Minus,
    Number,
    Parallel,
    Power,
    Product,
    Quotient,
    SquareRoot,
    Sum,
)
from ....problems.quantities.write import UNRAISED
from ....problems.solutions.step import Equation
from ...language.texts import UNPRINTABLE

ROOM = 44.0
"""Ems to a line: a text width of 170 mm in letters of 11 points."""


@dataclass(frozen=True, slots=True)
class Id:
    """A quantity: one letter, and an upright index."""

    letter: str
    index: str = ""


@dataclass(frozen=True, slots=True)
class Num:
    """A number, with a power of ten if ``power`` is not empty."""

    digits: str
    power: str = ""


@dataclass(frozen=True, slots=True)
class MathText:
    """Upright text: a unit, a word, a name that is no letter with an index."""

    text: str


@dataclass(frozen=True, slots=True)
class Operator:
    """A sign: "+", "−", "=", … ; ``prefix`` where it has nothing on its left."""

    sign: str
    prefix: bool = False


@dataclass(frozen=True, slots=True)
class MathRow:
    """Things side by side."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Frac:
    """A fraction with a bar."""

    top: Node
    bottom: Node


@dataclass(frozen=True, slots=True)
class Sqrt:
    """A square root."""

    of: Node


@dataclass(frozen=True, slots=True)
class Sup:
    """A power."""

    base: Node
    exponent: int


@dataclass(frozen=True, slots=True)
class Fenced:
    """Something in round brackets, or between bars."""

    of: Node
    bars: bool = False


@dataclass(frozen=True, slots=True)
class SumLines:
    """A sum in several lines, those after the first indented."""

    rows: tuple[Node, ...]


Node: TypeAlias = Id | Num | MathText | Operator | MathRow | Frac | Sqrt | Sup | Fenced | SumLines

JOIN = Operator("")
"""Between factors that stand side by side."""
SPACE = Operator(" ")
"""Between a number and its unit, or a long number and a letter."""


def row(items: Iterable[Node]) -> Node:
    """Things side by side, flat; a single one is itself."""
    flat: list[Node] = []
    for item in items:
        flat += item.items if isinstance(item, MathRow) else (item,)
    return flat[0] if len(flat) == 1 else MathRow(tuple(flat))


def nodes(thing: Formula | Equation | str, room: float = ROOM) -> Node:
    """A formula, an equation or a line of text, ``thing``, as it is set in ``room`` ems."""
    if isinstance(thing, str):
        return line(thing)
    if isinstance(thing, Equation):
        lead = line(thing.lead)
        if thing.formula is None:
            return lead
        head = row([lead, Operator("=")])
        return row([head, _top(thing.formula, max(12.0, room - measure(head)))])
    return _top(thing, room)


def _top(f: Formula, room: float) -> Node:
    """Without brackets of its own."""
    match f:
        case Sum(terms):
            return _sum(terms, room)
        case Parallel(parts):
            return _between([_factor(p, room) for p in parts], "∥")
        case _:
            return _term(f, room)


def _sum(terms: Sequence[Formula], room: float) -> Node:
    pieces: list[list[Node]] = []
    for i, t in enumerate(terms):
        negative = isinstance(t, Minus)
        sign = [Operator("−" if negative else "+", prefix=not i)] if i or negative else []
        pieces.append([*sign, _term(t.of if isinstance(t, Minus) else t, room, negative)])
    rows: list[list[Node]] = [[]]
    used = 0.0
    for piece in pieces:
        wide = measure(row(piece))
        if rows[-1] and used + wide > room:
            rows.append([])
            used = 2.0
        rows[-1] += piece
        used += wide
    if len(rows) == 1:
        return row(rows[0])
    return SumLines(tuple(row(r) for r in rows))


def _term(f: Formula, room: float, negated: bool = False) -> Node:
    match f:
        case Minus(x) if not negated:
            return row([Operator("−", prefix=True), _term(x, room, True)])
        case Product(factors):
            return _product(factors, room)
        case Quotient(top, bottom):
            return Frac(_top(top, room - 1), _top(bottom, room - 1))
        case _:
            return _factor(f, room)


def _product(factors: Sequence[Formula], room: float) -> Node:
    items: list[Node] = []
    for i, f in enumerate(factors):
        node = _factor(f, room)
        if i:
            both = isinstance(f, Quotient) and isinstance(factors[i - 1], Quotient)
            long = isinstance(items[-1], Num) and (len(items[-1].digits) > 1 or items[-1].power)
            items.append(Operator("·") if both or _figure(node) else SPACE if long else JOIN)
        items.append(node)
    return row(items)


def _figure(node: Node) -> bool:
    """Whether it begins with a digit, which would join the factor before."""
    match node:
        case Num():
            return True
        case Sup(base, _):
            return _figure(base)
        case _:
            return False


def _factor(f: Formula, room: float) -> Node:
    match f:
        case Number(value):
            return line(number_text(value))
        case Letter(name):
            return line(letter_text(name))
        case Quotient(top, bottom):
            return Frac(_top(top, room - 1), _top(bottom, room - 1))
        case SquareRoot(x):
            return Sqrt(_top(x, room - 1.2))
        case Power(base, n):
            inner = _factor(base, room)
            plain = isinstance(inner, Id | Fenced) or (isinstance(inner, Num) and not inner.power)
            return Sup(inner if plain else Fenced(inner), n)
        case _:
            return Fenced(_top(f, room - 1))


def _between(items: Sequence[Node], sign: str) -> Node:
    found = [items[0]]
    for item in items[1:]:
        found += [Operator(sign), item]
    return row(found)


_LOWERED = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")
_UNIT = r"(?:[pnµmkMGT]?(?:rad/s|Hz|[ΩHFVs])|dB(?:/decade|/octave)?)(?![\w/])"
_TOKEN = re.compile(
    rf"(?P<after>(?<=\)) {_UNIT})"
    rf"|(?P<space>\s+)"
    rf"|(?P<number>\d+(?:\.\d+)?)(?:×10(?P<power>⁻?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)|e(?P<e>[-−]?\d+)(?!\w))?"
    rf"(?P<unit> {_UNIT}|°)?"
    rf"|(?P<f>f\((?P<what>peak|[-−]3 dB)\))"
    rf"|(?P<volt>V(?P<place>out|in|s)(?!\w))"
    rf"|(?P<id>[A-Za-zωσπ])(?P<index>[0-9₀-₉]*)(?!\w)"
    rf"|(?P<name>(?:[RLC][A-Za-z0-9]*|Q[UL])(?!\w))"
    rf"|(?P<word>\w+)"
    rf"|(?P<sign>[+\-−±·=→∥,/×≈<>≤≥∞()|])"
    rf"|(?P<other>.)",
    re.DOTALL,
)
_SIGN = re.compile(r"[+\-−=(]")
_DEGREES = MathText("°")
_SIGNS = {"-": "−"}
_CLOSING = {"(": ")", "|": "|"}


def line(text: str) -> Node:
    """A line of text: quantities, numbers, units and signs as such, the rest upright."""
    return _line(UNPRINTABLE.sub("", text))


@lru_cache(maxsize=4096)
def _line(text: str) -> Node:
    stack: list[tuple[str, list[Node]]] = [("", [])]
    for match in _TOKEN.finditer(text):
        here = stack[-1][1]
        if match["number"] is not None:
            power = match["power"] or match["e"] or ""
            here.append(Num(match["number"], power.translate(UNRAISED).replace("−", "-")))
            if match["unit"]:
                here += ([] if match["unit"] == "°" else [SPACE]) + [
                    MathText(match["unit"].strip())
                ]
        elif match["after"] is not None:
            here += [SPACE, MathText(match["after"].strip())]
        elif match["f"] is not None:
            here.append(Id("f", match["what"].replace("-", "−")))
        elif match["volt"] is not None:
            here.append(Id("V", match["place"]))
        elif match["id"] is not None:
            here.append(Id(match["id"], match["index"].translate(_LOWERED)))
        elif match["name"] is not None:
            here.append(Id(match["name"][0], match["name"][1:]))
        elif match["word"] is not None or match["other"] is not None:
            _text(here, match[0])
        elif match["sign"] is not None:
            _sign(stack, match["sign"])
        elif here and here[-1] == _DEGREES and _SIGN.match(text, match.end()):
            here += [SPACE] * (text[match.end()] == "(")
        elif here and isinstance(here[-1], MathText):
            _text(here, " ")
        elif (
            here and not isinstance(here[-1], Operator) and re.match(r"\w{2}", text[match.end() :])
        ):
            here.append(SPACE)
    while len(stack) > 1:  # a bracket that nobody closes
        opening, inside = stack.pop()
        stack[-1][1].extend([MathText(opening), *inside])
    return row(stack[0][1]) if stack[0][1] else MathText("")


def _text(here: list[Node], text: str) -> None:
    if here and isinstance(here[-1], MathText):
        here[-1] = MathText(here[-1].text + text)
    else:
        here.append(MathText(text))


def _sign(stack: list[tuple[str, list[Node]]], sign: str) -> None:
    opening, here = stack[-1]
    if _CLOSING.get(opening) == sign:
        stack.pop()
        stack[-1][1].append(Fenced(row(here) if here else MathText(""), bars=sign == "|"))
    elif sign in _CLOSING:
        stack.append((sign, []))
    elif sign == ")":
        _text(here, sign)
    else:
        sign = _SIGNS.get(sign, sign)
        alone = not here or (isinstance(here[-1], Operator) and here[-1] not in (JOIN, SPACE))
        here.append(Operator(sign, prefix=alone and sign in "+−±"))


_GAPS = {"": 0.0, " ": 0.25, ",": 0.45, "/": 0.5, "·": 0.7}


def measure(node: Node) -> float:
    """About how many ems wide, rather too much than too little."""
    match node:
        case Id(_, index):
            return 0.72 + 0.42 * len(index)
        case Num(digits, power):
            return 0.52 * len(digits) + (1.9 + 0.42 * len(power) if power else 0.0)
        case MathText(text):
            return 0.56 * len(text)
        case Operator(sign, prefix):
            return _GAPS.get(sign, 0.8 if prefix else 1.35)
        case MathRow(items):
            return sum(map(measure, items))
        case Frac(top, bottom):
            return max(measure(top), measure(bottom)) + 0.3
        case Sqrt(of):
            return measure(of) + 1.1
        case Sup(base, exponent):
            return measure(base) + 0.42 * len(str(exponent))
        case Fenced(of):
            return measure(of) + 0.9
        case SumLines(rows):
            first, *others = map(measure, rows)
            return max([first, *(wide + 2.0 for wide in others)])
