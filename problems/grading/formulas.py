"""Typed formulas as answers: for a figure, and for H(s).

A figure's formula is *lettered* when it names elements and holds no numbers but small
integers; it is then compared exactly, as letters.  Any other is taken by its value.  H(s)
in letters is compared exactly; with numbers, coefficient by coefficient.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from flint import fmpq_poly

from ..algebra import square_root
from ..analysis.letters import figures, formulas
from ..analysis.response import TWO_PI, Facts
from ..analysis.transfer import TransferFunction, to_flint
from ..circuits.model import CircuitError, Element, Kind
from ..formulas.equal import same
from ..formulas.evaluate import evaluate
from ..formulas.layout import echo
from ..formulas.read import Beside, parse
from ..formulas.tree import (
    Arithmetic,
    Formula,
    FormulaError,
    Letter,
    Minus,
    Number,
    Product,
    Quotient,
    SquareRoot,
    letters_of,
    nodes,
    substituted,
)
from ..formulas.work import Work
from ..quantities.units import Quantity
from ..questions.analyse import pass_band_gain
from ..questions.kinds import VALUES
from ..questions.kinds import kind as kind_of
from ..questions.model import Form, Posed, Rung
from ..slips.case import Case

_SMALL = 16
_MAX_DEGREE = 48
_MAX_BITS = 8_000
_ALIKE = 1e-9
_TWO_PI_FORMULA = Product((Number(Fraction(2)), Letter("pi")))


@dataclass(frozen=True)
class ReadingCase:
    """A question, and what an answer to it may name: as much as reading needs.

    ``parts`` are the elements, with their values as far as they are known; ``facts`` those of
    the circuit, ``None`` where they are not known (on a sheet that leaves something out).
    ``checks`` says that a step of a derivation is checked: it may name any figure.
    """

    question: Posed
    parts: tuple[Element, ...] = ()
    facts: Facts | None = None
    checks: bool = False

    @property
    def rung(self) -> Rung:
        """The kind of question."""
        return self.question.rung


def spellings(parts: Iterable[Element]) -> dict[str, str]:
    """Accepted spelling → element name; R, L and C stand for the only one of their kind."""
    elements = tuple(parts)
    names = {e.name: e.name for e in elements}
    for kind in Kind:
        of_kind = [e.name for e in elements if e.kind is kind]
        if len(of_kind) == 1:
            names.setdefault(kind.value, of_kind[0])
    return names


_BUILT_ON = {
    Rung.Q: ("f0", "ω0"),
    Rung.BANDWIDTH: ("f0", "ω0", "Q"),
    Rung.LOWER_EDGE: ("f0", "ω0", "Q", "B"),
    Rung.UPPER_EDGE: ("f0", "ω0", "Q", "B"),
}
"""Figures asked for earlier in a climb, which a later figure may be built on."""


def derived(case: ReadingCase) -> dict[str, float | None]:
    """Figures that an answer may be built on; ``None`` for the value of one not known."""
    if case.rung in VALUES:
        return {**_wanted(case)}
    if case.question.form is Form.FORMULA:
        return {**_standard(case)}
    names = _BUILT_ON.get(case.rung, ())
    if case.checks:
        names = ("f0", "ω0", "Q", "B", "ζ")
    if case.facts is None:
        return dict.fromkeys(names)
    f0, q = case.facts.corner_hz, case.facts.q
    b = case.facts.bandwidth_hz if "B" in names else None
    known = {
        "f0": f0,
        "ω0": f0 and f0 * TWO_PI,
        "Q": q,
        "B": b,
        "ζ": q and 1 / (2 * q),
    }
    return {name: known[name] for name in names if known[name]}


def _standard(case: ReadingCase) -> dict[str, float]:
    """The letters of the standard forms of H(s), as far as the circuit has them."""
    if case.facts is None or case.facts.corner_hz is None:
        return {}
    corner = case.facts.corner_hz * TWO_PI
    if one_pole(case):
        return {"ω0": corner, "τ": 1 / corner}
    q = case.facts.q
    gain = pass_band_gain(case.facts) if case.rung is Rung.STANDARD_FORM else None
    return {
        "ω0": corner,
        **({"Q": q, "ζ": 1 / (2 * q)} if q else {}),
        **({"K": float(gain)} if gain else {}),
    }


def one_pole(case: ReadingCase) -> bool:
    """Whether the circuit is known to have one pole."""
    return case.facts is not None and case.facts.transfer.order == 1


def _wanted(case: ReadingCase) -> dict[str, float]:
    """The figures wanted of a circuit, from which the value of an element is to follow."""
    known: dict[str, float] = {}
    for key, found in case.question.values:
        if not isinstance(found, Quantity):
            continue
        if key == "q":
            known["Q"] = float(found.value)
        else:
            hertz = float(found.value)
            known[key], known[f"ω{key[1]}"] = hertz, hertz * TWO_PI
    return known


def unknown(case: ReadingCase) -> frozenset[str]:
    """Elements whose values are not to be had: a formula that names one is no answer."""
    if case.rung not in VALUES:
        return frozenset()
    named = dict(case.question.values)
    return frozenset(str(named[key]) for key in ("element", "other") if key in named)


_ALSO = {
    "f0": ("fo", "fc", "fr"),
    "ω0": ("ωc", "wc", "ωr", "wr"),
    "B": ("BW",),
    "ζ": ("zeta", "D", "d"),
}
# In H(s) ωr and wc are ω·R and ω·C.
_ALSO_IN_S = {"ω0": ("ωn", "wn"), "τ": ("tau", "T"), "ζ": ("zeta",),
              "K": ("k", "K0", "A", "A0", "H0", "G", "G0")}  # fmt: skip
_CORNERS_IN_S = {"ω0": ("ωc", "wc", "ωr", "wr"), "f0": ("fc", "fr", "fo")}


def parsed(
    case: ReadingCase,
    text: str,
    beside: Beside = Beside.TIGHT,
    work: Work | None = None,
    defined: Mapping[str, Formula] | None = None,
    *,
    corners: bool = False,
) -> Formula:
    """The formula that was typed as ``text``, in the letters of ``case``.

    ``beside`` and ``work`` are as for the parser.  ``defined`` are letters that the answer itself
    says the meaning of; they come before any other of the same name.  With ``corners`` fc and ωc
    are corners in H(s) too, and not f·C and ω·C.

    Raises:
        FormulaError: it cannot be read.
        TooMuchWorkError: it asks for more work than is left.
    """
    hidden = unknown(case)
    meant = {**shorthands(case), **(defined or {})}
    letters = {k: name for k, name in spellings(case.parts).items() if name not in hidden}
    in_s = case.question.form is Form.FORMULA
    also = _ALSO_IN_S if in_s else _ALSO
    for name in derived(case):
        for alias in (name, *also.get(name, ())):
            letters.setdefault(alias, name)
    letters |= {name: name for name in meant}
    if corners:
        for name, others in _CORNERS_IN_S.items():
            letters |= dict.fromkeys(others, name)
    reads = _in_s if in_s else parse
    formula = reads(text, letters, beside, work)
    if meant.keys() & letters_of(formula):
        formula = substituted(formula, lambda name: meant.get(name, Letter(name)))
    return formula


def _in_s(text: str, letters: dict[str, str], beside: Beside, work: Work | None) -> Formula:
    """H(s), or H(p): p is the letter of many books, but pico where there is an s."""
    try:
        formula = parse(text, letters, beside, work)
        if letters_of(formula) & {"s", "ω", "j"} or "p" not in text:
            return formula
    except FormulaError:
        if "p" not in text:
            raise
    try:
        return parse(text, {**letters, "p": "s"}, beside, work)
    except FormulaError:
        return parse(text, letters, beside, work)


def plain_formula(text: str) -> Formula:
    """A formula of numbers alone.

    Raises:
        FormulaError: it is none.
    """
    return parse(text, ())


def shorthands(case: ReadingCase) -> dict[str, Formula]:
    """Usual letters for what is made of the circuit's own: XL = ωL, XC = 1/(ωC), Z0 = √(L/C).

    In H(s) the reactances are those at any ω; in a figure that is built on ω0, those at ω0.
    """
    found: dict[str, Formula] = {}
    coils = [e.name for e in case.parts if e.kind is Kind.L]
    capacitors = [e.name for e in case.parts if e.kind is Kind.C]
    names = derived(case)
    in_s = case.question.form is Form.FORMULA
    omega = "ω" if in_s else "ω0" if "ω0" in names else ""
    if omega:
        for name in coils:
            found[f"X{name}"] = Product((Letter(omega), Letter(name)))
        for name in capacitors:
            found[f"X{name}"] = Quotient(
                Number(Fraction(1)), Product((Letter(omega), Letter(name)))
            )
        for sign, of_kind in (("XL", coils), ("XC", capacitors)):
            if len(of_kind) == 1:
                found.setdefault(sign, found[f"X{of_kind[0]}"])
    if len(coils) == len(capacitors) == 1 and case.rung not in VALUES:
        found["Z0"] = SquareRoot(Quotient(Letter(coils[0]), Letter(capacitors[0])))
    if in_s and "ω0" in names:
        found["f"] = Quotient(Letter("ω"), _TWO_PI_FORMULA)
        found["f0"] = Quotient(Letter("ω0"), _TWO_PI_FORMULA)
    return found


def is_plain_number(formula: Formula) -> bool:
    """Whether it is only a number with its sign: no formula at all."""
    match formula:
        case Number():
            return True
        case Minus(x):
            return is_plain_number(x)
    return False


def lettered(formula: Formula) -> bool:
    """Whether it names letters and holds no numbers but small integers."""
    return bool(letters_of(formula) - {"s", "j", "pi", "ω"}) and _numbers_are_small(formula)


def _numbers_are_small(formula: Formula) -> bool:
    numbers = (node.value for node in nodes(formula) if isinstance(node, Number))
    return all(value.denominator == 1 and value <= _SMALL for value in numbers)


def value(case: ReadingCase, formula: Formula) -> float | None:
    """The value of a figure's ``formula``; ``None`` where it names what has no value yet.

    ``case`` has the circuit's values and the figures asked for earlier.

    Raises:
        FormulaError: there is none, or it is not real.
    """
    known = {**derived(case), **{e.name: e.value for e in case.parts}}
    used = letters_of(formula)
    if any(name in used for name, found in known.items() if found is None):
        return None
    values: dict[str, float | complex] = {
        name: float(found) for name, found in known.items() if found is not None
    }
    result = evaluate(formula, values)
    if abs(result.imag) > 1e-9 * abs(result):
        raise FormulaError("formula.not-real")
    return result.real


def settled(case: Case, formula: Formula, unit: str, work: Work) -> bool | None:
    """Whether a lettered formula is the right one; ``None`` where only its value can tell.

    Args:
        case: the question and its circuit.
        formula: what was typed.
        unit: the unit it was typed in.
        work: where the steps are counted.

    Raises:
        TooMuchWorkError: it asks for more work than is left.
    """
    name = kind_of(case.rung).formula
    if not name or letters_of(formula) & {*_BUILT_ON.get(case.rung, ())}:
        return None
    try:
        if formulas(case.ladder).cancelled:
            return None
        truth = figures(case.ladder).get(name)
        if truth is None:
            return None
        if unit == "rad/s":
            formula = Quotient(formula, _TWO_PI_FORMULA)
        return same(formula, truth, work)
    except (CircuitError, FormulaError):
        return None


# -------------------------------------------------------------------------- H(s)


class NotRationalError(FormulaError):
    """A formula that is no ratio of polynomials in s with real coefficients."""


@dataclass(frozen=True)
class _Gauss:
    """A polynomial in s with complex rational coefficients."""

    re: fmpq_poly
    im: fmpq_poly

    def __add__(self, other: _Gauss) -> _Gauss:
        return _Gauss(self.re + other.re, self.im + other.im)

    def times(self, other: _Gauss, work: Work) -> _Gauss:
        """The product."""
        if self.im.is_zero() and other.im.is_zero():
            return _checked(_product(self.re, other.re, work), self.im)
        return _checked(
            _product(self.re, other.re, work) - _product(self.im, other.im, work),
            _product(self.re, other.im, work) + _product(self.im, other.re, work),
        )

    def is_zero(self) -> bool:
        return bool(self.re.is_zero() and self.im.is_zero())


def _product(a: fmpq_poly, b: fmpq_poly, work: Work) -> fmpq_poly:
    terms, words = len(a) + len(b), _words(a) + _words(b)
    work.spend(2 + terms * words // 4 + words * words // 200)
    return a * b


def _words(p: fmpq_poly) -> int:
    """The length of the longest coefficient and of the denominator, in words of 64 bits."""
    return int(p.numer().height_bits() + p.denom().height_bits()) // 64 + 1


def _checked(re: fmpq_poly, im: fmpq_poly) -> _Gauss:
    for p in (re, im):
        if p.degree() > _MAX_DEGREE or _words(p) > _MAX_BITS // 64:
            raise NotRationalError("formula.not-worked-out")
    return _Gauss(re, im)


_NONE = fmpq_poly([])
_ONE = _Gauss(fmpq_poly([1]), _NONE)

_Ratio = tuple[_Gauss, _Gauss]


def _constant(x: Fraction) -> _Ratio:
    return _Gauss(fmpq_poly([to_flint(x)]), _NONE), _ONE


def standard(formula: Formula) -> bool:
    """Whether a formula for H(s) has letters of a standard form, which have values alone."""
    return bool(letters_of(formula) & {"ω0", "Q", "τ", "ζ", "K"})


def transfer_of(
    formula: Formula,
    parts: Iterable[Element],
    work: Work,
    known: Mapping[str, float] | None = None,
) -> TransferFunction:
    """The transfer function that ``formula`` is with the values of the elements ``parts``.

    ``work`` counts the steps.  ``known`` are values of further letters.

    Raises:
        FormulaError: it is no ratio of real polynomials in s, divides by zero, or is zero.
        TooMuchWorkError: it asks for more work than is left.
    """
    values = {e.name: e.value for e in parts if e.value is not None}
    values |= {name: Fraction(value) for name, value in (known or {}).items()}
    top, bottom = _Ratios(values, work).of(formula)
    if bottom.is_zero():
        raise FormulaError("formula.by-zero")
    # Multiply by the conjugate of the denominator: what is left of j must then vanish.
    if not bottom.im.is_zero():
        conjugate = _Gauss(bottom.re, -bottom.im)
        top, bottom = top.times(conjugate, work), bottom.times(conjugate, work)
    if not top.im.is_zero() or not bottom.im.is_zero():
        raise NotRationalError("formula.j-and-omega")
    for p in (top.re, bottom.re):  # a common factor is looked for
        work.spend(20 + len(p) * _words(p) * (160 + _words(p)) // 80)
    try:
        return TransferFunction.of(top.re, bottom.re)
    except CircuitError:
        raise FormulaError("formula.zero") from None


class _Ratios:
    """Formulas as ratios of polynomials, with the values of a circuit."""

    def __init__(self, values: dict[str, Fraction], work: Work) -> None:
        self._values, self._work = values, work

    def of(self, formula: Formula) -> _Ratio:
        arithmetic: Arithmetic[_Ratio] = Arithmetic(
            number=_constant,
            letter=self._letter,
            root=_root,
            minus=_negative,
            plus=self._add,
            times=self._times,
            over=lambda a, b: self._times(a, _inverse(b)),
            power=self._power,
            work=self._work,
        )
        return arithmetic.value(formula)

    def _letter(self, name: str) -> _Ratio:
        match name:
            case "s":
                return _Gauss(fmpq_poly([0, 1]), _NONE), _ONE
            case "j":
                return _Gauss(_NONE, fmpq_poly([1])), _ONE
            case "ω":  # s = jω, so ω = −js
                return _Gauss(_NONE, fmpq_poly([0, -1])), _ONE
            case "pi":
                return _constant(Fraction(TWO_PI / 2))
            case _ if name in self._values:
                return _constant(self._values[name])
        raise FormulaError("formula.no-value", name=name)

    def _add(self, a: _Ratio, b: _Ratio) -> _Ratio:
        if a[1] == b[1]:
            return a[0] + b[0], a[1]
        work = self._work
        return a[0].times(b[1], work) + b[0].times(a[1], work), a[1].times(b[1], work)

    def _times(self, a: _Ratio, b: _Ratio) -> _Ratio:
        return a[0].times(b[0], self._work), a[1].times(b[1], self._work)

    def _power(self, a: _Ratio, n: int) -> _Ratio:
        a = a if n >= 0 else _inverse(a)
        result: _Ratio = (_ONE, _ONE)
        for _ in range(abs(n)):
            result = self._times(result, a)
        return result


def _negative(a: _Ratio) -> _Ratio:
    return _Gauss(-a[0].re, -a[0].im), a[1]


def _inverse(a: _Ratio) -> _Ratio:
    if a[0].is_zero():
        raise FormulaError("formula.by-zero")
    return a[1], a[0]


def _root(a: _Ratio) -> _Ratio:
    top, bottom = a
    if any(not p.im.is_zero() or p.re.degree() > 0 for p in a) or top.is_zero():
        raise NotRationalError("formula.root-of-s")
    x = Fraction(int(top.re[0].p), int(top.re[0].q)) / Fraction(
        int(bottom.re[0].p), int(bottom.re[0].q)
    )
    if x < 0:
        raise NotRationalError("formula.root-of-negative")
    try:
        root = Fraction(square_root(x))
    except OverflowError:
        root = Fraction(0)
    if not root:
        raise NotRationalError("formula.root-out-of-reach")
    return _constant(root)


def settled_transfer(
    typed: TransferFunction, formula: Formula, known: Facts, truth: Formula, work: Work
) -> bool | None:
    """Whether a lettered H(s) is the right one; ``None`` where its coefficients must tell.

    Args:
        typed: what the formula is with the circuit's values.
        formula: the formula.
        known: the facts of the circuit.
        truth: the right one.
        work: what the comparison is counted on.

    Raises:
        TooMuchWorkError: it asks for more work than is left.
    """
    # Equal letters give equal values, and unequal values come much cheaper than letters.  The
    # value of a root is not exact.
    if typed != known.transfer and deviation(typed, known.transfer, work) > _ALIKE:
        return False
    try:
        return same(formula, truth, work)
    except FormulaError:
        return None


def deviation(typed: TransferFunction, other: TransferFunction, work: Work) -> float:
    """The largest relative difference of like coefficients; infinite where one has none.

    ``typed`` and ``other`` are both scaled to a denominator whose last coefficient that is not
    zero is 1; ``work`` counts the steps.

    Raises:
        TooMuchWorkError: it asks for more work than is left.
    """
    a, b = typed, other
    if (len(a.numerator), len(a.denominator)) != (len(b.numerator), len(b.denominator)):
        return float("inf")
    worst = 0.0
    scale_a, scale_b = (to_flint(_last(t.denominator)) for t in (a, b))
    for x, y in zip(a.numerator + a.denominator, b.numerator + b.denominator, strict=True):
        if bool(x) != bool(y):
            return float("inf")
        if y:
            work.spend(10 + (x.numerator.bit_length() + x.denominator.bit_length()) // 64)
            off = to_flint(x) * scale_b / (scale_a * to_flint(y)) - 1
            try:
                worst = max(worst, abs(int(off.p) / int(off.q)))
            except OverflowError:  # beyond all floats
                return float("inf")
    return worst


def _last(coefficients: tuple[Fraction, ...]) -> Fraction:
    return next(c for c in reversed(coefficients) if c)


def shown(formula: Formula) -> str:
    """How a formula was read, on one line."""
    return echo(formula)
