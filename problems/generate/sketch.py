"""Problems of sketches: from a circuit to its straight-line plots and its pole-zero map.

The circuit is that of the analysing problem of the same seed.  A few of its questions lead
in (how many poles and zeros, the gain of the pass band at the lower levels, the corner, Q);
then the gain, the phase and the map are sketched, as far as each makes sense:

* straight lines that turn nowhere though there are poles say nothing of the filter (the gain
  of a notch with complex poles, whose pairs of poles and zeros share one frequency; an
  all-pass), so that gain is not asked; that notch's phase is, with its jump.  A circuit of
  resistances alone has a gain to sketch, one flat line, and no phase;
* no sketch is asked where two breaks of opposite turn lie so near that leaving both out would
  be within the tolerance of a drawing, nor with more than ``MOST_BREAKS`` breaks;
* breaks at one frequency (a double pole, a complex pair) are one break, and breaks nearer than
  two fifths of a decade may be drawn as one (see ``sketches/compare.py``);
* with three and more poles no formula gives the breaks by hand: the question states where the
  poles lie.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..analysis.response import TWO_PI, Facts, Response, facts
from ..chance import Chance
from ..circuits.model import Ladder
from ..questions.analyse import questions_for
from ..questions.kinds import KINDS
from ..questions.model import FORMAT, Form, Problem, Question, Rung, Task, Values
from ..sketches.model import MOST_BREAKS, PhaseSketch, Region, as_written
from ..sketches.truth import region_of, true_gain, true_map, true_phase
from ..sketches.turns import near, turns_of
from ..sketches.write import hertz, region_words
from ..slips.engine import distinct, guesses
from . import analyse as generator
from .certify import certify

_GAIN_UP_TO = 3
"""From level 4 on the level of the lines is part of the sketch alone."""

_BUILT_ON = tuple(row.rung for row in KINDS if Task.SKETCH in row.also)
"""The kinds of analysis that sketches build on."""

_MOST_ROOTS = 20
_STEEPEST = 1000


def generate(
    seed: int,
    *,
    family: str | None = None,
    level: int | None = None,
    format: int = FORMAT,  # noqa: A002
) -> Problem:
    """The certified sketching problem of a seed, of a family, of a level, or of any family.

    ``seed``, ``family``, ``level`` and ``format`` are those of an analysing problem.

    Raises:
        UnknownFamily: there is no such family.
        SeedError: there is no such level or format, the family is of another level, or it came
            with a later format.
        GenerationError: no attempt could be certified.
    """
    given = generator.generate(seed, family=family, level=level, format=format)
    known = generator.known_by(given.ladder, format)
    questions = (*lead_in(given.ladder, known, given.level, format), *sketch_questions(known))
    problem = Problem(format, given.family, given.level, seed, given.ladder, questions, Task.SKETCH)
    certify(problem, known)
    return problem


def typed(ladder: Ladder) -> Problem:
    """Every sketch of a typed circuit that makes sense, nothing certified.

    Raises:
        CircuitError: an element has no value.
    """
    return Problem(FORMAT, "", 0, 0, ladder, tuple(sketch_questions(facts(ladder))), Task.SKETCH)


def lead_in(
    ladder: Ladder,
    known: Facts,
    level: int,
    format: int = FORMAT,  # noqa: A002
) -> Iterator[Question]:
    """The analysing questions that the sketches of ``ladder`` build on, at ``level``.

    One that a slip cannot be told from with these values is left out: its answer follows from
    the others, and the circuit is to stay what it is.  ``known`` are the circuit's facts;
    ``format`` is the problem's.
    """
    for question in questions_for(known, Chance(0), format, _BUILT_ON):
        if question.rung is Rung.GAIN and level > _GAIN_UP_TO:
            continue
        if distinct(question, guesses(ladder, known, question)):
            yield question


def sketch_questions(known: Response) -> Iterator[Question]:
    """The sketches that make sense for a response, in the order of a climb."""
    values = _given(known)
    order = known.transfer.order
    gain, phase, roots = true_gain(known), true_phase(known), true_map(known)
    flat = order == 0
    if (gain.breaks or flat) and _drawable(turns_of(gain)) and abs(gain.level) < _STEEPEST:
        yield Question(Rung.GAIN_SKETCH, Form.SKETCH, as_written(gain), values=values)
    if phase.turns and _drawable(phase.turns) and _jumps_apart(phase):
        yield Question(Rung.PHASE_SKETCH, Form.SKETCH, as_written(phase), values=values)
    if all(count <= _MOST_ROOTS for _, count in (*roots.poles, *roots.zeros)):
        yield Question(Rung.MAP_SKETCH, Form.SKETCH, roots, values=values)


def _drawable(turns: list[tuple[float, int]] | tuple[tuple[float, int], ...]) -> bool:
    """Whether every turn can be told from no turn at all."""
    return len(turns) <= MOST_BREAKS and not any(
        a * b < 0 and near(place, after) for (place, a), (after, b) in pairwise(turns)
    )


def _jumps_apart(phase: PhaseSketch) -> bool:
    """Whether jumps are few enough, and upwards: an undamped pole's is not asked."""
    # One in the middle of a turn is written with half the turn on either side.
    few = len(phase.turns) + 2 * len(phase.jumps) <= MOST_BREAKS
    return few and all(jump > 0 for _, jump in phase.jumps)


def _given(known: Response) -> Values:
    """Where the poles lie, if there are too many to find by hand."""
    if known.transfer.order <= 2:
        return ()
    return (("asked", "given"), ("roots", poles_in_words(known)))


def poles_in_words(known: Response) -> str:
    """'1 real at 1.2 kHz, 1 complex pair at 3.4 kHz': each with its break frequency."""
    found: list[tuple[Region, int, str]] = []
    for pole in known.poles:
        if pole.imag < 0:
            continue
        region = region_of(pole)
        place, count = hertz(abs(pole) / TWO_PI), 2 if pole.imag else 1
        if found and found[-1][0] is region and found[-1][2] == place:
            count += found.pop()[1]
        found.append((region, count, place))
    return ", ".join(
        region_words(region, count) + (f" at {place}" if region is not Region.ORIGIN else "")
        for region, count, place in found
    )
