"""A circuit for the board on which one slip shows: small, of round values, and certified.

The circuit is drawn from the families that were asked, its values are rounded to 1, 2 or 5 times
a power of ten, and it is certified anew as any problem is.  What counts, in this order: that the
right answer and what the slip makes of it differ plainly, that the circuit is small, that its
values are round.  Nothing here knows a plan's seed: the same slip has the same circuit in every
class that was asked the same families.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache, partial
from itertools import islice, product

from ..analysis.response import Facts, facts
from ..catalogue import families
from ..catalogue.families import Family
from ..circuits.model import CircuitError, Element, Kind, Ladder, mapped
from ..generate.analyse import GenerationError, drawn_circuit
from ..generate.certify import CertificationError, certify
from ..grading.grade import grade, right_text
from ..quantities.convert import to_asked
from ..quantities.write import write_quantity
from ..questions.kinds import kind
from ..questions.model import Form, Problem, Question, Rung, SlipHit, Task, Verdict, figure_of
from ..slips.case import numeric
from ..slips.engine import Prediction, predictions
from ..slips.order import SLIPS
from .model import FixedCircuit, PlanSection, Series, SheetError
from .problems import ASKABLE, EXPLAINED, can_ask, fixed_problem, problem_of

MOST_FAMILIES = 6
"""Families asked that are tried, those where it cost most first."""
DRAWS = 8
"""Circuits of each that are tried."""
_FEW = 2
"""Circuits tried of each family that was not asked."""
PLAIN = 1.5
"""A figure this many times off is told apart at a glance; common practice, no source."""
_PLAIN_LEVELS = {"dB": 3.0, "°": 20.0}
"""So are levels this far apart, in their unit."""
_ROUND, _TENS = (1, 2, 5, 10), (1, 10)


@dataclass(frozen=True, slots=True)
class BoardCircuit:
    """A problem, the one of its questions that is asked, and what the slip would answer.

    ``named`` is what the grader says of that answer.
    """

    problem: Problem
    question: Question
    slipped: Prediction
    named: SlipHit


def board_circuit(slip: str, rung: Rung, names: Sequence[str]) -> BoardCircuit | None:
    """The circuit on which a slip shows most clearly; ``None`` where none was found.

    Args:
        slip: the slip's id.
        rung: the kind of question it is shown at.
        names: families that were asked, those first where it cost most; what is no family is
            passed over, and where none of them will do the whole catalogue is tried.
    """
    return _found(slip, rung, tuple(dict.fromkeys(names)))


@lru_cache(maxsize=64)
def _found(slip: str, rung: Rung, names: tuple[str, ...]) -> BoardCircuit | None:
    section = section_of(rung)
    if section is None or not any(one.id == slip and rung in one.rungs for one in SLIPS):
        return None
    rows = {row.name: row for row in families.FAMILIES}
    known = (name for name in names if name in rows)
    asked = [rows.pop(name) for name in list(islice(known, MOST_FAMILIES))]
    found = [shown for row in asked for shown in _drawn(section, row, slip, rung, DRAWS)]
    if found:
        return min(found, key=_worth)
    for row in rows.values():
        # Of a family that can't be asked it every draw would be tried hundreds of times.
        fit = kind(rung).fits(row) and can_ask(row.name, section)
        if fit and (found := list(_drawn(section, row, slip, rung, _FEW))):
            return min(found, key=_worth)
    return None


def section_of(rung: Rung) -> PlanSection | None:
    """A section that asks ``rung``, and what it is the reason of; ``None`` where no sheet can."""
    task = kind(rung).task
    if rung not in ASKABLE[task]:
        return None
    answer = EXPLAINED.get(rung)
    return PlanSection(task=task, ask=(rung,) if answer is None else (answer, rung))


def _drawn(
    section: PlanSection, row: Family, slip: str, rung: Rung, draws: int
) -> Iterator[BoardCircuit]:
    """The circuits of a family that show the slip: of round values, else of preferred ones."""
    for makers in _MAKERS:
        found = False
        for seed, make in product(range(draws), makers):
            try:
                problem = make(section, row, seed)
            except (CertificationError, CircuitError, GenerationError, SheetError):
                continue
            if problem is None:
                continue
            known = facts(problem.ladder)
            for question in problem.questions:
                if question.rung is rung:
                    for shown in _shown(problem, known, question, slip):
                        found = True
                        yield shown
        if found:
            return


def _of_round_values(
    digits: Sequence[int], section: PlanSection, row: Family, seed: int
) -> Problem | None:
    if section.task is Task.REVERSE:  # its values follow from what is asked
        return None
    drawn = drawn_circuit(row, seed, 0)
    if drawn is None:
        return None
    ladder = plainly_named(mapped(drawn[0], lambda element: rounded(element, digits)))
    if facts(ladder).type is not row.type:
        return None
    problem = fixed_problem(section, FixedCircuit(ladder))
    certify(problem)
    return replace(problem, family=row.name)


def _of_preferred_values(section: PlanSection, row: Family, seed: int) -> Problem:
    return problem_of(replace(section, series=Series.E6), row.name, seed)


_MAKERS: tuple[tuple[Callable[[PlanSection, Family, int], Problem | None], ...], ...] = (
    (partial(_of_round_values, _TENS), partial(_of_round_values, _ROUND)),
    (_of_preferred_values,),
)
"""What makes circuits of a family; the second are made where no circuit of the first will do."""


def _shown(problem: Problem, known: Facts, question: Question, slip: str) -> Iterator[BoardCircuit]:
    """What the slip answers, where it is the slip that the grader names for just that answer."""
    for found in predictions(problem.ladder, known, question):
        if found.slip != slip or not found.in_play or found.value == question.truth:
            continue
        mark = grade(problem, question, slipped_text(question, found), known)
        if mark.verdict is Verdict.WRONG and mark.slips and mark.slips[0].slip == slip:
            yield BoardCircuit(problem, question, found, mark.slips[0])


def slipped_text(question: Question, found: Prediction) -> str:
    """What a slip, by its prediction ``found``, makes of a ``question``, as it would be typed."""
    unit = found.typed_unit
    if unit and unit != question.unit and question.form is not Form.SKETCH:
        return write_quantity(to_asked(figure_of(found.value), question.unit, unit), unit)
    return right_text(replace(question, truth=found.value))


def _worth(found: BoardCircuit) -> tuple[bool, int, int, int]:
    """What makes one circuit better than another, least first; see the head of this module."""
    elements = list(found.problem.ladder.elements())
    handy = sum(not _HANDY[e.kind][0] <= (e.value or 0) <= _HANDY[e.kind][1] for e in elements)
    return not plain(found), len(elements), handy, sum(map(_unround, elements))


def plain(found: BoardCircuit) -> bool:
    """Whether the right answer and the slip's differ at a glance."""
    question = found.question
    if not numeric(question) or found.slipped.typed_unit:
        return True
    truth, slipped = question.figure, figure_of(found.slipped.value)
    if question.unit in _PLAIN_LEVELS:
        return question.apart(truth, slipped) >= _PLAIN_LEVELS[question.unit]
    return max(truth, slipped) >= PLAIN * min(truth, slipped)


def rounded(element: Element, digits: Sequence[int] = _ROUND) -> Element:
    """An element with the nearest value that is one of some digits times a power of ten.

    Args:
        element: with a value; one without stays as it is.
        digits: the digits, such as 1, 2 and 5, and the next ten.
    """
    if element.value is None:
        return element
    power = Fraction(1)
    while element.value >= 10 * power:
        power *= 10
    while element.value < power:
        power /= 10
    value = element.value / power
    # Nearest by ratio: 1.4 is nearer to 1 than to 2, and 3 nearer to 2 than to 5.
    near = min(digits, key=lambda n: max(n / value, value / n))
    return replace(element, value=near * power)


def plainly_named(ladder: Ladder) -> Ladder:
    """``ladder`` with its parts called R, L and C, or R1, R2 where there are several."""
    ends = {e.name for e in (ladder.source, ladder.load) if e is not None}
    arms = [e for e in ladder.elements() if e.name not in ends]
    count, place = Counter(e.kind for e in arms), Counter[object]()
    names = {}
    for element in arms:
        place[element.kind] += 1
        number = str(place[element.kind]) if count[element.kind] > 1 else ""
        names[element.name] = f"{element.kind.value}{number}"
    taken = {*ends}
    if taken & set(names.values()):
        return ladder
    return mapped(ladder, lambda e: replace(e, name=names.get(e.name, e.name)))


_HANDY = {
    Kind.R: (Fraction(10), Fraction(100_000)),
    Kind.L: (Fraction(1, 10_000), Fraction(1)),
    Kind.C: (Fraction(1, 10**9), Fraction(1, 10**5)),
}
"""From where to where values are those of everyday parts; common practice, no source."""


def _unround(element: Element) -> int:
    """How much of a value has to be read: nothing for a power of ten."""
    value = element.value or Fraction(1)
    digits = str(value.numerator * (10**15 // value.denominator)).strip("0")
    return 0 if digits == "1" else len(digits)
