"""One circuit in full: which of its questions are asked, and in which order.

The type comes first, cold: recognising it is what the tutor is for.  What the two ends do is asked
after an error at the type, or while the ends are new, and is spared otherwise.  Right after it
comes the rest: counts, shapes, figures.  Six to eight questions as a rule; what is known already
is left out.  How many stores are independent is never asked beside the pole count, since the two
answers are nearly always one; which part adds no pole, and why, is asked after it instead.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ...problems.questions.kinds import REASON_OF
from ...problems.questions.model import Rung, Task
from .skill_map import TASK_OF, parts_of, skill_of

if TYPE_CHECKING:
    from ...problems.questions.model import Problem, Question
    from .skills import SkillState

LEAST, MOST = 6, 8
"""How many questions one circuit in full has as a rule; the ends that are spared do not count."""

ENDS = (Rung.LOW_END, Rung.LOW_END_REASON, Rung.HIGH_END, Rung.HIGH_END_REASON)
"""What is asked only after an error at the type, or while it is new."""

MET = 4
"""An end, and its reason, is new until it was right so often, whatever the circuit: one rule,
learnt once."""

_STAPLES = (Rung.TYPE, Rung.POLES, Rung.CORNER, Rung.Q)
_FIRST = (Rung.TYPE, *ENDS, Rung.TYPE_REASON, Rung.FED, Rung.POLES, Rung.NO_POLE)
_ORDER = (*_FIRST, *(rung for rung in Rung if rung not in _FIRST))


def in_order(rungs: Iterable[Rung]) -> tuple[Rung, ...]:
    """These ``rungs``, each once, in the order in which one circuit in full asks them."""
    return tuple(sorted(set(rungs), key=_ORDER.index))


def asked_of(
    problem: Problem, known: Collection[Rung] = (), kinds: Sequence[Rung] = ()
) -> tuple[Rung, ...]:
    """The kinds of question that are asked of a problem, in order.

    What is known is left out.  A sketch, or the way back to a circuit, is one thing to do: of these
    only what is asked by the way is.  Where all is known it is a review, and asked as if nothing
    were.

    Args:
        problem: as its seed made it.
        known: kinds that need not be asked any more.
        kinds: if given, only these are asked, as far as the circuit has them.
    """
    made = [question.rung for question in problem.questions]
    if set(made) <= {*known, *ENDS}:
        known = ()
    if not problem.family:
        return tuple(made)
    if problem.task is not Task.ANALYSE:
        whole = problem.task in (Task.SKETCH, Task.REVERSE)
        kept = {rung for rung in made if whole and TASK_OF[rung] is problem.task}
        return tuple(rung for rung in made if rung in kept or rung not in known)
    if kinds:
        chosen = [rung for rung in made if rung in kinds]
        return in_order(chosen or made)
    ends = [rung for rung in made if rung in ENDS] if Rung.TYPE in made else []
    # The two counts are nearly always one: the second is asked once the first is known.
    stores = Rung.POLES in known and Rung.INDEPENDENT not in known and Rung.INDEPENDENT in made
    left_out = Rung.POLES if stores else Rung.INDEPENDENT
    pool = [rung for rung in made if rung not in ends and rung is not left_out]
    reasons = {REASON_OF[rung] for rung in pool if rung in REASON_OF}
    steps = [rung for rung in pool if rung not in reasons]
    steps.sort(key=lambda rung: (rung in known, rung not in _STAPLES))  # stable: else as made
    taken: list[Rung] = []
    for rung in steps:
        # The type stays, cold: an answer that has become quick costs nothing.
        if (rung is Rung.TYPE or rung not in known) and len(taken) < MOST:
            taken.append(rung)
    for rung in tuple(taken):  # reasons fill what room is left
        reason = REASON_OF.get(rung)
        if reason in pool and reason is not None and reason not in known and len(taken) < MOST:
            taken.append(reason)
    return in_order([*taken, *ends])


def most_telling(
    problem: Problem, shows: Mapping[Rung, Collection[str]], worth: Mapping[str, float]
) -> tuple[Rung, ...]:
    """The questions in which most beliefs would show that did not yet: for somebody fluent.

    The type stays first, and the ends as they are; a reason follows what it is the reason of.

    Args:
        problem: as its seed made it.
        shows: the beliefs that would come to light, by question.
        worth: of each belief.
    """
    usual = asked_of(problem)
    if problem.task is not Task.ANALYSE or Rung.TYPE not in usual:
        return usual
    taken = [Rung.TYPE]
    met = set(shows[Rung.TYPE])
    made = [question.rung for question in problem.questions]
    parents = {REASON_OF[rung]: rung for rung in made if rung in REASON_OF}
    left = [rung for rung in made if rung not in ENDS and rung is not Rung.TYPE]
    while len(taken) < MOST:
        fit = [rung for rung in left if rung not in parents or parents[rung] in taken]
        if not fit:
            break
        best = max(
            fit,
            key=lambda rung: (
                sum(worth[belief] for belief in sorted(set(shows[rung]) - met)),
                rung in usual,
            ),
        )
        taken.append(best)
        met |= set(shows[best])
        counts = (Rung.POLES, Rung.INDEPENDENT)  # the two counts are nearly always one
        left = [r for r in left if r is not best and not (best in counts and r in counts)]
    return in_order([*taken, *(rung for rung in usual if rung in ENDS)])


def arranged(problem: Problem, rungs: Sequence[Rung]) -> Problem:
    """A ``problem`` with these of its ``rungs`` alone, in this order, as far as it asks them."""
    found: dict[Rung, Question] = {question.rung: question for question in problem.questions}
    asked = tuple(found[rung] for rung in rungs if rung in found)
    return replace(problem, questions=asked or problem.questions)


def spared(problem: Problem, new: Collection[Rung] = ()) -> frozenset[Rung]:
    """The ends that are not asked where the type was right at once.

    Args:
        problem: arranged.
        new: kinds that the learner still has to learn: these are asked in any case.
    """
    asked = [question.rung for question in problem.questions]
    if Rung.TYPE not in asked or problem.task is not Task.ANALYSE:
        return frozenset()
    after = asked[asked.index(Rung.TYPE) + 1 :]
    return frozenset(rung for rung in after if rung in ENDS and rung not in new)


def new_ends(states: Mapping[str, SkillState]) -> frozenset[Rung]:
    """The ends that a learner still has to learn, by the ``states`` of skills."""
    right = Counter[Rung]()
    for skill, state in states.items():
        right[parts_of(skill)[1]] += state.right
    return frozenset(rung for rung in ENDS if right[rung] < MET)


def mastered(problem: Problem, states: Mapping[str, SkillState]) -> frozenset[Rung]:
    """The kinds of question of a ``problem`` that are mastered, by the ``states`` of skills."""
    return frozenset(
        question.rung
        for question in problem.questions
        if (state := states.get(skill_of(problem.family, question.rung))) and state.mastered
    )
