"""(seed, family or level) → a certified problem.

A seed draws attempts from streams of chance of their own until one certifies, so the
same seed means the same problem on every machine.  Whatever changes the problems that
seeds mean must raise ``FORMAT``; golden files hold it to that.

A family and a seed mean one circuit in every format, but for the last of what later formats add:

* a family that came later takes, at its level, its fair share of the seeds that name no
  family; every other seed leads where it always led;
* a kind of question that came later is asked besides the others (``questions.analyse.climb``);
* since :data:`GAIN_NAMES` values are drawn again where a level gives another name than the row's,
  or is too near to call: among the families of earlier formats that touches lag networks alone;
* from format 3 on, some seeds have values chosen so that Q is exactly ½ or 1/√2, which values
  drawn at random never meet (``catalogue.chosen_values``).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from functools import partial

from ..analysis.gain_type import FilterType
from ..analysis.limits import PASSED_DB
from ..analysis.response import Facts, facts
from ..catalogue import families
from ..catalogue.draw_values import draw
from ..catalogue.families import Family
from ..catalogue.groups import LEVEL_SINCE, levels_of
from ..chance import Chance
from ..circuits import preferred
from ..circuits.model import Ladder
from ..quantities.errors import WordedError
from ..questions.analyse import climb, questions_for
from ..questions.model import FORMAT, GAIN_NAMES, Problem, Rung
from .certify import CertificationError, certify

_STREAM = 1
"""Names the streams that circuits and families are drawn from: the same in every format."""

ATTEMPTS = 400

# Q from 0.02 (two real poles 2500 apart) to 30, whatever the targets.
_LEAST_Q, _MOST_Q = Fraction(1, 50), Fraction(30)
_LEAST_OMEGA, _MOST_OMEGA = math.tau * 10, math.tau * 1e7
_MARGIN = 4
"""Places by which a corner or a Q may miss its row's range of targets."""


class SeedError(WordedError, ValueError):
    """What a seed cannot lead to: a level, a family or a format that is not there for it."""


class GenerationError(WordedError, RuntimeError):
    """No attempt of a seed could be certified."""


def generate(
    seed: int,
    *,
    family: str | None = None,
    level: int | None = None,
    format: int = FORMAT,  # noqa: A002
) -> Problem:
    """The certified problem of a seed, of a family, of a level, or of any family.

    The family a level's seed leads to is drawn apart from the circuit, so that
    ``generate(seed, family=generate(seed, level=n).family)`` is the same problem.

    Args:
        seed: any whole number.
        family: a row of the catalogue.
        level: 1 to 7, of those that the format has.
        format: the meaning of seeds, :data:`FORMAT` or an earlier one.

    Raises:
        UnknownFamily: there is no such family.
        SeedError: there is no such level or format, the family is of another level, or it came
            with a later format.
        GenerationError: no attempt could be certified.
    """
    row = family_of(seed, family=family, level=level, format=format)
    made = partial(attempt, format=format)
    return first_certified(row, seed, made, "no parts of the laboratory fit")


def first_certified(
    row: Family,
    seed: int,
    attempt: Callable[[Family, int, int], Problem | None],
    trouble: str,
) -> Problem:
    """The first attempt of a seed that certifies.

    Args:
        row: the family.
        seed: the problem's.
        attempt: (family, seed, number of the attempt) → a problem, or ``None`` for another try.
        trouble: why none might certify.

    Raises:
        GenerationError: no attempt could be certified.
    """
    for number in range(ATTEMPTS):
        try:
            problem = attempt(row, seed, number)
        except CertificationError as error:
            trouble = str(error)
        else:
            if problem is not None:
                return problem
    raise GenerationError(
        "seed.no-problem", family=row.name, seed=seed, attempts=ATTEMPTS, trouble=trouble
    )


def first_way(ways: Iterable[Problem | None]) -> Problem | None:
    """The first of some problems that certifies; ``None`` where there is none at all.

    Raises:
        CertificationError: none of them does.
    """
    failure: CertificationError | None = None
    for problem in ways:
        if problem is None:
            continue
        try:
            certify(problem)
        except CertificationError as error:
            failure = error
        else:
            return problem
    if failure is not None:
        raise failure
    return None


def attempt(
    family: Family,
    seed: int,
    number: int,
    format: int = FORMAT,  # noqa: A002
) -> Problem | None:
    """Attempt ``number`` at the ``seed`` of a ``family``, in a ``format``.

    ``None`` where the parts of the laboratory miss the targets.

    Raises:
        IndistinctError: other values must be drawn.
        CertificationError: something is wrong that other values should not have to mend.
    """
    chance = Chance(seed, _STREAM, family.name, number)
    recipe = _recipe(family, seed, number, format)
    drawn = _drawn(family, chance, format=format, recipe=recipe)
    if drawn is None:
        return None
    ladder, known = drawn
    asked = climb(questions_for(known, chance, format), family.level, chance)
    problem = Problem(format, family.name, family.level, seed, ladder, asked)
    certify(problem, known)
    return problem


def drawn_circuit(
    family: Family,
    seed: int,
    number: int,
    step: int | None = None,
    format: int = FORMAT,  # noqa: A002
) -> tuple[Ladder, Facts] | None:
    """The circuit of an attempt at a seed of a family, for any task, and its facts.

    Args:
        family: the row.
        seed: the problem's.
        number: of the attempt.
        step: takes all its values from one series, as in ``draw_values.draw``.
        format: the meaning of seeds, which names the type.
    """
    chance = Chance(seed, _STREAM, family.name, number)
    return _drawn(family, chance, step, format, _recipe(family, seed, number, format))


_CHOSEN_SINCE = 3
"""The first format in which values are chosen for their Q."""

_CHOSEN = 8
"""Each proportion of values of a row is tried for one in so many of its seeds."""


def _recipe(family: Family, seed: int, number: int, format: int) -> str:  # noqa: A002
    """The proportions that an attempt's values are to have; empty for values drawn at random."""
    if format < _CHOSEN_SINCE or not family.chosen or number >= ATTEMPTS // 4:
        return ""
    which = Chance(seed, _STREAM, family.name, "chosen").below(_CHOSEN)
    return family.chosen[which] if which < len(family.chosen) else ""


def known_by(ladder: Ladder, format: int) -> Facts:  # noqa: A002
    """The facts of ``ladder`` as problems of a ``format`` know them.

    Those before :data:`GAIN_NAMES` name the type by exact zeros at the ends.

    Raises:
        CircuitError: an element has no value.
    """
    return facts(ladder, exact=format < GAIN_NAMES)


def _drawn(
    family: Family,
    chance: Chance,
    step: int | None = None,
    format: int = FORMAT,  # noqa: A002
    recipe: str = "",
) -> tuple[Ladder, Facts] | None:
    ladder = draw(family, chance, step, recipe)
    if ladder is None:
        return None
    known = known_by(ladder, format)
    return (ladder, known) if _teachable(family, known) else None


def with_kinds(problem: Problem, kinds: Collection[Rung]) -> Problem:
    """The problem with questions of these kinds as well, as far as its circuit can be asked them.

    What they ask follows from the seed alone; each is certified like any other.

    Args:
        problem: an analysis, as its seed made it.
        kinds: the kinds wanted.
    """
    known = known_by(problem.ladder, problem.format)
    chance = Chance(problem.seed, _STREAM, "kinds")
    found = {question.rung: question for question in problem.questions}
    missing = {*kinds} - {*found}
    for question in questions_for(known, chance, problem.format, missing) if missing else ():
        if question.rung not in found:
            with suppress(CertificationError):
                certify(replace(problem, questions=(question,)), known)
                found[question.rung] = question
    return replace(problem, questions=tuple(found[rung] for rung in Rung if rung in found))


def typed(ladder: Ladder) -> Problem:
    """A problem from a typed circuit: every question that makes sense, nothing certified.

    Raises:
        CircuitError: an element has no value.
    """
    return Problem(FORMAT, "", 0, 0, ladder, questions_for(facts(ladder), Chance(0)))


def family_of(
    seed: int,
    *,
    family: str | None = None,
    level: int | None = None,
    format: int = FORMAT,  # noqa: A002
) -> Family:
    """The family named, or the one a seed leads to at a level, or at a level drawn as well.

    Args:
        seed: the problem's.
        family: its name, or none.
        level: 1 to the highest of the catalogue, or none.
        format: the format of problems; families that came later are not drawn.

    Raises:
        UnknownFamily: there is no such family.
        SeedError: there is no such level or format, the family is of another level, or it came
            with a later format.
    """
    if not 1 <= format <= FORMAT:
        raise SeedError("seed.no-format", format=format, last=FORMAT)
    levels = levels_of(format)
    if level is not None and level not in levels:
        raise SeedError("seed.no-level", level=level, last=levels[-1])
    if family is None:
        chance = Chance(seed, _STREAM, "family", level or 0)
        return _among(families.of_level(level or _level(seed, format, chance)), format, chance)
    row = families.find(family)
    if level not in (None, row.level):
        raise SeedError("seed.other-level", family=family, own=row.level, level=level)
    if row.since > format:
        raise SeedError("seed.later-format", family=family, own=row.since, format=format)
    return row


def _level(seed: int, format: int, chance: Chance) -> int:  # noqa: A002
    """A level of a format, each as likely as any other; earlier formats draw first.

    So a level that came later takes its share of the seeds, and the others lead where they did.
    """
    found = chance.pick(levels_of(1))
    for level in levels_of(format):
        if level in LEVEL_SINCE and not Chance(seed, _STREAM, "level", level).below(level):
            found = level
    return found


def _among(rows: Sequence[Family], format: int, chance: Chance) -> Family:  # noqa: A002
    """One of the rows of a format, each as likely as any other; earlier formats draw first.

    So a format's new rows take their share of the seeds, and the other seeds lead where they
    did before (reservoir sampling).
    """
    found: Family | None = None
    before = 0
    for since in range(1, format + 1):
        new = [row for row in rows if row.since == since]
        if new and (found is None or chance.below(before + len(new)) >= before):
            found = chance.pick(new)
        before += len(new)
    assert found is not None
    return found


def _told_apart(known: Facts) -> bool:
    """Whether a step, a dip or a rise is large enough to be one on any chart: 6 dB."""
    if known.exact or known.type is not FilterType.OTHER:
        return True
    course, judged = known.excursion, known.judgement
    beyond = [pair[0] for pair in (course.rise, course.dip) if pair]
    return max(judged.low_down_db, judged.high_down_db, *beyond) >= PASSED_DB


def _teachable(family: Family, known: Facts) -> bool:
    """Whether what was drawn is of the row's type and order, with a corner from 10 Hz to 10 MHz.

    Corner and Q fit the row too.  With three and more poles the geometric mean of the poles
    stands for the corner.
    """
    if known.type is not family.type or known.transfer.order != family.order:
        return False
    if not _told_apart(known):
        return False
    if known.transfer.order:
        slowest = max(_LEAST_OMEGA, float(preferred.value(family.omega[0] - _MARGIN)))
        fastest = min(_MOST_OMEGA, float(preferred.value(family.omega[1] + _MARGIN)))
        # The product of the poles against powers of the bounds: exact, hence the same everywhere.
        product, order = known.transfer.denominator[-1], known.transfer.order
        if not Fraction(slowest) ** order <= product <= Fraction(fastest) ** order:
            return False
    squared = known.q_squared
    if squared is None or family.q == families.NONE:
        return True
    least = max(_LEAST_Q, preferred.value(family.q[0] - _MARGIN))
    most = min(_MOST_Q, preferred.value(family.q[1] + _MARGIN))
    return least**2 <= squared <= most**2
