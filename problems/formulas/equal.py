"""Whether two formulas are the same for all positive values of their letters.

Every formula is brought to a fraction N/D whose two parts lie in the ring

    Z[letters, π, s][j, √f1, √f2, …]

with f1, f2, … different irreducible polynomials or primes (each radicand is factored, the
squares come out).  The products of different subsets of j and the roots are linearly
independent over the rational functions (Kummer theory; e.g. Lang, "Algebra", 3rd ed.,
VI §8, citation from memory), so a value is zero exactly when each of its coefficients is,
and equality is *decided*, not sampled.  π is treated as a letter: it is transcendental.

Not every root can be taken apart so: roots of roots, of s, and of squares that may be
negative; and a product with too many terms is not multiplied out.  Such formulas are
compared in ball arithmetic at several exact points: "different" is then still a proof,
"the same" holds to some 300 bits at each.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from flint import Ordering, acb, arb, fmpq, fmpz, fmpz_mpoly, fmpz_mpoly_ctx

from ..algebra import precision
from .tree import Arithmetic, Formula, FormulaError, letters_of
from .work import TooMuchWorkError, Work

_MOST_EXACT = 5_000  # steps of the exact comparison; what is left serves the points
_MAX_BITS = 8_000
_MAX_DEGREE = 400
_MAX_RADICALS = 10
_J = 1  # the mask of j

_Ring = dict[int, fmpz_mpoly]
"""A sum of coefficient · (product of the radicals in the mask); no zero coefficient."""


class _OutOfReachError(Exception):
    """A root that the exact comparison does not take apart, or too many terms."""


class _Value(NamedTuple):
    top: _Ring
    bottom: _Ring


def same(a: Formula, b: Formula, work: Work | None = None) -> bool:
    """Whether the formulas ``a`` and ``b`` are equal for all positive values of their letters.

    Exact for rational functions and for roots of rational functions without s; see the
    module's docstring for the rest.  The steps taken are counted on ``work``.

    Raises:
        FormulaError: one of them divides by zero whatever the values, or is too large.
        TooMuchWorkError: it asks for more work than is left.
    """
    work, exact = work or Work(), Work(_MOST_EXACT)
    field = _Field(letters_of(a) | letters_of(b), exact)
    try:
        x, y = field.arithmetic.value(a), field.arithmetic.value(b)
        found = not field.subtract(field.times(x.top, y.bottom), field.times(y.top, x.bottom))
    except (_OutOfReachError, TooMuchWorkError):
        work.spend(min(exact.spent, _MOST_EXACT))
        return _same_at_points(a, b, work)
    work.spend(exact.spent)
    return found


class _Field:
    def __init__(self, letters: Iterable[str], work: Work) -> None:
        self.names = sorted((set(letters) | {"s"}) - {"j", "ω"})
        self.ctx = fmpz_mpoly_ctx.get(
            tuple(f"x{i}" for i in range(len(self.names))), Ordering.degrevlex
        )
        self.gens = dict(zip(self.names, self.ctx.gens(), strict=True))
        self.s_index = self.names.index("s")
        self.one: _Ring = {0: self.ctx.constant(1)}
        self.radicands: list[fmpz_mpoly] = [self.ctx.constant(-1)]
        self.work = work
        self.arithmetic: Arithmetic[_Value] = Arithmetic(
            number=self.number,
            letter=self.letter,
            root=self.root,
            minus=self.minus,
            plus=self.add,
            times=self.product,
            over=self.quotient,
            power=self.power,
        )
        work.spend(50)

    # --- the ring -----------------------------------------------------------------

    def times(self, a: _Ring, b: _Ring) -> _Ring:
        out: _Ring = {}
        for m, p in a.items():
            for n, q in b.items():
                product = self.multiply(p, q)
                for bit, radicand in enumerate(self.radicands):
                    if m & n & (1 << bit):
                        product = self.multiply(product, radicand)
                key = m ^ n
                out[key] = out[key] + product if key in out else product
        return {k: p for k, p in out.items() if not p.is_zero()}

    def multiply(self, p: fmpz_mpoly, q: fmpz_mpoly) -> fmpz_mpoly:
        bits = _height(p) + _height(q)
        self.work.spend(3 + len(p) * len(q) * (1 + bits // 256) // 16)
        if bits > _MAX_BITS or p.total_degree() + q.total_degree() > _MAX_DEGREE:
            raise _OutOfReachError
        return p * q

    @staticmethod
    def plus(a: _Ring, b: _Ring) -> _Ring:
        out = dict(a)
        for k, p in b.items():
            out[k] = out[k] + p if k in out else p
        return {k: p for k, p in out.items() if not p.is_zero()}

    def subtract(self, a: _Ring, b: _Ring) -> _Ring:
        return self.plus(a, {k: -p for k, p in b.items()})

    def equal(self, a: _Ring, b: _Ring) -> bool:
        return a.keys() == b.keys() and all(p == b[k] for k, p in a.items())

    # --- fractions ----------------------------------------------------------------

    def number(self, x: Fraction) -> _Value:
        top = {0: self.ctx.constant(x.numerator)} if x else {}
        return _Value(top, {0: self.ctx.constant(x.denominator)})

    def letter(self, name: str) -> _Value:
        if name == "j":
            return _Value({_J: self.ctx.constant(1)}, self.one)
        if name == "ω":  # s = jω
            return _Value({_J: -self.gens["s"]}, self.one)
        return _Value({0: self.gens[name]}, self.one)

    @staticmethod
    def minus(a: _Value) -> _Value:
        return _Value({k: -p for k, p in a.top.items()}, a.bottom)

    def add(self, a: _Value, b: _Value) -> _Value:
        if self.equal(a.bottom, b.bottom):
            return _Value(self.plus(a.top, b.top), a.bottom)
        top = self.plus(self.times(a.top, b.bottom), self.times(b.top, a.bottom))
        return _Value(top, self.times(a.bottom, b.bottom))

    def product(self, a: _Value, b: _Value) -> _Value:
        return _Value(self.times(a.top, b.top), self.times(a.bottom, b.bottom))

    def inverse(self, a: _Value) -> _Value:
        if not a.top:
            raise FormulaError("formula.by-zero")
        return _Value(a.bottom, a.top)

    def quotient(self, a: _Value, b: _Value) -> _Value:
        return self.product(a, self.inverse(b))

    def power(self, a: _Value, n: int) -> _Value:
        if n < 0:
            a, n = self.inverse(a), -n
        result = _Value(self.one, self.one)
        while n:
            if n & 1:
                result = self.product(result, a)
            n >>= 1
            if n:
                a = self.product(a, a)
        return result

    # --- roots --------------------------------------------------------------------

    def root(self, a: _Value) -> _Value:
        if not a.top:
            return a
        top, bottom = a
        if len(bottom) == 1 and 0 not in bottom:  # one radical product below: rationalise
            rooted = {next(iter(bottom)): self.ctx.constant(1)}
            top, bottom = self.times(top, rooted), self.times(bottom, rooted)
        if set(top) != {0} or set(bottom) != {0}:
            raise _OutOfReachError
        up, down = top[0], bottom[0]
        if up.degrees()[self.s_index] or down.degrees()[self.s_index]:
            raise _OutOfReachError
        powers, sign = self.factored(up, down)
        mask = 0
        above, below = self.one, self.one
        loose: fmpz_mpoly | None = None
        for f, e in powers:
            if not _positive(f):
                if e != 1 or loose is not None:
                    raise _OutOfReachError
                loose = f
                continue
            half, odd = divmod(e, 2)  # for a negative e the odd root lands above: √f/f
            step: _Ring = {0: f}
            for _ in range(abs(half)):
                if half > 0:
                    above = self.times(above, step)
                else:
                    below = self.times(below, step)
            if odd:
                mask ^= 1 << self.radical(f)
        if loose is not None:
            mask ^= 1 << self.radical(loose * sign)
        elif sign < 0:
            mask ^= _J
        return _Value(self.times(above, {mask: self.ctx.constant(1)}), below)

    def factored(
        self, up: fmpz_mpoly, down: fmpz_mpoly
    ) -> tuple[list[tuple[fmpz_mpoly, int]], int]:
        """up/down as powers of irreducibles and a sign; positive ones with positive terms."""
        sign = 1
        found: list[tuple[fmpz_mpoly, int]] = []

        def note(f: fmpz_mpoly, e: int) -> None:
            for i, (g, n) in enumerate(found):
                if f == g:
                    found[i] = (g, n + e)
                    return
            found.append((f, e))

        for p, direction in ((up, 1), (down, -1)):
            if len(p) > 40 or p.total_degree() > 24 or _height(p) > 512:
                raise _OutOfReachError
            self.work.spend(100)
            content, primitive = p.primitive()
            try:
                unit, factors = primitive.factor()
            except OverflowError as error:  # flint cannot sort factors with huge coefficients
                raise _OutOfReachError from error
            if unit * content < 0:
                sign = -sign
            for prime, e in _primes(abs(int(unit * content))):
                note(self.ctx.constant(prime), e * direction)
            for f, e in factors:
                if all(c < 0 for c in f.coeffs()):
                    f, sign = -f, sign * (-1) ** int(e)
                note(f, int(e) * direction)
        return [(f, e) for f, e in found if e], sign

    def radical(self, f: fmpz_mpoly) -> int:
        """The index of √f, adjoined when new."""
        for i, known in enumerate(self.radicands):
            if known == f:
                return i
            if i and known == -f:  # √f and √−f: which of them is real is not known
                raise _OutOfReachError
        if len(self.radicands) > _MAX_RADICALS:
            raise _OutOfReachError
        self.radicands.append(f)
        return len(self.radicands) - 1


def _positive(f: fmpz_mpoly) -> bool:
    return all(c > 0 for c in f.coeffs())


def _height(p: fmpz_mpoly) -> int:
    return max((int(c).bit_length() for c in p.coeffs()), default=0)


def _primes(n: int) -> list[tuple[int, int]]:
    """Prime factors; a number with a large unfactored rest is out of reach."""
    found: list[tuple[int, int]] = []
    for p in (2, 3, 5, 7, 11, 13):
        e = 0
        while n % p == 0:
            n //= p
            e += 1
        if e:
            found.append((p, e))
    if n.bit_length() > 64:
        raise _OutOfReachError
    if n > 1:
        found += [(int(p), int(e)) for p, e in fmpz(n).factor()]
    return found


# --- where the exact comparison does not reach -----------------------------------------

_BITS = 320
_POINTS = 6


def _same_at_points(a: Formula, b: Formula, work: Work) -> bool:
    names = sorted((letters_of(a) | letters_of(b)) - {"j", "ω", "pi"} | {"s"})
    compared = 0
    with precision(_BITS):
        for trial in range(2 * _POINTS):
            values = {"pi": acb(arb.pi()), "j": acb(0, 1)}
            for i, name in enumerate(names):
                # Unrelated rationals between about 0.1 and 10, different at every trial.
                n = 1_000_003 * (trial + 1) + 7_919 * (i + 1) ** 2
                values[name] = acb(arb(fmpq(n % 991 + 10, n % 97 + 89)))
            values["s"] = values["s"] + acb(0, 1) * arb(fmpq(trial + 2, 7))
            values["ω"] = values["s"] / values["j"]
            balls: Arithmetic[acb] = Arithmetic(
                number=lambda x: acb(arb(fmpq(x.numerator, x.denominator))),
                letter=values.__getitem__,
                root=acb.sqrt,
                work=work,
            )
            x, y = balls.value(a), balls.value(b)
            if not all(
                v.is_finite() and v.rel_accuracy_bits() > _BITS // 2 for v in (x, y) if v != 0
            ):
                continue
            difference = x - y
            if not difference.contains(acb(0)):
                return False
            compared += 1
            if compared == _POINTS:
                return True
    if compared:
        return True
    raise FormulaError("formula.not-compared")
