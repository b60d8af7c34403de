"""The circuits next to a look's: one smallest change away, with another answer to its question.

Answers are exact and structural: they hold for all values of the parts (the ends by counting
powers of s, counts and nulls by values that have nothing to do with each other).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import islice

from ..analysis.arms import End, decay, idle_arms, plain_end, sections, working_rails
from ..analysis.idle import generic
from ..analysis.response import FilterType, generic_facts
from ..analysis.structural import structural_facts
from ..analysis.transfer import transfer_function
from ..catalogue.families import FAMILIES, Family, find
from ..catalogue.topology_values import with_values
from ..chance import Chance
from ..circuits.model import Kind, Ladder, Place, depth, merged, valueless
from ..questions.looks import Look, LookKind
from .changes import Change, ChangeKind, changes, replacements, valued_like
from .look import look_of
from .look_truth import corner_turn, share_of, truth_of_circuit

_FIRST, _SECOND = 24, 200
"""How many circuits one change away are changed again, and how many of those are looked at."""


_FARTHEST = 2
"""Counts that lie further apart than this are hardly ever two changes apart."""


@dataclass(frozen=True, slots=True)
class Contrast:
    """A circuit one change away, and its answer to the question."""

    change: Change
    answer: str


# ------------------------------------------------------------------- answers, exactly


def answer_of(ladder: Ladder, kind: LookKind) -> str | None:
    """What is right of a circuit, whatever its values.

    Args:
        ladder: the circuit; its values are not looked at.
        kind: a kind of look that asks about one circuit.

    Returns:
        The id of an answer, which may be one that the kind does not offer (``other`` for a type);
        ``None`` where the question has no answer, or speaks of more than the circuit.
    """
    return _answer(valueless(ladder), kind)


@lru_cache(maxsize=8192)
def _answer(ladder: Ladder, kind: LookKind) -> str | None:
    cut = sections(ladder)
    match kind:
        case LookKind.TYPE:
            low, high = decay(cut, End.LOW), decay(cut, End.HIGH)
            if low and high:
                return FilterType.BAND_PASS.value
            if low or high:
                return (FilterType.HIGH_PASS if low else FilterType.LOW_PASS).value
            return generic_facts(ladder).type.value
        case LookKind.LOW_END | LookKind.HIGH_END:
            end = End.LOW if kind is LookKind.LOW_END else End.HIGH
            return "blocked" if decay(cut, end) else "passes"
        case LookKind.FED:
            first = next((rail for rail in working_rails(ladder) if rail.reactive), None)
            return None if first is None else first.place.value
        case LookKind.POLES:
            return str(transfer_function(generic(ladder)).order)
        case LookKind.ORIGIN_ZEROS:
            return str(decay(cut, End.LOW))
        case LookKind.LOW_SLOPE:
            return _slope("+", decay(cut, End.LOW))
        case LookKind.HIGH_SLOPE:
            return _slope("-", decay(cut, End.HIGH))
        case LookKind.DC_OUTPUT:
            return share_of(ladder, End.LOW)
        case LookKind.CORNER_PHASE:
            return corner_turn(structural_facts(ladder))
    return None


def _slope(sign: str, power: int) -> str:
    return f"{sign}{20 * power}" if power else "0"


# ------------------------------------------------------------------- which circuits are shown


def _fair(ladder: Ladder, start: Ladder) -> bool:
    """Whether a circuit can be taken in at a glance, and idles no more than the one it comes from.

    Nothing in it hangs across an ideal source or leads to an open end that did not before; an L
    meets a C nowhere without a resistance; opens and shorts decide its ends; no arm is nested.
    """
    if not _shallow(ladder):
        return False
    idle = {name for arm in idle_arms(ladder) for name in arm.names}
    idled = {name for arm in idle_arms(start) for name in arm.names}
    if not idle <= idled:
        return False
    cut = sections(ladder)
    if not all(plain_end(cut, end) for end in End):
        return False
    for section in cut:
        kinds = {name[0] for rail in section.rails for name in rail.names}
        ends = (section.source, section.load)
        if kinds >= {Kind.L, Kind.C} and Kind.R not in kinds and ends == (None, None):
            return False
        if not any(rail.place is Place.SERIES for rail in section.rails) and not section.source:
            return False
    return True


def _shallow(ladder: Ladder) -> bool:
    """Whether no arm holds a group within a group: more cannot be taken in at a glance."""
    return all(stage.arm is None or depth(stage.arm) < 2 for stage in ladder.stages)


def _hidden(ladder: Ladder) -> int:
    return len(structural_facts(ladder).hidden)


def _is(ladder: Ladder, kind: LookKind, answer: str) -> bool:
    """Whether an answer is right of a circuit, and may be asked of it."""
    if _answer(ladder, kind) != answer:
        return False  # known in a few microseconds
    return truth_of_circuit(ladder, kind, structural_facts(ladder)) == answer


def _ranked(ladder: Ladder, touched: Collection[str]) -> list[Change]:
    """The changes of a circuit, those first that touch certain parts."""
    every = (*changes(ladder), *replacements(ladder))
    return sorted(every, key=lambda c: not set(c.parts) & set(touched))


def lookalikes(ladder: Ladder, touched: Collection[str] = ()) -> Iterator[Ladder]:
    """The circuits one change away from ``ladder`` that may stand beside it.

    Those come first whose change touches one of the parts ``touched``.
    """
    return (c.ladder for c in _ranked(ladder, touched) if _fair(c.ladder, ladder))


# ------------------------------------------------------------------- the nearest circuit


def nearest(
    start: Look | Ladder, kind: LookKind, answer: str, touched: Sequence[str] = ()
) -> Ladder | None:
    """The nearest circuit that *is* what was answered.

    One change away if there is such a circuit, else two, else a small circuit of the catalogue.

    Args:
        start: where to start from.
        kind: a kind of look that asks about one circuit.
        answer: the answer that is to be right.
        touched: names of parts in question: changes that touch them come first.

    Returns:
        The circuit, with values if the start has them; ``None`` where there is none.
    """
    ladder = start.ladder if isinstance(start, Look) else start
    found = _nearest(valueless(ladder), kind, answer, frozenset(touched))
    if found is None:
        row = _textbook(kind, answer, frozenset(e.kind for e in ladder.reactive()))
        return None if row is None else _drawn(row.name)
    return valued_like(found, ladder) if ladder.valued else found


@lru_cache(maxsize=2048)
def _nearest(ladder: Ladder, kind: LookKind, answer: str, touched: frozenset[str]) -> Ladder | None:
    first = [c for c in _ranked(ladder, touched) if _shallow(c.ladder)]
    fair = [change for change in first if _fair(change.ladder, ladder)]
    spare: Ladder | None = None
    for change in fair:
        if _is(change.ladder, kind, answer):
            if _hidden(change.ladder) <= _hidden(ladder):
                return change.ladder
            spare = spare or change.ladder  # two of a kind that count once: right, but a riddle
    if spare is None and (kind, answer) == (LookKind.TYPE, FilterType.FLAT.value):
        # Nearly every flat circuit idles: that is what makes it flat.
        spare = next((c.ladder for c in first if _is(c.ladder, kind, answer)), None)
    if spare is not None:
        return spare
    on = [change.ladder for change in fair]
    if answer.lstrip("+-").isdigit() and kind is not LookKind.CORNER_PHASE:
        away = _away(ladder, kind, answer)
        if away > _FARTHEST:
            return None
        on = [other for other in on if _away(other, kind, answer) < away]
    second = (again for other in on[:_FIRST] for again in changes(merged(other)))
    for again in islice(second, _SECOND):
        if _is(again.ladder, kind, answer) and _fair(again.ladder, ladder):
            return again.ladder
    return None


def _away(ladder: Ladder, kind: LookKind, answer: str) -> int:
    """How far a count lies from the answer; slopes in steps of 20 dB per decade."""
    found = abs(int(_answer(ladder, kind) or 0) - int(answer))
    return found // 20 if kind in (LookKind.LOW_SLOPE, LookKind.HIGH_SLOPE) else found


@cache
def _textbook(kind: LookKind, answer: str, kinds: frozenset[Kind]) -> Family | None:
    """The smallest circuit of the catalogue with an answer, of the same kinds of parts if any."""
    rows = [row for row in FAMILIES if _answer(row.ladder, kind) == answer]

    def rank(row: Family) -> tuple[int, int, int, int]:
        idle = sum(1 for _ in idle_arms(row.ladder))
        parts = sum(1 for _ in row.ladder.elements())
        strange = {e.kind for e in row.ladder.reactive()} ^ kinds
        return idle, len(row.ladder.stages) + parts, len(strange), FAMILIES.index(row)

    return min(rows, key=rank, default=None)


@cache
def _drawn(name: str) -> Ladder:
    chance = Chance(0, "textbook", name)
    ladder = None
    while ladder is None:
        ladder = with_values(find(name).ladder, chance)
    return ladder


# ------------------------------------------------------------------- neighbours and contrasts


def neighbours(look: Look) -> tuple[Contrast, ...]:
    """The circuits one change away whose answer to the look's kind of question is another.

    Of a kind that asks about more than one circuit, or about a change: whose type is another.
    """
    kind = look.kind if answer_of(look.ladder, look.kind) is not None else LookKind.TYPE
    own = answer_of(look.ladder, kind)
    found = []
    for change in (*changes(look.ladder), *replacements(look.ladder)):
        if not _shallow(change.ladder):
            continue
        answer = answer_of(change.ladder, kind)
        if answer in (None, own, FilterType.OTHER.value, FilterType.ALL_PASS.value):
            continue
        assert answer is not None
        # Nearly every flat circuit idles: that is what makes it flat.
        flat = (kind, answer) == (LookKind.TYPE, FilterType.FLAT.value)
        if flat or _fair(change.ladder, look.ladder):
            found.append(Contrast(change, answer))
    return tuple(found)


def contrast_look(
    look: Look, seed: int, wanted: str | None = None, avoid: Collection[str] = ()
) -> Look | None:
    """The look next to a look: the same kind, one change apart, with another right answer.

    Args:
        look: the look.
        seed: chooses among the neighbours.
        wanted: the answer that is to be right.
        avoid: structures that are not to be shown.

    Returns:
        The look; ``None`` where no neighbour can be asked that.
    """
    chance = Chance(seed, "contrast", look.kind)
    single = answer_of(look.ladder, look.kind) is not None
    found = [c for c in neighbours(look) if not single or wanted in (None, c.answer)]
    order = list(ChangeKind)
    ranked = sorted(chance.shuffled(found), key=lambda c: order.index(c.change.kind) > _SAME_PARTS)
    for contrast in ranked[:_TRIED]:
        ladder = contrast.change.ladder
        known = structural_facts(ladder)
        if single and truth_of_circuit(ladder, look.kind, known) != contrast.answer:
            continue
        for _ in range(_VALUES):
            other = look_of(ladder, look.kind, seed)
            if other is not None and other.structure in avoid:
                break
            if other is not None and (single or wanted in (None, other.truth)):
                return other
            ladder = with_values(valueless(ladder), chance) or ladder
    return None


_TRIED = 24
"""Neighbours tried before there is said to be none."""
_VALUES = 4
"""Sets of values tried for one circuit: those of the look first."""
_SAME_PARTS = list(ChangeKind).index(ChangeKind.TAP)
