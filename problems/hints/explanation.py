"""What is said of a wrong answer in a climb, and what whoever says it looks at.

An explanation never tells the value of a figure or a count, nor whether an answer is too large or
too small.  What it says is true of this very circuit; its words stand in ``content/why.toml``.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property, partial

from ..analysis.arms import End
from ..circuits.model import Element, Ladder
from ..grading.read import Unclear, read
from ..grading.reading import Reading
from ..questions.kinds import Slot
from ..questions.model import Answer, Choice, Earlier, Mark, Problem, Rung, SlipHit, figure_of
from ..questions.naming import named_by_levels
from .counterfact_ends import CounterFact
from .fill import Named, Phrase, Scene, Text, borrowed
from .hint import hint

LOOKS = "looks"
"""The file of words that explanations borrow from most."""


class Strength(IntEnum):
    """How much an explanation says; the weakest first."""

    SLIP = 1  # which belief leads to the answer
    FACT = 2  # a fact of this circuit that the answer contradicts
    REASON = 3  # the step that leads to the right answer, without its result


@dataclass(frozen=True, slots=True)
class Explanation:
    """One thing to say of a wrong answer.

    Args:
        strength: how much it says.
        slips: the slips that lead to the answer; of :attr:`Strength.SLIP` alone.
        against: the earlier answer that the answer contradicts, as a sentence of
            ``content/why.toml``; empty where there is none.
        says: its own sentences.
        ends: the ends at which the circuit can be redrawn, reactive parts replaced by opens and
            shorts; none where no end is in question.
        marked: names of the parts to mark in that drawing: what stops the signal, or lets it pass.
        passes: whether what is marked is a path that survives, and no block.
        lookalike: a circuit near this one that refutes the answer, or is what was answered.
    """

    strength: Strength
    slips: tuple[SlipHit, ...] = ()
    against: tuple[Phrase, ...] = ()
    says: tuple[Phrase, ...] = ()
    ends: tuple[End, ...] = ()
    marked: tuple[str, ...] = ()
    passes: bool = False
    lookalike: Ladder | None = None


@dataclass(frozen=True)
class WrongAnswer(Scene):
    """A wrong answer with its circuit, its question, and what is known from earlier in the climb.

    Args:
        problem: the problem.
        mark: the mark of the answer, which is wrong.
        earlier: right answers before it, by their kind of question.
    """

    problem: Problem = field(kw_only=True)
    mark: Mark = field(kw_only=True)
    earlier: Mapping[Rung, Earlier] = field(kw_only=True)

    @property
    def rung(self) -> Rung:
        """The kind of question."""
        return self.question.rung

    @property
    def answered(self) -> Answer:
        """What the answer was read as.

        Raises:
            ValueError: it was read as nothing, so that it can't have been wrong.
        """
        if self.mark.value is None:
            raise ValueError(f"{self.mark.typed!r} was read as no answer")
        return self.mark.value

    @property
    def choice(self) -> Choice:
        """The choice that was taken."""
        return self.question.choice(str(self.answered))

    @cached_property
    def elements(self) -> tuple[Element, ...]:
        """Every element, from the source to the load."""
        return tuple(self.ladder.elements())

    @cached_property
    def reading(self) -> Reading | None:
        """How the answer was read; ``None`` where its writer writes numbers in another way."""
        try:
            return read(self.question, self.mark.typed, self.elements, self.facts)
        except Unclear:
            return None

    @cached_property
    def by_levels(self) -> bool:
        """Whether levels name the type, and not exact zeros at the ends or a null."""
        return named_by_levels(self.facts) is not None

    @property
    def number(self) -> float:
        """An answer that is a number."""
        return figure_of(self.answered)

    @property
    def end(self) -> End:
        """The end that a question about one of them asks about."""
        return End.LOW if self.rung.value.startswith("low") else End.HIGH


def fact(
    *says: Phrase,
    end: End | None = None,
    marked: Collection[str] = (),
    passes: bool = False,
    lookalike: Ladder | None = None,
) -> Explanation:
    """A fact of the circuit, in the sentences ``says``.

    Args:
        says: its sentences.
        end: the end at which the circuit shows it.
        marked: the parts that are marked there.
        passes: whether they are a path that survives.
        lookalike: a circuit near this one that shows it.
    """
    ends = () if end is None else (end,)
    return Explanation(Strength.FACT, (), (), says, ends, tuple(marked), passes, lookalike)


def says(key: str, **values: Text) -> Phrase:
    """The sentence ``key`` of the words, filled with ``values``."""
    return Phrase(key, tuple(values.items()), "why")


def of_looks(text: Text) -> Text:
    """A ``text`` whose phrases are those of looks."""
    return borrowed(text, LOOKS)


def sentence_of_looks(key: str, values: Named, table: str) -> Phrase:
    """A sentence that looks say too.

    Args:
        key: its key.
        values: what fills it.
        table: the table of ``content/looks.toml`` it stands in.
    """
    return Phrase(key, values, LOOKS, table)


def counterfact_fact(found: CounterFact, table: str) -> Explanation:
    """What a look would say, ``found``, as an explanation; ``table`` holds its words."""
    sentence = sentence_of_looks(found.key, found.values, table)
    return fact(sentence, end=found.end, marked=found.marked, passes=found.passes)


def of_hint(wrong: WrongAnswer, level: int) -> Explanation:
    """What the question's own hint says.

    Args:
        wrong: the answer.
        level: of the hint: 1 the principle, 2 where to look, 3 the step worked.
    """
    found = hint(wrong.problem, wrong.question)
    part = ("principle", "look", "step")[level - 1]
    words = Phrase(found.variant(level), found.values, "hints", f"{wrong.rung.value}.{part}")
    return fact(words, marked=found.focus)


Explainer = Callable[[WrongAnswer], Explanation]


def as_hinted(level: int) -> Explainer:
    """The explainer that says what the question's own hint says at a ``level``; see above."""
    return partial(of_hint, level=level)


FACTS: Slot[Explainer] = Slot()
"""Which function finds the fact that contradicts a wrong answer to which kind of question."""

REASONS: Slot[Explainer] = Slot()
"""Which function tells the step that leads to the right answer, without its result."""
