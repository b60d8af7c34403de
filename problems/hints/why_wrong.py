"""Why a wrong answer in a climb cannot be right: everything there is to say, the weakest first.

First the slip that explains it, where one does; then a fact of this very circuit that the answer
contradicts, with the earlier answer of the same climb that it contradicts; then the step that leads
to the right answer, without its result.  Whoever makes the same error again is told the next.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from types import MappingProxyType, ModuleType

from ..questions.model import (
    Earlier,
    Form,
    Mark,
    Problem,
    Question,
    SlipHit,
    Values,
    Verdict,
)
from . import (
    against_back,
    against_changes,
    against_counts,
    against_curves,
    against_ends,
    against_figures,
    against_levels,
    against_resonance,
    against_shelf,
    against_slopes,
    against_steps,
    against_transfer,
)
from .contradicted import contradiction
from .explanation import FACTS, REASONS, Explanation, Strength, WrongAnswer, of_hint

_KINDS: tuple[ModuleType, ...] = (
    against_ends,
    against_counts,
    against_shelf,
    against_slopes,
    against_figures,
    against_transfer,
    against_back,
    against_curves,
    against_steps,
    against_changes,
    against_resonance,
    against_levels,
)
"""Modules that fill the slots: importing them is enough."""


def explanations(
    problem: Problem, question: Question, mark: Mark, earlier: Iterable[Earlier] = ()
) -> tuple[Explanation, ...]:
    """All there is to say of a wrong answer, the weakest first; nothing of any other answer.

    Args:
        problem: the problem.
        question: the question.
        mark: the mark of the answer.
        earlier: right answers that are known from earlier in the climb.
    """
    if mark.verdict is not Verdict.WRONG or mark.value is None:
        return ()
    known = MappingProxyType({each.rung: each for each in earlier})
    wrong = WrongAnswer(problem.ladder, question, problem=problem, mark=mark, earlier=known)
    found: list[Explanation] = []
    against = contradiction(wrong)
    if mark.slips:
        found.append(Explanation(Strength.SLIP, mark.slips, against))
    if question.form is not Form.SKETCH:
        told = _of(wrong, Strength.FACT)
        found.append(told if mark.slips else replace(told, against=against))
        found.append(_of(wrong, Strength.REASON))
    return tuple(found)


def _of(wrong: WrongAnswer, strength: Strength) -> Explanation:
    slot = FACTS if strength is Strength.FACT else REASONS
    explain = slot.get(wrong.rung)
    found = of_hint(wrong, 2) if explain is None else explain(wrong)  # a kind without facts yet
    return replace(found, strength=strength)


def next_one(found: Sequence[Explanation], told: Collection[Explanation]) -> Explanation | None:
    """The weakest of the explanations ``found`` that is not yet ``told``; else the strongest.

    A slip is told once its sentence was, at whichever question; ``None`` where there is nothing to
    say.
    """
    said = {_core(each) for each in told}
    fresh = (each for each in found if _core(each) not in said)
    return next(fresh, found[-1] if found else None)


def _core(each: Explanation) -> object:
    """What makes two explanations the same: of slips their names and the parts they speak of."""
    if each.strength is Strength.SLIP:
        return tuple((hit.slip, _spoken(hit)) for hit in each.slips)
    return each.says


def _spoken(hit: SlipHit) -> Values:
    """What fills a slip's sentence, but for what was typed and where."""
    return tuple(pair for pair in hit.values if pair[0] not in _WHERE)


_WHERE = ("typed", "end", "answered")
