"""What must hold of a question that leads back to the circuit: one right answer, proved.

The circuits of the choices are analysed anew; values are solved for once more from the circuit
as it is shown afterwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ..analysis.design import for_corner, for_q, omega_of, pair_of
from ..analysis.response import Facts
from ..circuits.gaps import place_of
from ..circuits.model import Ladder, valueless
from ..quantities.units import Quantity
from ..questions.lookalikes import visibly_different
from ..questions.model import Face, Problem, Question, Rung
from ..questions.reverse import differences, of_choice, outcome, sizes_for
from ..questions.values import text_of, value_of

_SAME = 1e-9
_AS_WANTED = 2e-3
"""The circuit shown afterwards has its value with four digits, and what was wanted to this."""


def troubles(problem: Problem, known: Facts) -> Iterator[str]:
    """What is wrong with the questions of a ``problem`` that leads back to its circuit.

    ``known`` are the circuit's facts.
    """
    for question in problem.questions:
        match question.rung:
            case Rung.WHICH_CIRCUIT:
                yield from _which(problem, known, question)
            case Rung.LOOKALIKE_REASON:
                yield from _reason(problem, known, question)
            case Rung.MISSING_ARM:
                yield from _arm(problem, known, question)
            case Rung.ELEMENT_VALUE | Rung.LEAST_VALUE | Rung.MOST_VALUE:
                yield from _value(problem, known, question)


def _which(problem: Problem, known: Facts, question: Question) -> Iterator[str]:
    if problem.face not in (Face.GAIN, Face.MAP):
        yield "there is no response to go by"
    for choice in question.choices:
        found = of_choice(choice)
        if found is None:
            yield f"nothing comes out of {choice.id}"
            continue
        if valueless(found.ladder) != value_of(choice.values, "circuit", Ladder):
            yield f"{choice.id} is not the circuit that is shown"
        if choice.id == question.truth:
            if found.transfer != known.transfer:
                yield f"{choice.id} has another response"
        elif not visibly_different(known, found, problem.face):
            yield f"{choice.id} cannot be told from the right one"


def _reason(problem: Problem, known: Facts, question: Question) -> Iterator[str]:
    other = value_of(question.values, "other", Ladder)
    which = next(q for q in problem.questions if q.rung is Rung.WHICH_CIRCUIT)
    meant = [c for c in which.choices if value_of(c.values, "circuit", Ladder) == other]
    if len(meant) != 1 or meant[0].id == which.truth:
        yield f"{text_of(other)} is no look-alike"
        return
    seen = of_choice(meant[0])
    holds = {c.id: c.holds for c in differences(known, seen)} if seen else {}
    true = [c.id for c in question.choices if holds.get(c.id, True)]
    if true != [question.truth]:
        yield f"of the reasons {true} hold"


def _arm(problem: Problem, known: Facts, question: Question) -> Iterator[str]:
    index = value_of(question.values, "stage", int)
    if place_of(problem.ladder, problem.blank) != index or problem.face is not Face.BLANK:
        yield "the arm left out is not the one asked for"
    wanted = (known.type_exact, known.transfer.order)
    fit = [c.id for c in question.choices if outcome(problem.ladder, index, c.id) == wanted]
    if fit != [question.truth]:
        yield f"{fit} make a {known.type_exact} of order {known.transfer.order}"


def _value(problem: Problem, known: Facts, question: Question) -> Iterator[str]:
    name, truth = value_of(question.values, "element", str), question.figure
    if name not in problem.blank or problem.face is not Face.BLANK:
        yield f"the value of {name} is there to be read"
    found = solutions(problem, question)
    if len(found) != 1 or abs(found[0] - truth) > _SAME * truth:
        yield f"{name} is {truth}, but what is wanted leads to {found}"
    for wanted, is_so in (("f0", known.corner_hz), ("q", known.q)):
        if wanted in dict(question.values) and is_so is not None:
            asked = float(wanted_figure(question, wanted))
            if abs(is_so - asked) > _AS_WANTED * asked:
                yield f"{wanted} of the circuit is {is_so}, not {asked}"


def wanted_figure(question: Question, key: str) -> Fraction:
    """The figure that ``question`` wants under ``key`` ("f0", "q", ...), exactly.

    Raises:
        LookupError: it is not wanted.
    """
    return value_of(question.values, key, Quantity).value


def solutions(problem: Problem, question: Question) -> tuple[float, ...]:
    """Every value of the element asked for, in SI units, that gives what is wanted.

    ``problem`` has the circuit, and ``question`` is one of its own.
    """
    name, ladder = value_of(question.values, "element", str), problem.ladder
    match question.asked:
        case "q":
            return for_q(ladder, name, wanted_figure(question, "q"))
        case "both":
            pair = pair_of(ladder)
            if pair is None:
                return ()
            sizes = sizes_for(pair, wanted_figure(question, "f0"), wanted_figure(question, "q"))
            return (sizes[name],)
        case "corner":
            found = [for_corner(ladder, name, omega_of(wanted_figure(question, "f0")))]
        case _:
            ends = [
                for_corner(ladder, name, omega_of(wanted_figure(question, key)))
                for key in ("f1", "f2")
            ]
            if None in ends:
                return ()
            least = question.rung is Rung.LEAST_VALUE
            found = [(min if least else max)(x for x in ends if x is not None)]
    return tuple(x for x in found if x is not None)
