"""Slips on the way back: a circuit taken for its look-alike, an arm, a value.

The values of elements follow from f0 = 1/(2π√(LC)), ω0 = 1/(RC) or R/L, and from
Q = √(L/C)/R or R·√(C/L): common practice, no source.  A slip solves for the element with its
mistake in place of the truth.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import partial

from ..analysis.design import for_corner, for_q, pair_of
from ..analysis.idle import hidden_elements
from ..analysis.response import TWO_PI, Facts, FilterType, facts
from ..circuits.altered import without, without_load, without_source
from ..circuits.model import CircuitError, Kind, Ladder
from ..quantities.units import Quantity
from ..questions.kinds import VALUES
from ..questions.lookalikes import idle_parts
from ..questions.model import Rung
from ..questions.reverse import of_choice
from ..questions.values import value_of
from .case import Case, Guess, Topic, instead, names_of

TOPIC = Topic("back to the circuit")

RANGE = (Rung.LEAST_VALUE, Rung.MOST_VALUE)

# ------------------------------------------------------------------------- which circuit

Test = Callable[[Facts, Facts], bool]


def _types(*pair: FilterType) -> Test:
    """Whether one circuit is of either type, and the other of the other."""
    return lambda shown, other: (
        shown.type_exact is not other.type_exact and {shown.type_exact, other.type_exact} == {*pair}
    )


def _slopes(found: Facts) -> tuple[int, int]:
    return found.slope_low, found.slope_high


def _alike(shown: Facts, other: Facts) -> bool:
    return shown.type_exact is other.type_exact and _slopes(shown) == _slopes(other)


_MISTAKEN: dict[str, Test] = {
    # DC and high frequency mixed up.
    "ends-exchanged": _types(FilterType.LOW_PASS, FilterType.HIGH_PASS),
    # A resonance that stops taken for one that passes, or the reverse.
    "peak-for-null": _types(FilterType.BAND_PASS, FilterType.NOTCH),
    # The right type with other slopes.
    "slopes-not-compared": lambda shown, other: (
        shown.type_exact is other.type_exact and not _alike(shown, other)
    ),
    # Type and slopes fit, the figures do not.
    "only-the-type": _alike,
    # One end of the response fits, the other was not looked at.
    "one-end-only": lambda shown, other: (
        ((shown.gain_low > 0) == (other.gain_low > 0))
        != ((shown.gain_high > 0) == (other.gain_high > 0))
    ),
}
"""By slip, which circuits are taken for the one shown: its facts, and theirs."""


def _offered(case: Case, *, test: Test) -> Iterator[Guess]:
    """The circuits to choose from that pass a test against the one shown."""
    for letter, choice in zip("abcd", case.question.choices, strict=False):
        known = None if choice.id == case.question.truth else of_choice(choice)
        if known is not None and test(case.facts, known):
            yield Guess(choice.id, (("chosen", letter),))


@TOPIC.slip("idle-part-counted", Rung.WHICH_CIRCUIT)
def idle_part_counted(case: Case) -> Iterator[Guess]:
    """A circuit in which a part does nothing where it lies."""
    if not hidden_elements(case.ladder) and not idle_parts(case.ladder):
        yield from _offered(case, test=lambda _, other: idle_parts(other.ladder))


for _id, _test in _MISTAKEN.items():
    TOPIC.slip(_id, Rung.WHICH_CIRCUIT)(partial(_offered, test=_test))


def _both_ways(*pairs: tuple[str, str]) -> dict[str, str]:
    return {**dict(pairs), **{b: a for a, b in pairs}}


_OTHER_END = _both_ways(
    ("passes-dc", "passes-high"),
    ("blocks-dc", "blocks-high"),
    ("steeper-high", "steeper-low"),
    ("flatter-high", "flatter-low"),
)
_REVERSE = _both_ways(
    ("passes-dc", "blocks-dc"),
    ("passes-high", "blocks-high"),
    ("null", "no-null"),
    ("steeper-high", "flatter-high"),
    ("steeper-low", "flatter-low"),
    ("corner-above", "corner-below"),
    ("q-above", "q-below"),
    ("gain-above", "gain-below"),
)


def _elsewhere(case: Case) -> tuple[str, ...]:
    truth = str(case.question.truth)
    near = (truth, _OTHER_END.get(truth), _REVERSE.get(truth))
    return tuple(choice.id for choice in case.question.choices if choice.id not in near)


# The difference is there, at the other end.
TOPIC.answer("wrong-end-blamed", Rung.LOOKALIKE_REASON, by=instead(_OTHER_END))
# What the one shown does, said of the other.
TOPIC.answer("circuits-exchanged", Rung.LOOKALIKE_REASON, by=instead(_REVERSE))
# A difference that is not there, at either end and either way round.
TOPIC.answer("no-such-difference", Rung.LOOKALIKE_REASON, by=_elsewhere)


# ------------------------------------------------------------------------- the missing arm

_SINGLE = ("inductor", "capacitor")
_PAIRS = ("in-series", "in-parallel")


_ARMS = {
    "l-for-c": (_SINGLE, _SINGLE),
    "pair-joined-wrongly": (_PAIRS, _PAIRS),
    "one-end-stopped": (_PAIRS, _SINGLE),  # one reactive element where a resonance is wanted
    "resonance-unwanted": (("resistor", *_SINGLE), _PAIRS),
    "resistor-for-reactive": ((*_SINGLE, *_PAIRS), ("resistor",)),
    "reactive-for-resistor": (("resistor",), _SINGLE),
}
"""By slip, the arms that are wanted, and those that are chosen in their place."""


def _arms(case: Case, *, wanted: tuple[str, ...], chosen: tuple[str, ...]) -> Iterator[Guess]:
    if case.question.truth in wanted:
        yield from (Guess(kind) for kind in chosen if kind != case.question.truth)


for _id, (_wants, _chosen) in _ARMS.items():
    TOPIC.slip(_id, Rung.MISSING_ARM)(partial(_arms, wanted=_wants, chosen=_chosen))


# ------------------------------------------------------------------------- values


def _name(case: Case) -> str:
    return value_of(case.question.values, "element", str)


def _wanted(case: Case, key: str) -> Fraction | None:
    found = dict(case.question.values).get(key)
    return found.value if isinstance(found, Quantity) else None


def _solve(
    case: Case,
    *,
    ladder: Ladder | None = None,
    omega: Callable[[float], float] = lambda w: w,
    q: Callable[[float], float] = lambda x: x,
) -> float | None:
    """The element's value with something mistaken: the circuit, ω, or Q."""
    circuit, name, asked = ladder or case.ladder, _name(case), case.question.asked
    try:
        if asked == "q":
            wanted = _wanted(case, "q")
            assert wanted is not None
            found = for_q(circuit, name, Fraction(q(float(wanted))).limit_denominator(10**9))
            return found[0] if len(found) == 1 else None
        if asked == "both":
            pair, f0, wanted = pair_of(circuit), _wanted(case, "f0"), _wanted(case, "q")
            if pair is None or f0 is None or wanted is None:
                return None
            w, figure = omega(TWO_PI * float(f0)), q(float(wanted))
            if name == pair.inductor.name:
                return pair.inductance(w, figure)
            return pair.capacitance(w, figure)
        if asked == "corner":
            f0 = _wanted(case, "f0")
            assert f0 is not None
            return for_corner(circuit, name, omega(TWO_PI * float(f0)))
        ends = [
            for_corner(circuit, name, omega(TWO_PI * float(f)))
            for f in (_wanted(case, "f1"), _wanted(case, "f2"))
            if f is not None
        ]
    except (CircuitError, LookupError):
        return None
    known = [x for x in ends if x is not None]
    if len(known) != 2:
        return None
    return min(known) if case.rung is Rung.LEAST_VALUE else max(known)


def _guess(case: Case, x: float | None, *, near: bool = False, **values: str) -> Iterator[Guess]:
    """The guess, unless the mistake makes no difference here."""
    if x is not None and 0 < x < math.inf and abs(x - case.truth) > 1e-9 * case.truth:
        yield Guess(x, tuple(values.items()), near)


def _is_square(case: Case) -> bool:
    """Whether ω0² stands in the equation: two poles, and a frequency is wanted."""
    return case.order == 2 and case.question.asked != "q"


@TOPIC.slip("frequency-for-omega", *VALUES)
def frequency_for_omega(case: Case) -> Iterator[Guess]:
    """f0 in Hz put where ω0 belongs."""
    yield from _guess(case, _solve(case, omega=lambda w: w / TWO_PI))


@TOPIC.slip("two-pi-not-squared", *VALUES)
def two_pi_not_squared(case: Case) -> Iterator[Guess]:
    """2π·f² for (2π·f)²."""
    if _is_square(case) and case.question.asked != "both":
        yield from _guess(case, _solve(case, omega=lambda w: w / math.sqrt(TWO_PI)))


@TOPIC.slip("root-not-undone", *VALUES)
def root_not_undone(case: Case) -> Iterator[Guess]:
    """ω0 for ω0²: the root over L·C was forgotten when solving for the element."""
    if _is_square(case) and case.question.asked != "both":
        yield from _guess(case, _solve(case, omega=math.sqrt))


# One prefix too many or too few, or two.
prefix_lost = TOPIC.answer(
    "prefix-lost", *VALUES, by=lambda c: tuple(c.truth * k for k in (1e3, 1e-3, 1e6, 1e-6))
)


@TOPIC.slip("load-ignored", *VALUES)
def load_ignored(case: Case) -> Iterator[Guess]:
    """The output taken to be open."""
    yield from _without(case, without_load(case.ladder))


@TOPIC.slip("source-ignored", *VALUES)
def source_ignored(case: Case) -> Iterator[Guess]:
    """The source taken to be ideal."""
    yield from _without(case, without_source(case.ladder))


def _without(case: Case, ladder: Ladder | None) -> Iterator[Guess]:
    """What comes of a circuit with something left out, if it still has a corner like this."""
    name = _name(case)
    if ladder is None or all(e.name != name for e in ladder.elements()):
        return
    try:
        known = facts(ladder)
    except CircuitError:
        return
    if known.transfer.order == case.order and known.type_exact is case.facts.type_exact:
        yield from _guess(case, _solve(case, ladder=ladder))


@TOPIC.slip("companion-ignored", *VALUES)
def companion_ignored(case: Case) -> Iterator[Guess]:
    """The total of like elements given for one of them."""
    name = _name(case)
    for part in case.ladder.elements():
        ends = (case.ladder.source, case.ladder.load)
        if part.kind is not Kind(name[0]) or part.name == name or part in ends:
            continue
        left = without(case.ladder, part.name)
        if left is None:
            continue
        for guess in _without(case, left):
            yield replace(guess, values=(("companion", part.name),))


@TOPIC.slip("other-extreme", *RANGE)
def other_extreme(case: Case) -> Iterator[Guess]:
    """The least value for the greatest, and the reverse."""
    yield from _guess(case, _other(case))


def _other(case: Case) -> float | None:
    """The other end of the range."""
    rung = Rung.MOST_VALUE if case.rung is Rung.LEAST_VALUE else Rung.LEAST_VALUE
    return _solve(replace(case, question=replace(case.question, rung=rung)))


@TOPIC.slip("ratio-not-squared", *RANGE)
def ratio_not_squared(case: Case) -> Iterator[Guess]:
    """The ratio of the frequencies for its square: Cmax/Cmin = f2/f1."""
    other, low, high = _other(case), _wanted(case, "f1"), _wanted(case, "f2")
    if _is_square(case) and other and low and high:
        ratio = float(high / low)
        x = other / ratio if case.rung is Rung.LEAST_VALUE else other * ratio
        yield from _guess(case, x)


@TOPIC.slip("q-formula-exchanged", Rung.ELEMENT_VALUE)
def q_formula_exchanged(case: Case) -> Iterator[Guess]:
    """The Q of a parallel resonator for a series one, and the reverse."""
    pair = pair_of(case.ladder)
    if pair is not None:
        how = ("series", "parallel") if pair.series else ("parallel", "series")
        for guess in _guess(case, _solve(case, q=lambda x: 1 / x), near=True):
            yield replace(guess, values=(("true", how[0]), ("used", how[1])))


@TOPIC.slip("damping-for-q", Rung.ELEMENT_VALUE)
def damping_for_q(case: Case) -> Iterator[Guess]:
    """Q taken for twice, or half, what it is: ζ = 1/(2Q) mixed in."""
    for factor in 2.0, 0.5:
        yield from _guess(case, _solve(case, q=lambda x, k=factor: x * k))  # type: ignore[misc]


@TOPIC.slip("whole-resistance", Rung.ELEMENT_VALUE)
def whole_resistance(case: Case) -> Iterator[Guess]:
    """The whole damping resistance given for one of several that make it up."""
    name = _name(case)
    if not name.startswith("R") or len(case.resistors) < 2:
        return
    pair = pair_of(case.ladder)
    asked = case.question.asked
    others = names_of(e for e in case.resistors if e.name != name)
    if asked == "q" and pair is not None:
        w = case.facts.corner_hz
        wanted = _wanted(case, "q")
        assert w is not None and wanted is not None
        reactance = TWO_PI * w * float(pair.inductor.value or 0)
        whole = reactance / float(wanted) if pair.series else reactance * float(wanted)
        yield from _guess(case, whole, near=True, others=others)


@TOPIC.slip("rc-form-exchanged", Rung.ELEMENT_VALUE)
def rc_form_exchanged(case: Case) -> Iterator[Guess]:
    """ω0 = 1/(R·C) used on an inductor, R/L on a capacitor."""
    f0 = _wanted(case, "f0")
    reactive = case.ladder.reactive()
    if case.order != 1 or f0 is None or len(reactive) != 1:
        return
    w, (part,) = TWO_PI * float(f0), reactive
    if part.name == _name(case):
        resistance = case.truth * w if part.kind is Kind.L else 1 / (w * case.truth)
        wrong = 1 / (w * resistance) if part.kind is Kind.L else resistance / w
    elif len(case.resistors) == 1:
        assert part.value is not None
        reactance = w * float(part.value)
        wrong = 1 / reactance if part.kind is Kind.L else reactance
    else:
        return
    yield from _guess(case, wrong)
