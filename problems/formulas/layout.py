"""Formula → text: one unambiguous line, or a drawing with fraction bars and roots.

Every character used is one cell wide, so a line's length is its width on the screen.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..quantities.write import RAISED
from .tree import (
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

_UNICODE = {"pi": "π", "ω0": "ω₀", "w0": "ω₀", "omega0": "ω₀", "f0": "f₀"}
_ASCII = {"ω0": "w0", "omega0": "w0", "ω": "w"}


def number_text(value: Fraction) -> str:
    """A finite decimal, exactly: ``4700``, ``0.25``, ``1e-7``."""
    if value.denominator == 1 and value < 10_000_000:
        return str(value.numerator)
    # In lowest terms the denominator holds twos and fives alone, the larger number of them as
    # many as there are decimal places.
    rest, fives = value.denominator, 0
    while rest % 5 == 0:
        rest, fives = rest // 5, fives + 1
    power = -max(rest.bit_length() - 1, fives)
    mantissa = value.numerator * 10**-power // value.denominator
    while mantissa % 10 == 0:
        mantissa //= 10
        power += 1
    digits = str(mantissa)
    if power >= 0 and len(digits) + power <= 7:
        return digits + "0" * power
    if power < 0 and -power <= 6:
        padded = digits.rjust(1 - power, "0")
        return f"{padded[:power]}.{padded[power:]}"
    if len(digits) > 1:
        return f"{digits[0]}.{digits[1:]}e{power + len(digits) - 1}"
    return f"{digits}e{power}"


def letter_text(name: str, ascii: bool = False) -> str:  # noqa: A002
    """How the letter ``name`` is written, in plain ``ascii`` if asked."""
    return _ASCII.get(name, name) if ascii else _UNICODE.get(name, name)


def echo(formula: Formula, *, ascii: bool = False) -> str:  # noqa: A002
    """One line that shows how a formula was read; reading it back gives the same formula.

    Args:
        formula: what to write.
        ascii: ``sqrt``, ``*``, ``^2``, ``pi`` instead of √, ·, ², π.
    """
    return _Line(ascii).top(formula)


class _Line:
    def __init__(self, ascii: bool) -> None:  # noqa: A002
        self.ascii = ascii
        self.minus, self.dot = ("-", "*") if ascii else ("−", "·")
        self.bars = " || " if ascii else " ∥ "

    def top(self, f: Formula) -> str:
        match f:
            case Sum(terms):
                text = self.term(terms[0])
                for t in terms[1:]:
                    negative = isinstance(t, Minus)
                    sign = self.minus if negative else "+"
                    text += f" {sign} " + self.term(t.of if isinstance(t, Minus) else t, negative)
                return text
            case Parallel(parts):
                return self.bars.join(map(self.factor, parts))
            case _:
                return self.term(f)

    def term(self, f: Formula, negated: bool = False) -> str:
        match f:
            case Minus(x) if not negated:
                return self.minus + self.term(x, True)
            case Product(factors):
                return self.dot.join(map(self.factor, factors))
            case Quotient(top, bottom):
                over = (
                    self.dot.join(map(self.factor, top.factors))
                    if isinstance(top, Product)
                    else self.factor(top)
                )
                return f"{over}/{self.factor(bottom)}"
            case _:
                return self.factor(f)

    def factor(self, f: Formula) -> str:
        match f:
            case Number(value):
                return number_text(value)
            case Letter(name):
                return letter_text(name, self.ascii)
            case SquareRoot(x):
                return f"{'sqrt' if self.ascii else '√'}({self.top(x)})"
            case Power(base, n):
                inner = self.factor(base)
                if isinstance(base, SquareRoot | Power) or _apart(base, inner):
                    inner = f"({inner})"  # every other compound has its brackets already
                return inner + self.exponent(n)
            case _:
                return f"({self.top(f)})"

    def exponent(self, n: int) -> str:
        if self.ascii:
            return f"^{n}" if n >= 0 else f"^({n})"
        return str(n).translate(RAISED)


def layout(
    formula: Formula,
    *,
    lead: str = "",
    width: int | None = None,
    ascii: bool = False,  # noqa: A002
) -> list[str]:
    """The formula as it is written on paper, in lines of equal length.

    Args:
        formula: what to draw.
        lead: text before it on its main line, such as ``"H(s) = "``.
        width: columns at most; long sums are broken before a sign.  A single term that is
            longer still stays whole.
        ascii: only ASCII characters.
    """
    pen = _Pen(ascii)
    room = None if width is None else max(width - len(lead), 12)
    return list(_beside([_text(lead), pen.top(formula, room)]).lines)


def stack(lines: list[str], *more: list[str]) -> list[str]:
    """The drawings ``lines`` and ``more`` one under the other, with an empty line between."""
    out = list(lines)
    for drawing in more:
        out += ["", *drawing]
    return out


@dataclass(frozen=True, slots=True)
class _Box:
    """Lines of equal length; ``base`` is the index of the one the text stands on."""

    lines: tuple[str, ...]
    base: int = 0

    @property
    def width(self) -> int:
        return len(self.lines[0])

    @property
    def tall(self) -> bool:
        return len(self.lines) > 1


def _text(text: str) -> _Box:
    return _Box((text,))


def _beside(boxes: list[_Box]) -> _Box:
    """Side by side on one base line."""
    above = max(b.base for b in boxes)
    below = max(len(b.lines) - b.base for b in boxes)
    rows = [""] * (above + below)
    for b in boxes:
        for i in range(above + below):
            at = i - above + b.base
            rows[i] += b.lines[at] if 0 <= at < len(b.lines) else " " * b.width
    return _Box(tuple(rows), above)


class _Pen:
    def __init__(self, ascii: bool) -> None:  # noqa: A002
        self.ascii = ascii
        self.line = _Line(ascii)
        self.minus, self.dot = ("-", "*") if ascii else ("−", "·")
        self.bar, self.bars = ("-", " || ") if ascii else ("─", " ∥ ")
        self.left = "/|\\" if ascii else "⎛⎜⎝"
        self.right = "\\|/" if ascii else "⎞⎟⎠"

    def top(self, f: Formula, room: int | None) -> _Box:
        """Whole, without brackets of its own."""
        match f:
            case Sum(terms):
                return self.sum(terms, room)
            case Parallel(parts):
                return self.joined([self.factor(p, room) for p in parts], self.bars)
            case _:
                return self.term(f, room)

    def sum(self, terms: tuple[Formula, ...], room: int | None) -> _Box:
        pieces: list[_Box] = []
        for i, t in enumerate(terms):
            negative = isinstance(t, Minus)
            sign = (self.minus if negative else "+") + " " if i else self.minus * negative
            inner = self.term(t.of if isinstance(t, Minus) else t, room, negative)
            pieces.append(_beside([_text(sign), inner]))
        rows = [[pieces[0]]]
        for piece in pieces[1:]:
            used = sum(b.width + 1 for b in rows[-1])
            if room is not None and used + piece.width > room:
                rows.append([_text("  "), piece])
            else:
                rows[-1] += [_text(" "), piece]
        return self.under([_beside(row) for row in rows])

    def under(self, boxes: list[_Box]) -> _Box:
        if len(boxes) == 1:
            return boxes[0]
        width = max(b.width for b in boxes)
        lines = [line.ljust(width) for b in boxes for line in b.lines]
        return _Box(tuple(lines), boxes[0].base)

    def term(self, f: Formula, room: int | None, negated: bool = False) -> _Box:
        match f:
            case Minus(x) if not negated:
                return _beside([_text(self.minus), self.term(x, room, True)])
            case Product(factors):
                return self.product(factors, room)
            case Quotient(top, bottom):
                return self.fraction(top, bottom, room)
            case _:
                return self.factor(f, room)

    def product(self, factors: tuple[Formula, ...], room: int | None) -> _Box:
        boxes: list[_Box] = []
        for i, f in enumerate(factors):
            # 2π and 4Q² need no dot on paper; the line form keeps it.
            bare = isinstance(factors[i - 1], Number) and not self.ascii and _lettered(f)
            if i and not bare:
                wide = isinstance(f, Quotient) or isinstance(factors[i - 1], Quotient)
                boxes.append(_text(f" {self.dot} " if wide else self.dot))
            boxes.append(self.factor(f, room))
        return _beside(boxes)

    def fraction(self, top: Formula, bottom: Formula, room: int | None) -> _Box:
        inside = None if room is None else room - 2
        over, under = self.top(top, inside), self.top(bottom, inside)
        width = max(over.width, under.width) + 2
        lines = [line.center(width) for line in over.lines]
        lines.append(self.bar * width)
        lines += [line.center(width) for line in under.lines]
        return _Box(tuple(lines), len(over.lines))

    def factor(self, f: Formula, room: int | None) -> _Box:
        match f:
            case Number() | Letter():
                return _text(self.line.factor(f))
            case Quotient(top, bottom):
                return self.fraction(top, bottom, room)
            case SquareRoot(x):
                return self.root(self.top(x, None if room is None else room - 2))
            case Power(base, n):
                inner = self.factor(base, room)
                apart = _apart(base, inner.lines[0])
                if isinstance(base, SquareRoot | Power | Quotient) or apart:
                    inner = self.brackets(inner)
                return self.raised(inner, n)
            case _:
                return self.brackets(self.top(f, None if room is None else room - 2))

    def raised(self, base: _Box, n: int) -> _Box:
        if base.tall:
            mark = str(n) if self.ascii else str(n).translate(RAISED)
            blank = " " * len(mark)
            right = _Box((mark, *[blank] * (len(base.lines) - 1)), base.base)
            return _beside([base, right])
        return _beside([base, _text(self.line.exponent(n))])

    def root(self, inner: _Box) -> _Box:
        if not inner.tall:
            if self.ascii:
                return _text(f"sqrt({inner.lines[0]})")
            return _Box((" " + "_" * inner.width, "√" + inner.lines[0]), 1)
        corner, over, side, foot = " _|\\" if self.ascii else "┌─│╲"
        lines = [f" {corner}{over * inner.width}"]
        lines += [f" {side}{line}" for line in inner.lines]
        lines[-1] = foot + lines[-1][1:]
        return _Box(tuple(lines), inner.base + 1)

    def brackets(self, inner: _Box) -> _Box:
        n = len(inner.lines)
        if n == 1:
            return _text(f"({inner.lines[0]})")
        rows = []
        for i, line in enumerate(inner.lines):
            at = 0 if i == 0 else 2 if i == n - 1 else 1
            rows.append(self.left[at] + line + self.right[at])
        return _Box(tuple(rows), inner.base)

    def joined(self, boxes: list[_Box], sign: str) -> _Box:
        out = [boxes[0]]
        for box in boxes[1:]:
            out += [_text(sign), box]
        return _beside(out)


def _apart(base: Formula, text: str) -> bool:
    """Whether a power would else be taken for one of the last part: of 1e-7, of 1 kΩ."""
    return (isinstance(base, Number) and "e" in text) or (isinstance(base, Letter) and " " in text)


def _lettered(f: Formula) -> bool:
    return isinstance(f.base if isinstance(f, Power) else f, Letter)
