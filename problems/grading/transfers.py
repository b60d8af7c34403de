"""How H(s) is read: a formula in s, with what its letters stand for where the answer says so.

``1/(1+sτ) with τ = RC``, ``H(p) = 1/(1+pRC)`` and ``(1/sC)/(R+1/sC) = 1/(1+sRC)`` are one answer
each; what is said to be the same has to be.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from ..analysis.transfer import TransferFunction
from ..formulas.read import Beside
from ..formulas.tree import Formula, FormulaError
from ..formulas.work import Work
from ..quantities.spelling import shown as quoted
from . import formulas
from .clauses import clauses_of
from .examples import example
from .formulas import ReadingCase
from .names import Named, named
from .reading import Reading, Unclear
from .said import bare

_CONSTANT = re.compile(r"[KkAGHg]_?[0oO∞]|[KkAGg]")
_ALSO_H = ("A", "G", "T", "F", "K", "g", "k")
"""What H(s) is called as well, where nothing else is."""


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
        symbols: list[tuple[str, str]] = []
        named_main = False
        for pieces in clauses:
            if len(pieces) > 1 and _names_h(pieces[0]):
                mains.append(pieces[1:])
                named_main = True
            elif len(pieces) > 1 and self.is_symbol(pieces[0]):
                symbols.append((pieces[0], pieces[-1]))
            elif len(pieces) > 1 and named(pieces[0]) is not None:
                raise Unclear(
                    "answer.other-name", name=quoted(pieces[0]), example=example(self.case)
                )
            else:
                mains.append(pieces)
        if not mains and len(symbols) == 1 and symbols[0][0] in _ALSO_H:
            mains, symbols = [symbols[0][1:]], []
        if not mains:
            raise Unclear(
                "answer.other-name", name=quoted(clauses[-1][0]), example=example(self.case)
            )
        for symbol, meaning in (*symbols, *symbols):  # one may be said by another, in any order
            self.define(symbol, meaning)
        *before, last = [piece for pieces in mains for piece in pieces]
        found = self.expression(last)
        if found.transfer is None:
            return found
        for piece in before:
            try:
                other = self.expression(piece)
            except Unclear:
                if named_main:
                    continue
                raise
            if other.transfer is None or found.transfer is None:
                continue
            off = formulas.deviation(other.transfer, found.transfer, self.work)
            if off > 1e-6:
                raise Unclear("answer.two-figures", one=other.shown, other=found.shown)
        return found

    def is_symbol(self, piece: str) -> bool:
        return (
            piece.isidentifier()
            and len(piece) <= 8
            and not _names_h(piece)
            and piece not in formulas.spellings(self.case.parts)
        )

    def define(self, symbol: str, text: str) -> None:
        try:
            formula = formulas.parsed(self.case, text, self.beside, self.work, self.defined)
        except FormulaError as error:
            if symbol in formulas.derived(self.case):
                raise Unclear(
                    "answer.with-example", trouble=error.wording, example=example(self.case)
                ) from None
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
                raise Unclear(
                    "answer.with-example", trouble=error.wording, example=example(case)
                ) from None
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
