"""Small circuits judged by inspection: of which types, drawn and proved, and asked with boxes.

The circuits are those of looks: any certified topology, not only the families of the catalogue.
Each is a problem like all others, whose counts and slopes are chosen too, so that every answer is
one letter.  What is right is found twice, from the structure alone and from the exact response,
and both must agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from ..analysis.response import facts
from ..analysis.structural import structural_facts
from ..catalogue.groups import LOOKED_AT, SkillGroup
from ..catalogue.topologies import structure
from ..chance import Chance
from ..circuits.model import Arm, Group, Kind, Ladder, Place, valueless
from ..generate.analyse import GenerationError
from ..generate.certify import CertificationError, certify
from ..generate.look import make_look
from ..generate.look_draw import TYPES_OF_GROUP
from ..generate.look_truth import truth_of
from ..questions.asking import Asking
from ..questions.kinds import MAKERS
from ..questions.looks import TYPES, LookKind, look_row
from ..questions.model import FORMAT, Choice, Form, Problem, Question, Rung
from .model import PlanSection, SheetProblem

LOOKED: Mapping[Rung, LookKind] = MappingProxyType(
    {
        Rung.FED: LookKind.FED,
        Rung.LOW_END: LookKind.LOW_END,
        Rung.HIGH_END: LookKind.HIGH_END,
        Rung.TYPE: LookKind.TYPE,
        Rung.POLES: LookKind.POLES,
        Rung.ORIGIN_ZEROS: LookKind.ORIGIN_ZEROS,
        Rung.LOW_SLOPE: LookKind.LOW_SLOPE,
        Rung.HIGH_SLOPE: LookKind.HIGH_SLOPE,
    }
)
"""What can be asked by inspection, and the look that asks the same."""

USUAL = (Rung.FED, Rung.TYPE, Rung.POLES, Rung.LOW_SLOPE, Rung.HIGH_SLOPE)
"""What is asked where the plan does not say, as far as there is room for it."""


@dataclass(frozen=True, slots=True)
class CircuitsOnPage:
    """How many circuits share a page: ``across`` columns, ``down`` rows.

    ``hard`` is how hard they are (see ``look_draw``), ``room`` how many points wide, so that a
    drawing is legible in its cell: see :func:`breadth`; ``asked`` how much is asked of each where
    the plan does not say.
    """

    across: int
    down: int
    hard: tuple[int, ...]
    room: float
    asked: int = len(USUAL)


ON_PAGE: Mapping[int, CircuitsOnPage] = MappingProxyType(
    {
        2: CircuitsOnPage(1, 2, (2, 3), 420.0),
        9: CircuitsOnPage(3, 3, (0, 1, 2), 178.0),
        12: CircuitsOnPage(3, 4, (0, 1, 2), 178.0),
        20: CircuitsOnPage(4, 5, (0, 1), 130.0, 3),
    }
)
"""How many circuits a page may hold, and what that means for them."""
NO_VALUES = 20
"""So many circuits on a page leave no room for the values of their parts."""

_FLAT = TYPES[-1]
_TRIES = 200
"""Circuits drawn before a type is held not to lend itself to what is asked."""


def asked_of(section: PlanSection) -> tuple[Rung, ...]:
    """What a ``section`` asks of each of its circuits."""
    return section.ask or USUAL[: ON_PAGE[section.by_inspection].asked]


def types_of(section: PlanSection) -> tuple[str, ...]:
    """The types that circuits of a ``section`` may have, in the order of the choices.

    Where it is asked how they are fed, none is flat: nothing reactive has a say in that.
    """
    groups = section.groups or LOOKED_AT
    found = {type_ for group in groups for type_ in TYPES_OF_GROUP[group]}
    if Rung.FED in asked_of(section):
        found -= {_FLAT}
    return tuple(type_ for type_ in TYPES if type_ in found)


def types_drawn(section: PlanSection, chance: Chance) -> tuple[str, ...]:
    """The type of each circuit of a ``section``: every type comes before one comes again.

    ``chance`` shuffles each round of them.
    """
    found: list[str] = []
    while len(found) < section.count:
        fresh = chance.shuffled(types_of(section))
        if found and len(fresh) > 1 and fresh[0] == found[-1]:
            fresh = [*fresh[1:], fresh[0]]
        found += fresh
    return tuple(found[: section.count])


def inspected(section: PlanSection, type_: str, seed: int) -> Problem:
    """The certified problem of a ``seed``: a circuit of a ``type_``, asked what a ``section`` asks.

    Raises:
        GenerationError: no circuit drawn can be asked all of it.
    """
    chance = Chance(seed, "inspection")
    limits = ON_PAGE[section.by_inspection]
    groups = [g for g in section.groups if type_ in TYPES_OF_GROUP[g]]
    for _ in range(_TRIES):
        hard = chance.pick(limits.hard)
        drawn: SkillGroup | None = chance.pick(groups) if groups else None
        look_seed = chance.bits() >> 1
        try:
            look = make_look(look_seed, LookKind.TYPE, group=drawn, wanted=type_, hard=hard)
        except LookupError:
            continue
        if breadth(look.ladder, section.values) > limits.room:
            continue
        problem = problem_by_inspection(look.ladder, asked_of(section), seed)
        if problem is not None:
            return problem
    raise GenerationError(
        "seed.no-problem", family=type_, seed=seed, attempts=_TRIES, trouble="by inspection"
    )


def breadth(ladder: Ladder, values: bool) -> float:
    """About how many points wide a drawing of a circuit is, with letters of 9 points.

    The summands were fitted to 4,000 drawings; a test holds them to drawings.  They need not be
    exact: who draws measures, and makes the drawings of a page smaller alike.

    Args:
        ladder: the circuit.
        values: whether values are written.
    """
    total = _START[values]
    standing = False
    for placed, arm in _drawn_apart(ladder):
        if placed is Place.SHUNT:
            total += _SHUNTS[values] if standing else 0.0
        elif arm is None:
            total += _BUFFER[values]
        elif isinstance(arm, Group):
            total += _STACK[values]
        else:
            total += (_PLATES if arm.kind is Kind.C else _BODY)[values]
        standing = placed is Place.SHUNT
    return total + (_LAST[values] if standing else 0.0)


# Points without values, and with them.
_START = (41.0, 44.0)
_BODY, _PLATES = (37.5, 42.0), (16.5, 31.0)
_STACK, _BUFFER = (45.0, 43.5), (35.0, 42.5)
_SHUNTS, _LAST = (25.5, 40.0), (18.0, 29.0)


def _drawn_apart(ladder: Ladder) -> Iterator[tuple[Place, Arm | None]]:
    """What stands side by side in a drawing: arms, or parts of arms that need no joint."""
    if ladder.source is not None:
        yield Place.SERIES, ladder.source
    for stage in ladder.stages:
        loose = isinstance(stage.arm, Group) and stage.arm.joint is stage.place.joint
        parts = stage.arm.parts if loose and isinstance(stage.arm, Group) else (stage.arm,)
        for part in parts:
            yield stage.place, part
    if ladder.load is not None:
        yield Place.SHUNT, ladder.load


def problem_by_inspection(ladder: Ladder, asked: Iterable[Rung], seed: int = 0) -> Problem | None:
    """The problem of a ``ladder`` with values; ``None`` where not all can be ``asked`` of it.

    It is asked what ``LOOKED`` has; a ``seed`` says what the circuit was made of.
    """
    known, built = facts(ladder), structural_facts(ladder)
    asking = Asking(known, Chance(seed))
    questions: list[Question] = []
    for rung in asked:
        maker = MAKERS.get(rung)
        question = maker(asking) if maker is not None else None
        truth = truth_of(LOOKED[rung], built)
        if question is None or truth is None:
            return None
        boxed = with_boxes(question)
        if chosen(boxed) != truth:
            return None
        questions.append(boxed)
    problem = Problem(FORMAT, "", 0, seed, ladder, tuple(questions))
    try:
        certify(problem, known)
    except CertificationError:
        return None
    return problem


def with_boxes(question: Question) -> Question:
    """A count or a slope with what there is to choose from; other questions have it already."""
    if question.form not in (Form.COUNT, Form.SLOPE):
        return question
    answers = look_row(LOOKED[question.rung]).answers
    return replace(question, choices=tuple(Choice(answer) for answer in answers))


def chosen(question: Question) -> str:
    """The id of the right one of the choices of a ``question`` by inspection; "" for none."""
    if question.form is Form.CHOICE:
        return str(question.truth)
    ids = (choice.id for choice in question.choices)
    return next((id_ for id_ in ids if float(id_) == question.figure), "")


def as_seen(item: SheetProblem, values: bool) -> SheetProblem:
    """What students see of an ``item``: a circuit by its letters alone, unless with ``values``."""
    if values or item.ladder is None:
        return item
    return replace(item, ladder=valueless(item.ladder))


def page_print(problems: Iterable[Problem]) -> str:
    """What two students' pages share that may not both be given: ``problems`` of these structures.

    Names and values do not count, nor does the order on the page.
    """
    return "by inspection: " + " | ".join(sorted(structure(p.ladder) for p in problems))
