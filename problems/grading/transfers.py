"""How H(s) is read: a formula in s, with what its letters stand for where the answer says so.

``1/(1+sτ) with τ = RC``, ``H(p) = 1/(1+pRC)`` and ``(1/sC)/(R+1/sC) = 1/(1+sRC)`` are one answer
each; what is said to be the same has to be.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from ..analysis.transfer import TransferFunction
from ..circuits.model import Element
from ..formulas.read import Beside
from ..formulas.tree import Formula, FormulaError, Number
from ..formulas.work import Work
from ..quantities.read import read_quantity
from ..quantities.spelling import shown as quoted
from ..quantities.units import QuantityError
from . import formulas
from .clauses import clauses_of
from .examples import example, not_understood
from .formulas import ReadingCase
from .names import Named, named
from .reading import Reading, Unclear
from .said import bare

_CONSTANT = re.compile(r"[KkAaGHhg]_?[0oO∞]|[KkAGg]")
_LETTER = re.compile(r"[aAhH]")
"""What H(s) is called, and what a constant may be called as well: what it is said to be tells."""
_OPENING = re.compile(r"(?:with|where|for|let|if|using)\s+", re.IGNORECASE)
_SQUARED = re.compile(r"(\w{1,6}?)(?:²|\^2|\*\*2)")
_EACH_SECOND = ("s⁻¹", "s^-1", "s^(-1)", "1/s", "/s")
_UNITS = {
    Named.ANGULAR: "rad/s",
    Named.CENTRE_ANGULAR: "rad/s",
    Named.BAND_ANGULAR: "rad/s",
    Named.FREQUENCY: "Hz",
    Named.CENTRE: "Hz",
    Named.TIME: "s",
    Named.QUALITY: "",
}
"""The unit of a symbol that an answer gives a value, with its unit."""
_ROUNDED = 0.01
"""As a share: so near a value is to what it is said to be."""
_ALSO_H = ("A", "G", "T", "F", "K", "g", "k")
"""What H(s) is called as well, where nothing else is."""


def _before(text: str, unit: str) -> str:
    """What stands before a ``unit`` and the sign that may join it to its number."""
    number = text.removesuffix(unit).rstrip()
    return number[:-1].rstrip() if number.endswith(("·", "*")) else number


def read_transfer(
    case: ReadingCase, text: str, work: Work, beside: Beside = Beside.TIGHT
) -> Reading:
    """Read H(s).

    Args:
        case: the question, and what an answer to it may name.
        text: what was typed.
        work: what the steps are counted on.
        beside: how letters side by side bind after a slash.

    Raises:
        Unclear: it was not understood, or says two things.
        TooMuchWorkError: it asks for more work than is left.
    """
    told = clauses_of(text)
    if not told:
        raise Unclear("answer.no-figure", typed=quoted(text.strip()), example=example(case))
    return _Transfers(case, work, beside).of([clause.pieces for clause in told])


class _Transfers:
    """Reads the clauses of one answer."""

    def __init__(self, case: ReadingCase, work: Work, beside: Beside) -> None:
        self.case, self.work, self.beside = case, work, beside
        # Whether it is a ratio of polynomials depends on no value: one not known may be any.
        self.parts = [e if e.value else replace(e, value=Fraction(1)) for e in case.parts]
        self.defined: dict[str, Formula] = {}

    def of(self, clauses: list[tuple[str, ...]]) -> Reading:
        mains: list[tuple[str, ...]] = []
        symbols: list[tuple[str, tuple[str, ...]]] = []
        named_main = False
        for pieces in self.split(clauses):
            first, *others = pieces
            squared = _SQUARED.fullmatch(first)
            if others and _names_h(first) and not self.is_constant(pieces, clauses):
                mains.append(tuple(others))
                named_main = True
            elif others and self.is_symbol(first):
                symbols += [(one, tuple(others)) for one in pieces[:-1] if self.is_symbol(one)]
            elif others and squared and self.is_symbol(squared[1]):
                symbols.append((squared[1], tuple(f"√({text})" for text in others)))
            elif others and first in self.values:
                self.hold(first, others[-1])
            elif others and named(first) is not None:
                raise Unclear("answer.other-name", name=quoted(first), example=example(self.case))
            else:
                mains.append(pieces)
        if not mains and len(symbols) == 1 and symbols[0][0] in _ALSO_H:
            mains, symbols = [symbols[0][1]], []
        if not mains:
            raise Unclear(
                "answer.other-name", name=quoted(clauses[-1][0]), example=example(self.case)
            )
        for symbol, meanings in (*symbols, *symbols):  # one may be said by another, in any order
            self.define(symbol, meanings)
        if len(mains) > 1:  # "ω0/Q = R/L" says something about the circuit, which has to be so
            mains = [pieces for pieces in mains if not self.is_so(pieces)] or mains
        *before, last = [piece for pieces in mains for piece in pieces]
        found = self.expression(last)
        if found.transfer is None:
            return found
        has_s = found.transfer.order or found.transfer.zero_count
        for piece in before:
            try:
                other = self.expression(piece)
            except Unclear:
                if named_main and has_s:
                    continue
                raise
            if other.transfer is None or found.transfer is None:
                continue
            off = formulas.deviation(other.transfer, found.transfer, self.work)
            if off > 1e-6:
                raise Unclear("answer.two-figures", one=other.shown, other=found.shown)
        return found

    def split(self, clauses: list[tuple[str, ...]]) -> Iterator[tuple[str, ...]]:
        """The clauses, those of "ω0 = 1/RC: H = ω0/(s + ω0)" apart."""
        for pieces in clauses:
            first, *others = pieces
            pieces = (_OPENING.sub("", first, count=1), *others)
            cut = next((n for n, one in enumerate(pieces) if n and _names_h(one)), 0)
            if cut and cut < len(pieces) - 1:
                yield pieces[:cut]
                yield pieces[cut:]
            else:
                yield pieces

    def is_constant(self, pieces: tuple[str, ...], clauses: list[tuple[str, ...]]) -> bool:
        """Whether a letter that H(s) may be called is a constant here: "a/(s + a), a = 1/RC"."""
        if not _LETTER.fullmatch(pieces[0]) or len(clauses) < 2:
            return False
        return self.of_no_s(pieces[-1]) is not None

    def of_no_s(self, text: str) -> Reading | None:
        """An expression without s, read; ``None`` where there is an s in it, or it is none."""
        try:
            found = self.expression(text)
        except Unclear:
            return None
        known = found.transfer
        flat = known is not None and known.order == known.zero_count == 0
        return found if flat else None

    def is_so(self, pieces: tuple[str, ...]) -> bool:
        """Whether pieces without s say that one constant is another.

        Raises:
            Unclear: they do, and it is not.
        """
        if len(pieces) < 2:
            return False
        found = [self.of_no_s(piece) for piece in pieces]
        if None in found:
            return False
        for one, other in pairwise(filter(None, found)):
            if one.transfer is None or other.transfer is None:
                continue
            if formulas.deviation(one.transfer, other.transfer, self.work) > _ROUNDED:
                raise Unclear("answer.two-figures", one=one.shown, other=other.shown)
        return True

    @cached_property
    def values(self) -> dict[str, Element]:
        """The circuit's elements by what they may be called."""
        by_name = {e.name: e for e in self.case.parts}
        called = formulas.spellings(self.case.parts)
        return {spelling: by_name[name] for spelling, name in called.items()}

    def hold(self, name: str, text: str) -> None:
        """See that an element has the value that the answer gives it.

        Raises:
            Unclear: it has another, or it is not understood.
        """
        element = self.values[name]
        given = self.value(text, element.kind.unit)
        if given is None or (element.value and abs(given / element.value - 1) > Fraction(_ROUNDED)):
            raise Unclear("answer.other-name", name=quoted(name), example=example(self.case))

    def value(self, text: str, unit: str) -> Fraction | None:
        """A value that is given with its unit; ``None`` where it is none.

        Raises:
            Unclear: it is in another unit, such as ω0 in Hz.
        """
        unit_end = next((end for end in _EACH_SECOND if text.endswith(end)), None)
        numbers = (_before(text, unit_end),) if unit_end and unit == "rad/s" else ()
        for written in (text, *numbers):
            try:
                found = read_quantity(written, unit)
            except QuantityError:
                continue
            if found.unit != unit:
                raise Unclear("answer.other-name", name=quoted(text), example=example(self.case))
            return found.value if found.value > 0 else None
        return None

    def is_symbol(self, piece: str) -> bool:
        return (
            piece.isidentifier()
            and len(piece) <= 8
            and (not _names_h(piece) or bool(_LETTER.fullmatch(piece)))
            and piece not in formulas.spellings(self.case.parts)
        )

    def define(self, symbol: str, meanings: tuple[str, ...]) -> None:
        """Take what a symbol is said to be: the last thing, if it is understood.

        Raises:
            Unclear: it is not, and the symbol is one that has a meaning of its own.
        """
        text = meanings[-1]
        unit = _UNITS.get(named(symbol) or Named.ANY)
        value = None if unit is None else self.value(text, unit)
        try:
            formula = (
                formulas.parsed(self.case, text, self.beside, self.work, self.defined)
                if value is None
                else Number(value)
            )
        except FormulaError as error:
            if symbol in formulas.derived(self.case):
                raise not_understood(self.case, error) from None
            return
        self.defined[symbol] = formula

    def expression(self, text: str) -> Reading:
        case, work = self.case, self.work
        try:
            formula, typed = self.worked_out(text, corners=False)
        except FormulaError as error:
            try:
                formula, typed = self.worked_out(text, corners=True)
            except FormulaError:
                raise not_understood(case, error) from None
        known = typed if all(e.value for e in case.parts) else None
        shown = formulas.shown(formula)
        return Reading(formula, shown, formula=formula, transfer=known, work=work)

    def worked_out(self, text: str, *, corners: bool) -> tuple[Formula, TransferFunction]:
        case, work = self.case, self.work
        formula = formulas.parsed(
            case, bare(text), self.beside, work, self.defined, corners=corners
        )
        known = {name: value for name, value in formulas.derived(case).items() if value is not None}
        return formula, formulas.transfer_of(formula, self.parts, work, known)


def _names_h(piece: str) -> bool:
    """Whether it is a name of H(s); K, A0 and the like are constants of a standard form."""
    return named(piece) is Named.GAIN and not _CONSTANT.fullmatch(piece)
