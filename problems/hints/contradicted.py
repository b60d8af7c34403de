"""Which earlier right answer of a climb a wrong answer contradicts, and by which rule.

A rule is used only where it can be tried out: what it asks of an answer must hold of the right
answer, and must not hold of the wrong one.  So a rule that has an exception is silent there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ..analysis.response import FilterType
from ..questions.analyse import BLOCKED, PASSES
from ..questions.model import Answer, Rung, figure_of
from .counterfact_ends import ENDS_OF
from .counts import signed
from .explanation import WrongAnswer, says
from .fill import Phrase

_TWO_POLES = (FilterType.BAND_PASS.value, FilterType.NOTCH.value)
_PASS_LOW = frozenset(kind for kind, (low, _) in ENDS_OF.items() if low)
_PASS_HIGH = frozenset(kind for kind, (_, high) in ENDS_OF.items() if high)


@dataclass(frozen=True, slots=True)
class Ruling:
    """What earlier answers ask of an answer.

    Args:
        rungs: the earlier answers it follows from.
        key: the words of what follows.
        holds: whether an answer is as it asks.
    """

    rungs: tuple[Rung, ...]
    key: str
    holds: Callable[[Answer], bool]


def contradiction(wrong: WrongAnswer) -> tuple[Phrase, ...]:
    """The sentence that names the earlier answer which ``wrong`` contradicts; empty for none."""
    rules = _RULES.get(wrong.rung)
    if rules is None:
        return ()
    for ruling in rules(wrong):
        if ruling.holds(wrong.question.truth) and not ruling.holds(wrong.answered):
            return (_sentence(wrong, ruling),)
    return ()


def _sentence(wrong: WrongAnswer, ruling: Ruling) -> Phrase:
    found = [wrong.earlier[rung] for rung in ruling.rungs]
    told = tuple(
        says(f"earlier.{_earlier_key(e.rung, e.truth)}", value=_text(e.truth)) for e in found
    )
    said = all(e.said for e in found)
    claimed = says(f"a.{wrong.answered}") if wrong.rung is Rung.TYPE else ""
    follows = says(f"follows.{ruling.key}", claimed=claimed)
    if Rung.Q in ruling.rungs:
        return says("said-q" if said else "shown-q", follows=follows)
    return says("said" if said else "shown", earlier=told, follows=follows)


def _earlier_key(rung: Rung, truth: Answer) -> str:
    if isinstance(truth, str):
        return f"{rung.value}-{truth}" if rung is not Rung.NO_POLE else _no_pole_key(truth)
    if rung in (Rung.INDEPENDENT, Rung.POLES, Rung.ZEROS, Rung.ORIGIN_ZEROS):
        return f"{rung.value}-{ {0: 'none', 1: 'one'}.get(int(figure_of(truth)), 'many') }"
    return rung.value


def _no_pole_key(truth: str) -> str:
    return "no-pole-each" if truth == "each-adds" else "no-pole-some"


def _text(truth: Answer) -> str:
    if isinstance(truth, int):
        return signed(truth)
    return "" if not isinstance(truth, str) else truth


# ------------------------------------------------------------------- the rules, by question

Rules = Callable[[WrongAnswer], Iterator[Ruling]]


def _known(wrong: WrongAnswer, rung: Rung) -> Answer | None:
    found = wrong.earlier.get(rung)
    return found.truth if found is not None else None


def _exact_type(wrong: WrongAnswer) -> Answer | None:
    """The type, where it says what happens exactly at the ends, and not only by how much."""
    return None if wrong.by_levels else _known(wrong, Rung.TYPE)


def _whole(wrong: WrongAnswer, rung: Rung) -> int | None:
    found = _known(wrong, rung)
    return found if isinstance(found, int) else None


def _end_passes(wrong: WrongAnswer, rung: Rung) -> bool | None:
    """Whether an end passes, as an earlier answer has it."""
    found = _known(wrong, rung)
    return found == PASSES if found in (PASSES, BLOCKED) else None


def _type(wrong: WrongAnswer) -> Iterator[Ruling]:
    for at, rung in enumerate((Rung.LOW_END, Rung.HIGH_END)):
        passes = _end_passes(wrong, rung)
        if passes is None:
            continue
        end = ("dc", "high")[at]

        def holds(answer: Answer, at: int = at, passes: bool = passes) -> bool:
            return ENDS_OF.get(str(answer), (passes, passes))[at] is passes

        yield Ruling((rung,), f"type-{'blocks' if passes else 'passes'}-{end}", holds)


def _independent(wrong: WrongAnswer) -> Iterator[Ruling]:
    kind = _known(wrong, Rung.TYPE)
    if kind in _TWO_POLES:
        yield Ruling((Rung.TYPE,), "takes-two-stores", lambda a: figure_of(a) >= 2)
    elif kind in ENDS_OF and kind != FilterType.FLAT.value:
        yield Ruling((Rung.TYPE,), "takes-a-store", lambda a: figure_of(a) >= 1)


def _no_pole(wrong: WrongAnswer) -> Iterator[Ruling]:
    count = _whole(wrong, Rung.INDEPENDENT)
    if count is not None:
        drawn = len(wrong.ladder.reactive())
        key = "all-stores-add" if count == drawn else "fewer-stores-than-drawn"
        yield Ruling((Rung.INDEPENDENT,), key, lambda a: (a == "each-adds") is (count == drawn))


def _poles(wrong: WrongAnswer) -> Iterator[Ruling]:
    stores, kind = _whole(wrong, Rung.INDEPENDENT), _known(wrong, Rung.TYPE)
    if kind == FilterType.FLAT.value:
        yield Ruling((Rung.TYPE,), "flat-has-no-pole", lambda a: figure_of(a) == 0)
    if kind in _TWO_POLES:
        yield Ruling((Rung.TYPE,), "takes-two-poles", lambda a: figure_of(a) >= 2)
    elif kind in ENDS_OF:
        yield Ruling((Rung.TYPE,), "takes-a-pole", lambda a: figure_of(a) >= 1)
    if stores is not None:
        yield Ruling((Rung.INDEPENDENT,), "pole-each-at-most", lambda a: figure_of(a) <= stores)
        yield Ruling((Rung.INDEPENDENT,), "pole-each", lambda a: figure_of(a) == stores)
    drawn, told = len(wrong.ladder.reactive()), _known(wrong, Rung.NO_POLE)
    if told == "each-adds":
        yield Ruling((Rung.NO_POLE,), "each-adds", lambda a: figure_of(a) == drawn)
    elif told is not None:
        yield Ruling((Rung.NO_POLE,), "some-add-none", lambda a: figure_of(a) < drawn)


def _zeros(wrong: WrongAnswer) -> Iterator[Ruling]:
    poles, kind = _whole(wrong, Rung.POLES), _exact_type(wrong)
    low, high = _end_passes(wrong, Rung.LOW_END), _end_passes(wrong, Rung.HIGH_END)
    if poles is not None:
        yield Ruling((Rung.POLES,), "zeros-at-most-poles", lambda a: figure_of(a) <= poles)
        if high is False:
            both = (Rung.POLES, Rung.HIGH_END)
            yield Ruling(both, "zeros-below-poles", lambda a: figure_of(a) < poles)
        elif high:
            both = (Rung.POLES, Rung.HIGH_END)
            yield Ruling(both, "zeros-as-poles", lambda a: figure_of(a) == poles)
    if low is False:
        yield Ruling((Rung.LOW_END,), "zero-blocks-dc", lambda a: figure_of(a) >= 1)
    if kind == FilterType.NOTCH.value:
        yield Ruling((Rung.TYPE,), "null-is-a-pair", lambda a: figure_of(a) >= 2)
    elif kind in ENDS_OF and kind not in _PASS_LOW:
        yield Ruling((Rung.TYPE,), "type-blocks-dc-zero", lambda a: figure_of(a) >= 1)
    if poles is not None and kind in ENDS_OF and high is None:
        both = (Rung.TYPE, Rung.POLES)
        if kind in _PASS_HIGH:
            yield Ruling(both, "type-zeros-as-poles", lambda a: figure_of(a) == poles)
        else:
            yield Ruling(both, "type-zeros-below-poles", lambda a: figure_of(a) < poles)


def _origin_zeros(wrong: WrongAnswer) -> Iterator[Ruling]:
    yield from _at_dc(wrong, "zeros", lambda a: figure_of(a))
    zeros = _whole(wrong, Rung.ZEROS)
    if zeros is not None:
        yield Ruling((Rung.ZEROS,), "origin-at-most-zeros", lambda a: figure_of(a) <= zeros)


def _at_dc(wrong: WrongAnswer, what: str, power: Callable[[Answer], float]) -> Iterator[Ruling]:
    """What passes DC has no zero at the origin, and what blocks it has one at least."""
    low, kind = _end_passes(wrong, Rung.LOW_END), _exact_type(wrong)
    if low is not None:
        key = f"{what}-none-where-dc-passes" if low else f"{what}-some-where-dc-blocked"
        yield Ruling((Rung.LOW_END,), key, lambda a: (power(a) == 0) if low else power(a) > 0)
    if kind in ENDS_OF:
        passes = kind in _PASS_LOW
        key = f"{what}-none-of-type" if passes else f"{what}-some-of-type"
        yield Ruling((Rung.TYPE,), key, lambda a: (power(a) == 0) if passes else power(a) > 0)


def _at_high(wrong: WrongAnswer, what: str, power: Callable[[Answer], float]) -> Iterator[Ruling]:
    """The gain stays level where high frequencies pass, and falls where they are blocked."""
    high, kind = _end_passes(wrong, Rung.HIGH_END), _exact_type(wrong)
    if high is not None:
        key = f"{what}-none-where-high-passes" if high else f"{what}-falls-where-high-blocked"
        yield Ruling((Rung.HIGH_END,), key, lambda a: (power(a) == 0) if high else power(a) < 0)
    if kind in ENDS_OF:
        passes = kind in _PASS_HIGH
        key = f"{what}-none-of-type" if passes else f"{what}-falls-of-type"
        yield Ruling((Rung.TYPE,), key, lambda a: (power(a) == 0) if passes else power(a) < 0)


def _low_slope(wrong: WrongAnswer) -> Iterator[Ruling]:
    yield from _at_dc(wrong, "slope", figure_of)
    zeros = _whole(wrong, Rung.ORIGIN_ZEROS)
    if zeros is not None:
        key = "slope-by-origin"
        yield Ruling((Rung.ORIGIN_ZEROS,), key, lambda a: figure_of(a) == 20 * zeros)


def _high_slope(wrong: WrongAnswer) -> Iterator[Ruling]:
    yield from _at_high(wrong, "high-slope", figure_of)
    poles, zeros = _whole(wrong, Rung.POLES), _whole(wrong, Rung.ZEROS)
    if poles is not None and zeros is not None:
        both, slope = (Rung.POLES, Rung.ZEROS), 20 * (zeros - poles)
        yield Ruling(both, "slope-by-counts", lambda a: figure_of(a) == slope)
    elif poles is not None:
        yield Ruling((Rung.POLES,), "slope-at-most-poles", lambda a: -figure_of(a) <= 20 * poles)


def _low_phase(wrong: WrongAnswer) -> Iterator[Ruling]:
    yield from _at_dc(wrong, "phase", figure_of)
    zeros, slope = _whole(wrong, Rung.ORIGIN_ZEROS), _whole(wrong, Rung.LOW_SLOPE)
    if zeros is not None:
        key = "phase-by-origin"
        yield Ruling((Rung.ORIGIN_ZEROS,), key, lambda a: figure_of(a) == 90 * zeros)
    if slope is not None:
        turn = slope / 20 * 90
        yield Ruling((Rung.LOW_SLOPE,), "phase-by-slope", lambda a: figure_of(a) == turn)


def _high_phase(wrong: WrongAnswer) -> Iterator[Ruling]:
    yield from _at_high(wrong, "high-phase", figure_of)
    poles, zeros = _whole(wrong, Rung.POLES), _whole(wrong, Rung.ZEROS)
    slope = _whole(wrong, Rung.HIGH_SLOPE)
    if slope is not None:
        turn = slope / 20 * 90
        yield Ruling((Rung.HIGH_SLOPE,), "high-phase-by-slope", lambda a: figure_of(a) == turn)
    if poles is not None and zeros is not None:
        both, end = (Rung.POLES, Rung.ZEROS), 90 * (zeros - poles)
        yield Ruling(both, "phase-by-counts", lambda a: figure_of(a) == end)


def _corner_phase(wrong: WrongAnswer) -> Iterator[Ruling]:
    low, high = _whole(wrong, Rung.LOW_PHASE), _whole(wrong, Rung.HIGH_PHASE)
    poles = _whole(wrong, Rung.POLES)
    if low is not None and high is not None:
        both, half = (Rung.LOW_PHASE, Rung.HIGH_PHASE), (low + high) / 2
        yield Ruling(both, "phase-halfway", lambda a: figure_of(a) == half)
    elif low is not None and poles is not None:
        both, turned = (Rung.LOW_PHASE, Rung.POLES), low - 45 * poles
        yield Ruling(both, "phase-half-turned", lambda a: figure_of(a) == turned)


def _pole_nature(wrong: WrongAnswer) -> Iterator[Ruling]:
    known = wrong.earlier.get(Rung.Q)
    square = wrong.facts.q_squared
    if known is None or square is None:
        return
    relation = "above" if 4 * square > 1 else "below" if 4 * square < 1 else "half"
    right = {"above": "complex", "below": "real", "half": "double"}[relation]
    yield Ruling((Rung.Q,), f"q-{relation}", lambda a: a == right)


_RULES: dict[Rung, Rules] = {
    Rung.TYPE: _type,
    Rung.INDEPENDENT: _independent,
    Rung.NO_POLE: _no_pole,
    Rung.POLES: _poles,
    Rung.ZEROS: _zeros,
    Rung.ORIGIN_ZEROS: _origin_zeros,
    Rung.LOW_SLOPE: _low_slope,
    Rung.HIGH_SLOPE: _high_slope,
    Rung.LOW_PHASE: _low_phase,
    Rung.HIGH_PHASE: _high_phase,
    Rung.CORNER_PHASE: _corner_phase,
    Rung.POLE_NATURE: _pole_nature,
}
