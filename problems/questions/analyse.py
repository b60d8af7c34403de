"""Which questions (rungs) a circuit can honestly be asked, and which of them a climb asks.

Only sensible questions are made: a corner frequency where there are one or two poles, a
bandwidth where there are two edges, a feed where something reactive is fed.  The list of
choices of a rung never depends on the answer, so that the list itself gives nothing away.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from ..analysis.arms import End
from ..analysis.letters import formulas, letter_transfer
from ..analysis.response import Facts, Feed, FilterType, PoleNature, feed
from ..chance import Chance
from ..circuits.altered import arm_without
from ..circuits.model import Ladder, Stage, valueless
from ..formulas.tree import Formula
from .model import TOLERANCE, Choice, Form, Question, Rung
from .reasons import Claim, EndPicture, draw, end_claims, type_claims
from .reasons_corner import corner_claims

TYPES = (
    FilterType.LOW_PASS,
    FilterType.HIGH_PASS,
    FilterType.BAND_PASS,
    FilterType.NOTCH,
    FilterType.FLAT,
)
"""The types a learner chooses from, in the order shown; the same for every problem."""

PASSES, BLOCKED = "passes", "blocked"

REASON_OF = {
    Rung.LOW_END: Rung.LOW_END_REASON,
    Rung.HIGH_END: Rung.HIGH_END_REASON,
    Rung.TYPE: Rung.TYPE_REASON,
    Rung.CORNER: Rung.CORNER_REASON,
}
"""The rung that asks for the reason directly after another one."""

_MAX_TRANSFER_ELEMENTS = 6
_MAX_TRANSFER_TEXT = 120


def questions_for(ladder: Ladder, facts: Facts, chance: Chance) -> tuple[Question, ...]:
    """Every question that makes sense for a circuit, in the order of a climb.

    Args:
        ladder: the circuit, with values.
        facts: what is true of it.
        chance: orders the choices of the reason rungs.
    """
    found = {q.rung: q for q in _questions(ladder, facts, chance)}
    return tuple(found[rung] for rung in Rung if rung in found)


def _questions(ladder: Ladder, facts: Facts, chance: Chance) -> Iterator[Question]:
    picture = EndPicture(facts)
    yield from _concepts(facts)
    yield from _ends(picture, chance)
    yield from _type(picture, chance)
    yield from _counts(facts)
    yield from _shapes(facts)
    yield from _numbers(facts)
    yield from _letters(facts, chance)


def _choice(rung: Rung, truth: str, ids: Iterable[str]) -> Question:
    return Question(rung, Form.CHOICE, truth, tuple(Choice(i) for i in ids))


def _quantity(rung: Rung, hertz: float) -> Question:
    return Question(rung, Form.QUANTITY, hertz, unit="Hz", tolerance=TOLERANCE)


def _reason(rung: Rung, claims: list[Claim], chance: Chance) -> Question:
    truth, choices = draw(claims, chance, sure=1 if rung is Rung.CORNER_REASON else 2)
    return Question(rung, Form.CHOICE, truth, choices)


def _concepts(facts: Facts) -> Iterator[Question]:
    if facts.fed is not None and _fed_without_hidden(facts) is facts.fed:
        yield _choice(Rung.FED, facts.fed.value, (f.value for f in Feed))
    if facts.pole_nature is not None:
        yield _choice(Rung.POLE_NATURE, facts.pole_nature.value, (n.value for n in PoleNature))


def _ends(picture: EndPicture, chance: Chance) -> Iterator[Question]:
    for rung, end in (Rung.LOW_END, End.LOW), (Rung.HIGH_END, End.HIGH):
        claims = end_claims(picture, end)
        if claims:
            truth = BLOCKED if picture.stopping(end) else PASSES
            yield _choice(rung, truth, (PASSES, BLOCKED))
            yield _reason(REASON_OF[rung], claims, chance)


def _type(picture: EndPicture, chance: Chance) -> Iterator[Question]:
    if picture.facts.type in TYPES:
        yield _choice(Rung.TYPE, picture.facts.type.value, (t.value for t in TYPES))
        claims = type_claims(picture)
        if claims:
            yield _reason(Rung.TYPE_REASON, claims, chance)


def _fed_without_hidden(facts: Facts) -> Feed | None:
    """The feed when hidden elements are taken out: it must not hang on one of them."""
    hidden = {h.name for h in facts.hidden}
    if not hidden:
        return facts.fed
    stages: list[Stage] = []
    for stage in facts.ladder.stages:
        if stage.arm is None:
            stages.append(stage)
        elif (arm := arm_without(stage.arm, hidden)) is not None:
            stages.append(Stage(stage.place, arm))
    return feed(Ladder(tuple(stages))) if stages else None


def _counts(facts: Facts) -> Iterator[Question]:
    if facts.reactive_count >= 2:
        yield Question(Rung.INDEPENDENT, Form.COUNT, facts.independent_count)
    yield Question(Rung.POLES, Form.COUNT, facts.transfer.order)
    yield Question(Rung.ZEROS, Form.COUNT, facts.transfer.zero_count)
    yield Question(Rung.ORIGIN_ZEROS, Form.COUNT, facts.transfer.zeros_at_origin)


def _shapes(facts: Facts) -> Iterator[Question]:
    for rung, slope in (Rung.LOW_SLOPE, facts.slope_low), (Rung.HIGH_SLOPE, facts.slope_high):
        yield Question(rung, Form.SLOPE, slope, unit="dB/decade")
    for rung, angle in (Rung.LOW_PHASE, facts.phase_low), (Rung.HIGH_PHASE, facts.phase_high):
        yield Question(rung, Form.ANGLE, angle, unit="°")


def pass_band_gain(facts: Facts) -> Fraction | None:
    """The gain of the pass band as a voltage ratio; ``None`` where there is no one such gain.

    The references of the −3 dB level: a low-pass at DC, a high-pass at very high
    frequency, a band-pass at its peak, a notch at its ends where they are equal.
    """
    match facts.type:
        case FilterType.LOW_PASS | FilterType.FLAT:
            return facts.gain_low
        case FilterType.HIGH_PASS:
            return facts.gain_high
        case FilterType.BAND_PASS if facts.q_squared is not None:
            # k·s/(s² + a1·s + a0) is k/a1 at ω0; of more poles no formula gives it by hand.
            return abs(facts.transfer.numerator[0]) / facts.transfer.denominator[1]
        case FilterType.NOTCH if facts.gain_low == facts.gain_high:
            return facts.gain_low
    return None


def _numbers(facts: Facts) -> Iterator[Question]:
    gain = pass_band_gain(facts)
    if gain is not None:
        yield Question(Rung.GAIN, Form.GAIN, float(gain), tolerance=TOLERANCE)
    if facts.corner_hz:
        yield _quantity(Rung.CORNER, facts.corner_hz)
    if facts.q is not None:
        yield Question(Rung.Q, Form.RATIO, facts.q, tolerance=TOLERANCE)
    if facts.transfer.order != 2:
        return  # one pole: the edge is the corner; three poles: no formula to work by hand
    if not _edges_by_hand(facts):
        return
    if facts.type in (FilterType.BAND_PASS, FilterType.NOTCH) and facts.bandwidth_hz:
        yield _quantity(Rung.BANDWIDTH, facts.bandwidth_hz)
    lower, upper = facts.edges_hz
    if lower is not None:
        yield _quantity(Rung.LOWER_EDGE, lower)
    if upper is not None:
        yield _quantity(Rung.UPPER_EDGE, upper)


def _edges_by_hand(facts: Facts) -> bool:
    """Whether the −3 dB edges of two poles have a formula in f0 and Q alone."""
    match facts.type:
        case FilterType.LOW_PASS:
            return facts.transfer.zero_count == 0
        case FilterType.HIGH_PASS:
            return facts.transfer.zeros_at_origin == 2
        case FilterType.NOTCH:
            return facts.gain_low == facts.gain_high
    return facts.type is FilterType.BAND_PASS


def _letters(facts: Facts, chance: Chance) -> Iterator[Question]:
    """Questions about formulas: H(s), and which formula gives the corner."""
    if facts.transfer.order not in (1, 2):
        return
    claims = corner_claims(facts)
    if claims:
        yield _reason(Rung.CORNER_REASON, claims, chance)
    transfer = _transfer(facts)
    if transfer is not None:
        letters = ", ".join(e.name for e in facts.ladder.elements())
        yield Question(Rung.TRANSFER, Form.FORMULA, transfer, values=(("letters", letters),))


def _transfer(facts: Facts) -> Formula | None:
    """H(s) with letters; ``None`` where it is too long to ask, or where values cancel a pole."""
    if sum(1 for _ in facts.ladder.elements()) > _MAX_TRANSFER_ELEMENTS:
        return None
    # Without values one answer serves every circuit of the same shape and names.
    letters = valueless(facts.ladder)
    found = formulas(letters)
    if found.transfer is None or found.order != facts.transfer.order:
        return None
    short = len(found.transfer) <= _MAX_TRANSFER_TEXT
    return letter_transfer(letters).formula if short else None


# ------------------------------------------------------------------------- climbs

_ALWAYS = frozenset({Rung.TYPE, Rung.POLES, Rung.CORNER, Rung.Q})
_ALWAYS_AT = {
    3: frozenset({Rung.FED}),
    4: frozenset({Rung.BANDWIDTH}),
    5: frozenset({Rung.INDEPENDENT}),
}
"""What a level is about.  Level 5 holds the decoys; asking all its circuits hides them."""

_FROM_LEVEL = {
    Rung.FED: 3,
    Rung.TRANSFER: 2,
    Rung.BANDWIDTH: 3,
    Rung.LOWER_EDGE: 3,
    Rung.UPPER_EDGE: 3,
}
_FIRST: tuple[tuple[Rung, ...], ...] = (
    (Rung.LOW_END, Rung.HIGH_END),
    (Rung.LOW_SLOPE, Rung.HIGH_SLOPE, Rung.LOW_PHASE, Rung.HIGH_PHASE),
)
_NEXT: tuple[tuple[Rung, ...], ...] = (
    (Rung.ZEROS, Rung.ORIGIN_ZEROS),
    (Rung.LOW_SLOPE, Rung.HIGH_SLOPE, Rung.LOW_PHASE, Rung.HIGH_PHASE),
    (Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE),
    (Rung.GAIN,),
    (Rung.TRANSFER,),
    (Rung.FED, Rung.POLE_NATURE, Rung.INDEPENDENT),
)
"""One of each of these is asked before a second of any: concept, count, shape, number."""

LEAST, MOST = 8, 13
"""How many questions a climb of the catalogue has."""


def climb(questions: tuple[Question, ...], level: int, chance: Chance) -> tuple[Question, ...]:
    """The questions asked at a level, in the order of a climb.

    Args:
        questions: all that make sense, from :func:`questions_for`.
        level: 1 to 6; at level 0 (a typed circuit) everything is asked.
        chance: picks among questions of the same sort.
    """
    if level == 0:
        return questions
    made = {q.rung for q in questions}
    reasons = set(REASON_OF.values())
    fit = [r for r in Rung if r in made - reasons and _FROM_LEVEL.get(r, 0) <= level]
    taken = set(fit) & (_ALWAYS | _ALWAYS_AT.get(level, frozenset()))

    def cost(rung: Rung) -> int:
        return 2 if REASON_OF.get(rung) in made else 1

    def picks(groups: Iterable[tuple[Rung, ...]], but: Iterable[Rung] = ()) -> list[Rung]:
        out = {*taken, *but}
        kept = ([r for r in group if r in fit and r not in out] for group in groups)
        return [chance.pick(group) for group in kept if group]

    least = LEAST + (2 if level < 3 else 3)  # so that more than the fixed ones fit
    goal = least + chance.below(MOST - least + 1)
    first = picks(_FIRST)
    order = [*first, *chance.shuffled(picks(_NEXT, first))]
    order += chance.shuffled([r for r in fit if r not in taken and r not in order])
    for rung in order:
        if sum(map(cost, taken)) + cost(rung) <= goal:
            taken.add(rung)
    kept = taken | {REASON_OF[r] for r in taken if r in REASON_OF}
    return tuple(q for q in questions if q.rung in kept)
