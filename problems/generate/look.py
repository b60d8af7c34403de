"""(seed, kind of look) → a certified look.

The right answer is drawn first, so that no answer is likelier than its share; then circuits are
drawn (``look_draw``) until one has it, whatever its values (``look_truth``).  What is told apart in
a few microseconds goes first; values, and the proof that the circuit may be shown, come last.

The same seed gives the same look on every machine and for ever; whatever changes that raises
``LOOK_FORMAT``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from ..analysis.response import facts
from ..analysis.structural import Structure, structural_facts
from ..catalogue.groups import LOOKED_AT, SkillGroup
from ..catalogue.topologies import renamed, structure
from ..catalogue.topology_groups import group_of_ladder
from ..catalogue.topology_values import with_values
from ..chance import Chance
from ..circuits.model import Ladder, Place
from ..questions.looks import Look, LookKind, look_row
from .look_change import (
    CHANGES,
    GROUPS_CHANGED,
    Asked,
    change_asked,
    draw_asked,
    groups_asked,
    may_change,
)
from .look_draw import (
    BAND,
    FLAT,
    HIGH,
    LOOPS,
    LOW,
    NOTCH,
    SHELF,
    TYPES_OF_GROUP,
    Drawn,
    Wish,
    counts_of_group,
    draw_circuit,
    types_of,
)
from .look_made import GROUPS_MADE, LOADS, MAKERS, unloaded_look
from .look_many import (
    PAIRS,
    PICTURES,
    at_a_glance,
    may_face,
    other_of_pair,
    step_is_seen,
    three_others,
)
from .look_truth import sound, truth_of_circuit

_ATTEMPTS = 800
"""Circuits drawn before a look is given up."""
_MET = 90
"""Circuits met that were to be avoided, before one of them may come again."""
_MET_OF_LOOPS = 25
"""The same where there are a handful of circuits alone."""
_HARDER = 60
"""Circuits drawn before the next level's are: the easiest are few, and may all have come.

One that was to be avoided weighs as much as four."""
_VALUES = 6
"""Sets of values tried for one circuit."""

_SHARES: Mapping[LookKind, tuple[int, ...]] = MappingProxyType(
    {
        LookKind.TYPE: (9, 9, 9, 8, 5),
        LookKind.POLES: (3, 9, 9, 9, 6),
        LookKind.ORIGIN_ZEROS: (9, 9, 9, 6, 3),
        LookKind.LOW_SLOPE: (9, 9, 9, 6, 3),
        LookKind.HIGH_SLOPE: (9, 9, 9, 6, 3),
    }
)
"""How often each answer is right; where nothing is said, each as often as any other.

No share passes one over the number of choices by more than a twentieth: whoever does not look
guesses no better.  Changes have shares of their own."""

_NAMED = (LOW, HIGH, BAND, NOTCH)
_OF_ANY = (LookKind.POLES, LookKind.ORIGIN_ZEROS, LookKind.LOW_SLOPE, LookKind.HIGH_SLOPE)
"""What can be asked of a circuit whose type has no name here, too."""
_SHELVES_FROM = 2


@dataclass(frozen=True, slots=True)
class _Goal:
    """What a look is to ask: the right answer, and what doubles where something does."""

    answer: str | None = None
    asked: Asked | None = None


def make_look(
    seed: int,
    kind: LookKind = LookKind.TYPE,
    *,
    group: SkillGroup | None = None,
    wanted: str | None = None,
    avoid: Collection[str] = (),
    hard: int = 1,
) -> Look:
    """A certified look: one right answer, proved.

    Args:
        seed: from 0 up to 2⁶³.
        kind: what it asks.
        group: circuits of this group alone.  Of changes the answer comes first: where the group
            has no circuit with it, one of another group is asked about.
        wanted: circuits of this type alone; of a pair, one of them.
        avoid: structures that are not to come again, as long as there are others.
        hard: 0 to 3: how hard the circuits are where no group is wanted.

    Raises:
        LookupError: no circuit of that group and type can be asked that, or all of the group
            have the same answer.
    """
    if group is not None and wanted is not None and wanted not in TYPES_OF_GROUP[group]:
        raise LookupError(f"no circuit of {group} is a {wanted}")
    if kind in MAKERS:
        return _made(seed, kind, group, wanted, avoid)
    chance = Chance(seed, "look", kind)
    goal = _goal(kind, group, wanted, hard, chance)
    wish = _wish(kind, goal, group, wanted, hard)
    again: Look | None = None
    met, most_met = 0, _MET_OF_LOOPS if group in LOOPS else _MET
    for attempt in range(_ATTEMPTS):
        drawn = draw_circuit(wish, hard + max(attempt, 4 * met) // _HARDER, chance)
        if drawn is None:
            continue
        known = structure(drawn.ladder) in avoid
        met += known
        if known and again is not None:
            if met >= most_met:
                break
            continue
        look = _valued_look(drawn, kind, seed, goal, wish, chance)
        if look is not None and not known:
            return look
        again = again or look
    if again is not None:
        return again
    asked_of = f"{group or 'any group'}, {wanted or 'any type'}"
    raise LookupError(f"no circuit ({asked_of}) has {goal.answer!r} for an answer to {kind}")


def _made(
    seed: int,
    kind: LookKind,
    group: SkillGroup | None,
    wanted: str | None,
    avoid: Collection[str],
) -> Look:
    """A look of a kind that has a maker of its own; see :func:`make_look`."""
    chance, again = Chance(seed, "look", kind), None
    if group is None or group in GROUPS_MADE.get(kind, ()):
        for _ in range(_MET):
            look = MAKERS[kind](kind, seed, wanted, chance)
            if look is not None and look.structure not in avoid:
                return look
            again = again or look
    if again is not None:
        return again
    raise LookupError(f"no circuit ({group or 'any group'}) can be asked for {kind}")


def look_of(ladder: Ladder, kind: LookKind, seed: int = 0) -> Look | None:
    """The certified look at a circuit with values; ``None`` where it cannot be asked that.

    Args:
        ladder: the circuit, with values.
        kind: what is asked.
        seed: chooses, where there is more to a look than the circuit: which part doubles, which
            circuits stand beside it.

    Other kinds with makers of their own (:data:`look_made.MAKERS`) than those of a load that is
    taken off begin with no given circuit.
    """
    if kind in LOADS:
        return unloaded_look(ladder, kind, seed, Chance(seed, "look of", kind))
    if kind in MAKERS:
        return None
    return _look(ladder, kind, seed, _Goal(), Chance(seed, "look of", kind))


def _goal(
    kind: LookKind, group: SkillGroup | None, wanted: str | None, hard: int, chance: Chance
) -> _Goal:
    if kind in CHANGES:
        asked = draw_asked(kind, chance)
        return _Goal(asked[1], asked)
    if kind is LookKind.TYPE and wanted is not None:
        return _Goal(wanted)
    answers = look_row(kind).answers
    shares = _SHARES.get(kind, (1,) * len(answers))
    may = answers if group is None else _answers_of_group(kind, group)
    may = tuple(a for a in may if types_of(_wish(kind, _Goal(a), group, wanted, hard)))
    shares = tuple(n * (a in may) for a, n in zip(answers, shares, strict=True))
    if not any(shares) or (len(may) < 2 and wanted is None):
        raise LookupError(f"the circuits of {group} have no two answers to {kind}")
    return _Goal(_weighed(answers, shares, chance))


def kinds_of_group(group: SkillGroup) -> tuple[LookKind, ...]:
    """The kinds of look whose answers differ within a group, so that they are worth asking."""
    return tuple(kind for kind in LookKind if len(_answers_of_group(kind, group)) > 1)


def _answers_of_group(kind: LookKind, group: SkillGroup) -> tuple[str, ...]:
    answers = look_row(kind).answers
    if group not in LOOKED_AT:
        return ()
    if kind in CHANGES:
        return answers if group in GROUPS_CHANGED[kind] else ()
    if kind is LookKind.TYPE:
        return _among(answers, TYPES_OF_GROUP[group])
    if kind in MAKERS:
        return answers if group in GROUPS_MADE.get(kind, ()) else ()
    if kind is LookKind.DC_OUTPUT and (group in LOOPS or group is SkillGroup.LOADED):
        # One resistance alone divides nothing; a load hardly ever leaves all of it.
        return tuple(a for a in answers if a != ("part" if group in LOOPS else "all"))
    if kind is LookKind.CORNER_PHASE:
        return _turns_of_group(answers, group)
    if kind is LookKind.STEP_OF_CIRCUIT and group is SkillGroup.LADDERS:
        return ()  # their poles lie too far apart for one axis of time
    counts = counts_of_group(kind, group)
    return answers if counts is None else tuple(answers[n] for n in counts)


def _turns_of_group(answers: Sequence[str], group: SkillGroup) -> tuple[str, ...]:
    orders = counts_of_group(LookKind.POLES, group) or ()
    types = {"-": LOW, "+": HIGH, "0": BAND}
    return tuple(
        answer
        for answer in answers
        if types[answer[0]] in TYPES_OF_GROUP[group]
        and (1 if answer.endswith("45") else 2) in orders
    )


def _weighed(options: Sequence[str], shares: Sequence[int], chance: Chance) -> str:
    drawn = chance.below(sum(shares))
    for option, share in zip(options, shares, strict=True):
        drawn -= share
        if drawn < 0:
            return option
    raise AssertionError("shares add up")


def _wish(
    kind: LookKind, goal: _Goal, group: SkillGroup | None, wanted: str | None, hard: int
) -> Wish:
    """What a circuit must be for the answer to be right, as far as that is known beforehand."""
    types = TYPES_OF_GROUP[group] if group else (*_NAMED, FLAT)
    if wanted is not None:
        types = (wanted,)
    elif kind in _OF_ANY and group is None and hard >= _SHELVES_FROM:
        types = (*types, SHELF)
    wish, answer = Wish(types, group=group), goal.answer or ""
    match kind:
        case LookKind.TYPE:
            return replace(wish, types=_among(types, (answer,)))
        case LookKind.LOW_END:
            blocked = answer == "blocked"
            return replace(wish, types=_among(types, (HIGH, BAND) if blocked else (LOW, NOTCH)))
        case LookKind.HIGH_END:
            blocked = answer == "blocked"
            return replace(wish, types=_among(types, (LOW, BAND) if blocked else (HIGH, NOTCH)))
        case LookKind.FED:
            return replace(wish, fed=Place(answer))
        case LookKind.POLES:
            return replace(wish, poles=int(answer))
        case LookKind.ORIGIN_ZEROS:
            return replace(wish, low=int(answer))
        case LookKind.LOW_SLOPE:
            return replace(wish, low=int(answer) // 20)
        case LookKind.HIGH_SLOPE:
            return replace(wish, high=-int(answer) // 20)
        case LookKind.DC_OUTPUT:
            passed = (LOW, NOTCH, FLAT) if answer != "nothing" else (HIGH, BAND)
            return replace(wish, types=_among(types, passed))
        case LookKind.CORNER_PHASE:
            poles = 1 if answer.endswith("45") else 2
            type_ = {"-": LOW, "+": HIGH}.get(answer[:1], BAND)
            return replace(wish, types=_among(types, (type_,)), poles=poles)
    wish = replace(wish, types=_among(types, _NAMED))
    if goal.asked is not None:
        groups = groups_asked(kind, goal.asked)
        idle = goal.asked[0] if groups == (SkillGroup.DECOYS,) else None
        of_q = kind is LookKind.CHANGE_Q
        own = group if group in groups else None
        if kind is LookKind.CHANGE_BANDWIDTH:
            wish = replace(wish, types=_among(types, (BAND, NOTCH)), poles=2)
            return replace(wish, group=own, idle=idle, most=2)
        return replace(wish, group=own, idle=idle, most=2, poles=2 if of_q else None, resonant=of_q)
    return wish


def _among(types: Sequence[str], fit: Sequence[str]) -> tuple[str, ...]:
    return tuple(type_ for type_ in types if type_ in fit)


def _valued_look(
    drawn: Drawn, kind: LookKind, seed: int, goal: _Goal, wish: Wish, chance: Chance
) -> Look | None:
    """The look at what was drawn, with values; ``None`` where it is not what was wanted."""
    if goal.asked is not None and not may_change(drawn.ladder, kind, goal.asked):
        return None
    known = structural_facts(drawn.ladder)
    if kind in CHANGES:
        if change_asked(drawn.ladder, kind, known, goal.asked, chance) is None:
            return None
    elif kind in (*PICTURES, *PAIRS):
        if not may_face(kind, known) or not at_a_glance(drawn.ladder):
            return None
    elif truth_of_circuit(drawn.ladder, kind, known) != goal.answer:
        return None
    group = group_of_ladder(drawn.ladder)
    # Nothing idles unseen: decoys have their share, and no more; what is flat always is one.
    if wish.group is None and known.order and (group is SkillGroup.DECOYS) != drawn.decoy:
        return None
    for _ in range(_VALUES):
        ladder = with_values(drawn.ladder, chance)
        if ladder is not None and sound(ladder, known) is not None:
            return _look(ladder, kind, seed, goal, chance, proved=True)
    return None


def _look(
    ladder: Ladder, kind: LookKind, seed: int, goal: _Goal, chance: Chance, *, proved: bool = False
) -> Look | None:
    known = structural_facts(ladder)
    if not proved and sound(ladder, known) is None:
        return None
    look = Look(kind, seed, ladder, "", structure(ladder), group_of_ladder(ladder))
    if kind in CHANGES:
        found = change_asked(ladder, kind, known, goal.asked, chance)
        return found and replace(look, truth=found[1], values=(("part", found[0]),))
    if kind in PICTURES:
        return _pictures(look, goal.answer, chance)
    if kind in PAIRS:
        return _pair(look, goal.answer, chance)
    truth = truth_of_circuit(ladder, kind, known)
    return None if truth is None or goal.answer not in (None, truth) else replace(look, truth=truth)


def _pictures(look: Look, answer: str | None, chance: Chance) -> Look | None:
    known = structural_facts(look.ladder)
    answer = answer or chance.pick(look.answers)
    if not _may_stand_beside(look, known):
        return None
    if look.kind is LookKind.STEP_OF_CIRCUIT and not step_is_seen(facts(look.ladder)):
        return None
    others = three_others(look.ladder, look.kind, known, chance)
    if others is None:
        return None
    place = look.answers.index(answer)
    return _beside(look, answer, (*others[:place], look.ladder, *others[place:]))


def _pair(look: Look, answer: str | None, chance: Chance) -> Look | None:
    known = structural_facts(look.ladder)
    answer = answer or chance.pick(look.answers)
    if not _may_stand_beside(look, known):
        return None
    other = other_of_pair(look.ladder, look.kind, known, answer == "same", chance)
    if other is None:
        return None
    pair = (look.ladder, other) if chance.below(2) else (other, look.ladder)
    look = _beside(look, answer, pair)
    if look.kind is LookKind.SAME_TYPE:
        return look
    asked = structural_facts(pair[look.answers.index(answer)]).type.value
    return replace(look, values=(("asked", asked),))


def _may_stand_beside(look: Look, known: Structure) -> bool:
    return may_face(look.kind, known) and at_a_glance(look.ladder)


def _beside(look: Look, truth: str, shown: tuple[Ladder, ...]) -> Look:
    """The look with its circuits side by side, names in reading order: they give nothing away."""
    return replace(look, truth=truth, ladder=renamed(look.ladder), shown=tuple(map(renamed, shown)))
