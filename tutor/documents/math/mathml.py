"""Formulas as MathML, for the pages a browser shows (MathML Core, W3C)."""

from __future__ import annotations

from ....problems.formulas.layout import echo
from ....problems.formulas.tree import Formula
from ....problems.solutions.step import Equation
from ..drawings.svg import MINUS, escape
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

_TIMES = "<mo>&#x2062;</mo>"
_GAP = '<mspace width="0.2em"/>'


def mathml(thing: Formula | Equation | str, *, room: float = ROOM) -> str:
    """A formula, an equation of a worked step, or a line of text with quantities, as MathML.

    Text is never trusted: what is not understood stays text, and is escaped.  Typed formulas
    should come as the tree that `problems.formula.parse` makes of them.

    Args:
        thing: what to set.
        room: ems to a line; longer sums are broken.
    """
    inner = _write(nodes(thing, room))
    alt = escape(spoken(thing))
    namespace = "http://www.w3.org/1998/Math/MathML"
    return f'<math xmlns="{namespace}" alttext="{alt}"><mrow>{inner}</mrow></math>'


def spoken(thing: Formula | Equation | str) -> str:
    """The same in one line of characters."""
    if isinstance(thing, str):
        return thing
    if isinstance(thing, Equation):
        return f"{thing.lead} = {echo(thing.formula)}" if thing.formula else thing.lead
    return echo(thing)


def _write(node: Node) -> str:
    match node:
        case Id(letter, index):
            base = f"<mi>{escape(letter)}</mi>"
            return f"<msub>{base}{_index(index)}</msub>" if index else base
        case Num(digits, power):
            number = f"<mn>{escape(digits)}</mn>"
            if not power:
                return number
            minus = power.startswith("-")
            raised = f"<mn>{escape(power.lstrip('-'))}</mn>"
            if minus:
                raised = f"<mrow><mo>{MINUS}</mo>{raised}</mrow>"
            return f"<mrow>{number}<mo>×</mo><msup><mn>10</mn>{raised}</msup></mrow>"
        case MathText(text):
            return f"<mtext>{_kept(text)}</mtext>"
        case Operator(sign, prefix):
            return _sign(sign, prefix)
        case MathRow(items):
            return "".join(map(_write, items))
        case Frac(top, bottom):
            return f'<mfrac displaystyle="true">{_one(top)}{_one(bottom)}</mfrac>'
        case Sqrt(of):
            return f"<msqrt>{_write(of)}</msqrt>"
        case Sup(base, exponent):
            raised = f"<mn>{abs(exponent)}</mn>"
            if exponent < 0:
                raised = f"<mrow><mo>{MINUS}</mo>{raised}</mrow>"
            return f"<msup>{_one(base)}{raised}</msup>"
        case Fenced(of, bars):
            left, right = ("|", "|") if bars else ("(", ")")
            ends = [
                f'<mo fence="true" form="{form}" stretchy="true">{sign}</mo>'
                for sign, form in ((left, "prefix"), (right, "postfix"))
            ]
            return f"<mrow>{ends[0]}{_write(of)}{ends[1]}</mrow>"
        case SumLines(rows):
            indent = '<mspace width="1.2em"/>'
            inner = "".join(
                f"<mtr><mtd>{indent if n else ''}{_write(r)}</mtd></mtr>"
                for n, r in enumerate(rows)
            )
            return f'<mtable columnalign="left">{inner}</mtable>'


def _one(node: Node) -> str:
    inner = _write(node)
    return f"<mrow>{inner}</mrow>" if isinstance(node, MathRow | Operator) else inner


def _index(index: str) -> str:
    if index.isascii() and index.isdigit():
        return f"<mn>{index}</mn>"
    if index.isalpha() and len(index) > 1:
        return f"<mi>{escape(index)}</mi>"
    if index.isalpha():
        return f'<mi mathvariant="normal">{escape(index)}</mi>'
    return f"<mtext>{_kept(index)}</mtext>"


def _kept(text: str) -> str:
    """Spaces at the ends are kept."""
    return escape(text).replace(" ", "&#xA0;")


def _sign(sign: str, prefix: bool) -> str:
    match sign:
        case "":
            return _TIMES
        case " ":
            return _GAP
        case "·":
            return "<mo>⋅</mo>"
        case ",":
            return '<mo separator="true">,</mo>'
    form = ' form="prefix"' if prefix else ""
    return f"<mo{form}>{escape(sign)}</mo>"
