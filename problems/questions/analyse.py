"""Which questions (rungs) a circuit can honestly be asked, and which of them a climb asks.

Only sensible questions are made: a corner frequency where there are one or two poles, a
bandwidth where there are two edges, a feed where something reactive is fed.  The list of
choices of a rung never depends on the answer, so that the list itself gives nothing away.

Each maker fills the slot of a kind (``kinds.py``), and most come with the figure that the kind
asks for, of any facts: slips compare altered circuits by it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from fractions import Fraction
from functools import partial
from types import ModuleType

from ..analysis.arms import End
from ..analysis.letters import formulas, letter_transfer
from ..analysis.losses import shifted_slightly
from ..analysis.response import Facts, Feed, FilterType, PoleNature, drawn_feed
from ..catalogue.groups import LEVEL_SINCE
from ..chance import Chance
from ..circuits.altered import arm_without
from ..circuits.model import Ladder, Stage, valueless
from ..formulas.tree import Formula
from . import (
    corner_phase,
    energy,
    levels_at,
    losses,
    no_pole,
    off_curve,
    outputs,
    poles,
    q_curves,
    shelf_name,
    sources,
    steps,
)
from .asking import Asking
from .kind_row import Variety
from .kinds import KINDS, MAKERS, REASON_OF, kind
from .kinds import MEASURES as MEASURES
from .model import FORMAT, TOLERANCE, Choice, Form, Question, Rung, Task
from .reasons import Claim, draw, type_claims
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

_MORE_KINDS: tuple[ModuleType, ...] = (
    corner_phase,
    no_pole,
    losses,
    shelf_name,
    levels_at,
    outputs,
    off_curve,
    q_curves,
    poles,
    steps,
    energy,
    sources,
)
"""Modules whose kinds are made there: importing them fills the slots."""

_MAX_TRANSFER_ELEMENTS = 6
_MAX_TRANSFER_TEXT = 120


def questions_for(
    facts: Facts,
    chance: Chance,
    format: int = FORMAT,  # noqa: A002
    only: Collection[Rung] = (),
) -> tuple[Question, ...]:
    """Every question that makes sense for a circuit, in the order of a climb.

    Args:
        facts: what is true of the circuit.
        chance: orders the choices of the reason rungs.
        format: the meaning of seeds: kinds that came later are not asked.
        only: the kinds wanted, where not all are.  Each is the very question that it is among all;
            ``chance`` is then left anywhere.
    """
    asking = Asking(facts, chance)
    found: dict[Rung, Question] = {}
    wanted = {*only, Rung.LOADED_Q} if Rung.Q in only else {*only}
    for row in KINDS:
        asked = row.since <= format and row.task is Task.ANALYSE
        if only:
            if not wanted:
                break
            asked = asked and (row.rung in wanted or row.rung in DRAWN)
            wanted.discard(row.rung)
        maker = MAKERS.get(row.rung) if asked else None
        question = maker(asking) if maker is not None else None
        if question is not None:
            found[row.rung] = question
    if Rung.LOADED_Q in found:
        found.pop(Rung.Q, None)  # the same figure, by the name that says which
    return tuple(found[rung] for rung in Rung if rung in found and (not only or rung in only))


DRAWN = frozenset((*(row.rung for row in KINDS if row.reason_of), Rung.NO_POLE))
"""The kinds whose choices are drawn: what is drawn for one depends on those made before it."""


def _choice(rung: Rung, truth: str, ids: Iterable[str]) -> Question:
    return Question(rung, Form.CHOICE, truth, tuple(Choice(i) for i in ids))


_UNITS = {Form.SLOPE: "dB/decade", Form.ANGLE: "°", Form.QUANTITY: "Hz"}


def _measured(rung: Rung, asking: Asking) -> Question | None:
    """What a kind measures, as a question; nothing where there is no such figure."""
    measure, form = MEASURES.get(rung), kind(rung).form
    assert measure is not None
    found = measure(asking.facts)
    if found is None or (form is Form.QUANTITY and not found):
        return None
    unit = _UNITS.get(form, "")
    if form in (Form.COUNT, Form.SLOPE, Form.ANGLE):
        assert isinstance(found, int)
        return Question(rung, form, found, unit=unit)
    return Question(rung, form, float(found), unit=unit, tolerance=TOLERANCE)


def _reason(rung: Rung, claims: list[Claim], chance: Chance) -> Question | None:
    if not claims:
        return None
    truth, choices = draw(claims, chance, sure=1 if rung is Rung.CORNER_REASON else 2)
    return Question(rung, Form.CHOICE, truth, choices)


# ------------------------------------------------------------------------- concepts

MEASURES(Rung.FED)(lambda f: f.fed.value if f.fed else None)
MEASURES(Rung.POLE_NATURE)(lambda f: f.pole_nature.value if f.pole_nature else None)


@MAKERS(Rung.FED)
def _fed(asking: Asking) -> Question | None:
    """Where the first reactive arm is the same with hidden and idle parts and without."""
    facts = asking.facts
    if facts.fed is None or drawn_feed(facts.ladder) is not facts.fed:
        return None
    if _fed_without_hidden(facts) is not facts.fed:
        return None
    return _choice(Rung.FED, facts.fed.value, (f.value for f in Feed))


@MAKERS(Rung.POLE_NATURE)
def _pole_nature(asking: Asking) -> Question | None:
    nature = asking.facts.pole_nature
    if nature is None:
        return None
    return _choice(Rung.POLE_NATURE, nature.value, (n.value for n in PoleNature))


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
    return drawn_feed(Ladder(tuple(stages))) if stages else None


# ------------------------------------------------------------------------- ends and type

MEASURES(Rung.LOW_END)(lambda f: PASSES if f.gain_low else BLOCKED)
MEASURES(Rung.HIGH_END)(lambda f: PASSES if f.gain_high else BLOCKED)
MEASURES(Rung.TYPE)(lambda f: f.type.value)


def _end(rung: Rung, end: End, asking: Asking) -> Question | None:
    if not asking.end_claims(end):
        return None
    return _choice(rung, BLOCKED if asking.picture.stopping(end) else PASSES, (PASSES, BLOCKED))


def _end_reason(rung: Rung, end: End, asking: Asking) -> Question | None:
    return _reason(rung, asking.end_claims(end), asking.chance)


MAKERS(Rung.LOW_END)(partial(_end, Rung.LOW_END, End.LOW))
MAKERS(Rung.LOW_END_REASON)(partial(_end_reason, Rung.LOW_END_REASON, End.LOW))
MAKERS(Rung.HIGH_END)(partial(_end, Rung.HIGH_END, End.HIGH))
MAKERS(Rung.HIGH_END_REASON)(partial(_end_reason, Rung.HIGH_END_REASON, End.HIGH))


@MAKERS(Rung.TYPE)
def _type(asking: Asking) -> Question | None:
    """Where the type has a name."""
    found = asking.facts.type
    return _choice(Rung.TYPE, found.value, (t.value for t in TYPES)) if found in TYPES else None


@MAKERS(Rung.TYPE_REASON)
def _type_reason(asking: Asking) -> Question | None:
    known = asking.facts
    # The reasons argue with opens and shorts alone.
    if known.type not in TYPES or known.type is not known.type_exact:
        return None
    return _reason(Rung.TYPE_REASON, type_claims(asking.picture), asking.chance)


# ------------------------------------------------------------------------- counts and shapes

MEASURES(Rung.INDEPENDENT)(lambda f: f.seen_count)
MEASURES(Rung.POLES)(lambda f: f.transfer.order)
MEASURES(Rung.ZEROS)(lambda f: f.transfer.zero_count)
MEASURES(Rung.ORIGIN_ZEROS)(lambda f: f.transfer.zeros_at_origin)
MEASURES(Rung.LOW_SLOPE)(lambda f: f.slope_low)
MEASURES(Rung.HIGH_SLOPE)(lambda f: f.slope_high)
MEASURES(Rung.LOW_PHASE)(lambda f: f.phase_low)
MEASURES(Rung.HIGH_PHASE)(lambda f: f.phase_high)


@MAKERS(Rung.INDEPENDENT)
def _independent(asking: Asking) -> Question | None:
    """Where there are two reactive elements or more: of one there is nothing to ask.

    Nor where a part stores energy on its own that is never seen: then two counts are right.
    """
    if asking.facts.reactive_count < 2 or asking.facts.unseen:
        return None
    return _measured(Rung.INDEPENDENT, asking)


def _of_end(rung: Rung, end: End, asking: Asking) -> Question | None:
    return _measured(rung, asking) if asking.plain_end(end) else None


for _rung in (Rung.POLES, Rung.ZEROS):
    MAKERS(_rung)(partial(_measured, _rung))
for _rung in (Rung.ORIGIN_ZEROS, Rung.LOW_SLOPE, Rung.LOW_PHASE):
    MAKERS(_rung)(partial(_of_end, _rung, End.LOW))
for _rung in (Rung.HIGH_SLOPE, Rung.HIGH_PHASE):
    MAKERS(_rung)(partial(_of_end, _rung, End.HIGH))


# ------------------------------------------------------------------------- figures


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
        case FilterType.BAND_PASS if facts.q_squared is not None and _one_zero_at_origin(facts):
            # k·s/(s² + a1·s + a0) is k/a1 at ω0; of more poles no formula gives it by hand.
            return abs(facts.transfer.numerator[0]) / facts.transfer.denominator[1]
        case FilterType.NOTCH if facts.gain_low == facts.gain_high:
            return facts.gain_low
    return None


def _one_zero_at_origin(facts: Facts) -> bool:
    return facts.transfer.zero_count == facts.transfer.zeros_at_origin == 1


MEASURES(Rung.GAIN)(pass_band_gain)
MEASURES(Rung.CORNER)(lambda f: f.corner_hz)
MEASURES(Rung.Q)(lambda f: f.q)
MEASURES(Rung.BANDWIDTH)(lambda f: f.bandwidth_hz)
MEASURES(Rung.LOWER_EDGE)(lambda f: f.edges_hz[0])
MEASURES(Rung.UPPER_EDGE)(lambda f: f.edges_hz[1])


def _of_edges(rung: Rung, asking: Asking) -> Question | None:
    return _measured(rung, asking) if _edges_by_hand(asking.facts) else None


@MAKERS(Rung.BANDWIDTH)
def _bandwidth(asking: Asking) -> Question | None:
    band = asking.facts.type.banded
    return _of_edges(Rung.BANDWIDTH, asking) if band else None


for _rung in (Rung.GAIN, Rung.CORNER, Rung.Q):
    MAKERS(_rung)(partial(_measured, _rung))
for _rung in (Rung.LOWER_EDGE, Rung.UPPER_EDGE):
    MAKERS(_rung)(partial(_of_edges, _rung))


def _edges_by_hand(facts: Facts) -> bool:
    """Whether the −3 dB edges of two poles have a formula in f0 and Q alone."""
    if facts.transfer.order != 2:
        return False  # one pole: the edge is the corner; three poles: no formula by hand
    match facts.type:
        case FilterType.LOW_PASS:
            return facts.transfer.zero_count == 0
        case FilterType.HIGH_PASS:
            return facts.transfer.zeros_at_origin == 2
        case FilterType.NOTCH:
            return facts.gain_low == facts.gain_high and facts.axis_zero_pairs == 1
    return facts.type is FilterType.BAND_PASS and _one_zero_at_origin(facts)


# ------------------------------------------------------------------------- formulas


@MAKERS(Rung.CORNER_REASON)
def _corner_reason(asking: Asking) -> Question | None:
    """Which formula gives the corner."""
    if asking.facts.transfer.order not in (1, 2) or shifted_slightly(asking.facts.ladder):
        return None
    return _reason(Rung.CORNER_REASON, corner_claims(asking.facts), asking.chance)


@MAKERS(Rung.TRANSFER)
def _transfer(asking: Asking) -> Question | None:
    facts = asking.facts
    transfer = _in_letters(facts) if facts.transfer.order in (1, 2) else None
    if transfer is None:
        return None
    letters = ", ".join(e.name for e in facts.ladder.elements())
    return Question(Rung.TRANSFER, Form.FORMULA, transfer, values=(("letters", letters),))


def _in_letters(facts: Facts) -> Formula | None:
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


def _of_sort(*sorts: Variety) -> tuple[tuple[Rung, ...], ...]:
    """The kinds of each sort, in the order in which they are made.

    Only those of the first format: what they ask is chosen as it always was.
    """
    return tuple(
        tuple(row.rung for row in KINDS if row.variety is sort and row.since == 1) for sort in sorts
    )


_FIRST = _of_sort(Variety.END, Variety.SHAPE)
_NEXT = _of_sort(
    Variety.ZEROS,
    Variety.SHAPE,
    Variety.EDGE,
    Variety.GAIN,
    Variety.TRANSFER,
    Variety.CONCEPT,
)
"""One of each of these is asked before a second of any: concept, count, shape, number."""

LEAST, MOST = 8, 13
"""How many questions a climb of the catalogue has."""

LATER = 3
"""A kind that came later is asked in one of so many problems that it makes sense for."""


def climb(questions: tuple[Question, ...], level: int, chance: Chance) -> tuple[Question, ...]:
    """The questions asked at a level, in the order of a climb.

    Kinds that came with a later format come on top of what was asked before, where there is
    room: a seed's earlier questions stay, whatever is added.

    Args:
        questions: all that make sense, from :func:`questions_for`.
        level: 1 to 7; at level 0 (a typed circuit) everything is asked.
        chance: picks among questions of the same sort.
    """
    if level == 0:
        return questions
    made = {q.rung for q in questions}
    old = {rung for rung in made if kind(rung).since == 1}
    reasons = set(REASON_OF.values())
    fit = [r for r in Rung if r in old - reasons and kind(r).level <= level]
    taken = {r for r in fit if level in kind(r).always}

    def cost(rung: Rung) -> int:
        return 2 if REASON_OF.get(rung) in made else 1

    def picks(groups: Iterable[tuple[Rung, ...]], but: Iterable[Rung] = ()) -> list[Rung]:
        out = {*taken, *but}
        kept = ([r for r in group if r in fit and r not in out] for group in groups)
        return [chance.pick(group) for group in kept if group]

    least = LEAST + (2 if level < 3 else 3)  # so that more than the fixed ones fit
    goal = least + chance.below(MOST - least + 1)
    if level in LEVEL_SINCE:  # what the level is about has its place first
        goal -= sum(level in kind(rung).always for rung in made - old - reasons)
    first = picks(_FIRST)
    order = [*first, *chance.shuffled(picks(_NEXT, first))]
    order += chance.shuffled([r for r in fit if r not in taken and r not in order])
    for rung in order:
        if sum(map(cost, taken)) + cost(rung) <= goal:
            taken.add(rung)
    # What the level always asks has its place before what is asked now and then.
    for row in sorted(KINDS, key=lambda row: level not in row.always):
        if row.since > 1 and row.rung in made - reasons and row.level <= level:
            wanted = level in row.always or chance.below(LATER) == 0
            if wanted and sum(map(cost, taken)) + cost(row.rung) <= MOST:
                taken.add(row.rung)
    kept = taken | {REASON_OF[r] for r in taken if r in REASON_OF}
    return tuple(q for q in questions if q.rung in kept)
