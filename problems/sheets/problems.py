"""The problems of a sheet: a section of a plan and a seed → a certified problem.

The circuits are those that the drill draws.  Only what is asked differs: on paper every
question is in sight at once, so that none may give away the answer to another one.

A plan means the same sheets for ever: what it leaves to chance is drawn as in the first format
of seeds.  A family or a kind of question that came later is there where the plan names it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache, partial

from ..analysis.limits import CLEAR_DB
from ..analysis.response import Facts, facts
from ..catalogue import families
from ..catalogue.families import Family
from ..catalogue.groups import LEVEL_SINCE
from ..chance import Chance
from ..circuits.model import Ladder
from ..circuits.preferred import E6_STEP, E12_STEP, E24_STEP
from ..generate import predict, reverse
from ..generate.analyse import drawn_circuit, first_certified, first_way
from ..generate.certify import certify
from ..generate.sketch import lead_in, sketch_questions
from ..quantities.errors import wording
from ..questions.analyse import climb, questions_for
from ..questions.kinds import KINDS, REASON_OF, kind, kinds_of
from ..questions.model import TASK_SINCE, Form, Problem, Question, Rung, Task
from ..questions.naming import decibels, too_near
from ..slips.engine import predictions
from .inspection import inspected
from .model import FixedCircuit, PlanSection, PlanTrouble, Series, SheetError

STEPS = {Series.E6: E6_STEP, Series.E12: E12_STEP, Series.E24: E24_STEP}

ASKABLE: dict[Task, frozenset[Rung]] = {
    Task.ANALYSE: frozenset(kinds_of(Task.ANALYSE)),
    Task.SKETCH: frozenset(
        row.rung for row in KINDS if row.task is Task.SKETCH or Task.SKETCH in row.also
    ),
    # A reason speaks of the very parts that are asked for.
    Task.REVERSE: frozenset(
        row.rung
        for row in KINDS
        if row.task in (Task.ANALYSE, Task.REVERSE) and not row.reason_of and not row.tells
    ),
    Task.PREDICT: frozenset(kinds_of(Task.PREDICT)),
}
"""The kinds of question a section of each task may ask for."""

EXPLAINED = {reason: rung for rung, reason in REASON_OF.items()}
"""The kind of question that each kind asks the reason of."""

_STREAM = 1
"""Names the streams that what is asked is drawn from: the same in every format."""

_TYPED_LEVEL = 3
"""A typed circuit is asked as many questions as a climb of this level has."""

WAYS = {row.rung: row.ways for row in KINDS if row.ways}
"""The ways back to a circuit (``generate.reverse.KINDS``) that ask each question."""

NAMING = frozenset(
    {
        *(Rung.LOW_END, Rung.LOW_END_REASON, Rung.HIGH_END, Rung.HIGH_END_REASON),
        *(Rung.TYPE, Rung.TYPE_REASON, Rung.GAIN),
        *(Rung.BANDWIDTH, Rung.LOWER_EDGE, Rung.UPPER_EDGE),
    }
)
"""The kinds of question whose answers follow from what a circuit is called."""

_SOON = 3
_TRIES = {Task.ANALYSE: 40, Task.SKETCH: 40, Task.REVERSE: 10, Task.PREDICT: 10}
"""Circuits tried before a family is held not to lend itself to what is asked."""


def problem_of(section: PlanSection, family: str, seed: int) -> Problem:
    """The certified problem of a ``family`` and a ``seed``, asking what the ``section`` asks.

    By inspection, ``family`` is the circuit's type.

    Raises:
        UnknownFamily: there is no such family.
        GenerationError: no attempt could be certified.
    """
    if section.by_inspection:
        return inspected(section, family, seed)
    tried, trouble = partial(_attempt, section), "not everything can be asked of it"
    return first_certified(families.find(family), seed, tried, trouble)


def _format(section: PlanSection) -> int:
    """The earliest format that has all the kinds of question and levels which a section names."""
    levels = {*section.levels, *(families.find(name).level for name in section.families)}
    later = (LEVEL_SINCE.get(level, 1) for level in levels)
    own = TASK_SINCE.get(section.task, 1)
    return max((own, *later, *(kind(rung).since for rung in section.ask)))


def _attempt(section: PlanSection, row: Family, seed: int, number: int) -> Problem | None:
    step = None if section.series is None else STEPS[section.series]
    format_ = max(row.since, _format(section))
    circuit = drawn_circuit(row, seed, number, step, format_)
    if circuit is None:
        return None
    ladder, known = circuit
    chance = Chance(seed, "sheet", _STREAM, row.name, number)
    if section.task is Task.REVERSE:
        return first_way(_ways_back(section, row, seed, ladder, known, chance))
    if section.task is Task.PREDICT:
        return first_way(_predicted(section, row, seed, ladder, known, number))
    since = max(LEVEL_SINCE.get(row.level, 1), _format(section))
    asked = _questions(section, ladder, known, row.level, chance, since)
    if not asked:
        return None
    problem = Problem(format_, row.name, row.level, seed, ladder, asked, section.task)
    certify(problem, known)
    return problem if _shows(section, problem, known) else None


def _shows(section: PlanSection, problem: Problem, known: Facts) -> bool:
    """Whether every slip that is to show leads to a wrong answer to one of the questions."""
    if not section.slips:
        return True
    found = {
        one.slip
        for question in problem.questions
        for one in predictions(problem.ladder, known, question)
        if one.in_play and one.value != question.truth
    }
    return found.issuperset(section.slips)


def _questions(
    section: PlanSection,
    ladder: Ladder,
    known: Facts,
    level: int,
    chance: Chance,
    format: int,  # noqa: A002
) -> tuple[Question, ...]:
    """What the section asks of a circuit; nothing where it can't be asked all of it."""
    if section.task is Task.SKETCH:
        made = (*lead_in(ladder, known, level, format), *sketch_questions(known))
        if any(dict(q.values).get("roots") for q in made):
            made = tuple(q for q in made if q.rung is not Rung.POLES)  # the sketches say it
    else:
        made = questions_for(known, chance, format, section.ask)
        if not section.ask:
            made = climb(made, level, chance)
    return _wanted(section, made)


def _wanted(section: PlanSection, made: tuple[Question, ...]) -> tuple[Question, ...]:
    found = {q.rung: q for q in made}
    if not set(section.ask) <= set(found):
        return ()
    return tuple(
        replace(q, tolerance=_tolerance(section, q)) if q.tolerance else q
        for q in made
        if not section.ask or q.rung in section.ask
    )


def _tolerance(section: PlanSection, question: Question) -> Fraction:
    """The plan's, but no less than can be read off a picture, or heard: a quarter of a decibel."""
    if question.form is Form.LEVEL:
        return question.tolerance
    read = question.unit == "dB" or question.exhibit is not None
    return max(section.tolerance, question.tolerance if read else Fraction(0))


def _ways_back(
    section: PlanSection, row: Family, seed: int, ladder: Ladder, known: Facts, chance: Chance
) -> Iterator[Problem]:
    """The problems that lead back to the circuit and ask what the section asks."""
    fit = frozenset(reverse.KINDS).intersection(*(WAYS[r] for r in section.ask if r in WAYS))
    format_ = max(row.since, _format(section))
    for way in reverse.kinds(row, chance):
        if way not in fit:
            continue
        problem = reverse.made(row, seed, way, ladder, known, chance, format_)
        if problem is not None:
            askable = tuple(q for q in problem.questions if q.rung in ASKABLE[Task.REVERSE])
            if asked := _wanted(section, askable):
                made = replace(problem, questions=asked)
                if _shows(section, made, known):
                    yield made


def _predicted(
    section: PlanSection, row: Family, seed: int, ladder: Ladder, known: Facts, number: int
) -> Iterator[Problem]:
    """The problems of what is predicted that ask what the section asks."""
    fit = frozenset(predict.WAYS).intersection(*(WAYS[rung] for rung in section.ask))
    stream = (seed, "sheet", "predict", _STREAM, row.name, number)
    format_ = max(row.since, _format(section))
    for way in predict.ways(Chance(*stream)):
        problem = None
        if way in fit:
            problem = predict.made(
                row, seed, way, ladder, known, stream, format_, frozenset(section.ask)
            )
        if problem is not None and (asked := _wanted(section, problem.questions)):
            made = replace(problem, questions=asked)
            if _shows(section, made, known):
                yield made


def fixed_problem(section: PlanSection, circuit: FixedCircuit) -> Problem:
    """The problem of a ``circuit`` that the teacher typed, asking what its ``section`` asks.

    Raises:
        SheetError: it can't be asked what the section asks; paths are relative to the circuit.
    """
    known = facts(circuit.ladder)
    if section.task is Task.PREDICT:
        return _typed_predicted(section, circuit.ladder, known)
    asked = _questions(section, circuit.ladder, known, _TYPED_LEVEL, Chance(0), _format(section))
    if not asked:
        # What sheets asked when exact zeros at the ends named the type: they can still be marked.
        known = replace(known, exact=True)
        asked = _questions(
            section, circuit.ladder, known, _TYPED_LEVEL, Chance(0), _format(section)
        )
    if not asked:
        raise _no_answer(section, circuit.ladder, known)
    return Problem(_format(section), "", 0, 0, circuit.ladder, asked, section.task)


def _typed_predicted(section: PlanSection, ladder: Ladder, known: Facts) -> Problem:
    """The problem of a typed circuit that asks what can be predicted of it.

    Raises:
        SheetError: it can't be asked what the section asks.
    """
    format_, stream = _format(section), (0, "sheet", "typed", _STREAM)
    fit = frozenset(predict.WAYS).intersection(*(WAYS[rung] for rung in section.ask))
    for way in (way for way in predict.WAYS if way in fit):
        only = frozenset(section.ask)
        made = predict.questions_of(way, ladder, known, stream, format_, only)
        if asked := _wanted(section, made):
            face = predict.WAYS[way]
            return Problem(format_, "", 0, 0, ladder, asked, Task.PREDICT, face)
    what = wording("plan.no-answer", asked=", ".join(section.ask))
    raise SheetError(PlanTrouble("", "", what, wording("plan.ask-else")))


_NEAR = {
    "near-low-passed": "plan.near-low-passed",
    "near-low-blocked": "plan.near-low-blocked",
    "near-high-passed": "plan.near-high-passed",
    "near-high-blocked": "plan.near-high-blocked",
    "near-notch-depth": "plan.near-notch-depth",
    "near-trap": "plan.near-trap",
}
"""The words of a limit that is too near, by the key :func:`too_near` gives."""


def check_fixed(section: PlanSection, circuit: FixedCircuit) -> None:
    """Prove that a typed ``circuit`` can be asked what its ``section`` asks, and has one key.

    Raises:
        SheetError: it can't, or a limit of the rule that names it is so near that another
            instructor may key it otherwise; paths are relative to the circuit.
    """
    problem, known = fixed_problem(section, circuit), facts(circuit.ladder)
    asked = [question.rung for question in problem.questions]
    near = too_near(known, decides=False)
    named = [rung for rung in asked if rung in NAMING]
    if near is not None and known.nearest is not None and named:
        key, levels = near
        distance = decibels(known.nearest.distance_db)
        what = wording("plan.borderline", what=wording(_NEAR[key], **levels), distance=distance)
        remedy = wording("plan.clear", asked=", ".join(named), least=decibels(CLEAR_DB))
        raise SheetError(PlanTrouble("", "", what, remedy))
    if section.task is not Task.PREDICT and not _questions(
        section, circuit.ladder, known, _TYPED_LEVEL, Chance(0), _format(section)
    ):
        raise _no_answer(section, circuit.ladder, known)


def _no_answer(section: PlanSection, ladder: Ladder, known: Facts) -> SheetError:
    everything = replace(section, ask=())
    can = {q.rung for q in _questions(everything, ladder, known, 0, Chance(0), _format(section))}
    lacking = ", ".join(rung for rung in section.ask if rung not in can)
    asked = lacking or wording("plan.what-is-asked")
    what = wording("plan.no-answer", asked=asked)
    return SheetError(PlanTrouble("", "", what, wording("plan.ask-else")))


@lru_cache(maxsize=4096)
def can_ask(family: str, section: PlanSection) -> bool:
    """Whether everything that ``section`` asks can be asked of the circuits of ``family``.

    Raises:
        UnknownFamily: there is no such family.
    """
    return _asked(section, families.find(family), _TRIES[section.task])


def likely(family: str, section: PlanSection) -> bool:
    """As :func:`can_ask`, but soon given up: what is rare in a ``family`` may go unfound.

    ``section`` is what is asked.

    Raises:
        UnknownFamily: there is no such family.
    """
    return _asked(section, families.find(family), _SOON)


def _asked(section: PlanSection, row: Family, tries: int) -> bool:
    for number in range(tries):
        try:
            if _attempt(section, row, 0, number) is not None:
                return True
        except ValueError:
            continue
    return False


def bare(section: PlanSection) -> PlanSection:
    """What of a section decides which families it can ask, for :func:`can_ask`."""
    return PlanSection(
        task=section.task,
        ask=section.ask,
        tolerance=section.tolerance,
        series=section.series,
        slips=section.slips,
    )


@lru_cache(maxsize=256)
def pool(section: PlanSection) -> tuple[str, ...]:
    """The families that a section draws from, in the order of the catalogue.

    Families that are named are kept even where not everything can be asked of them; of levels,
    and of the whole catalogue, only those are taken of which it can.
    """
    if section.families:
        return section.families
    levels, plain = section.levels or families.LEVELS, bare(section)
    fit = (row for row in families.FAMILIES if row.since <= _format(section))
    return tuple(row.name for row in fit if row.level in levels and can_ask(row.name, plain))
