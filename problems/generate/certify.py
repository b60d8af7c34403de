"""What must hold before a problem may be asked.

* its type is the one name for what the gain does, no limit of the rule being near;
* every question has one right answer: of choices exactly one is the truth, and the
  answer that would be shown is marked right;
* every slip in play predicts an answer clearly outside the tolerance of the truth;
* of circuits, arms or values to go back to, just one gives what is shown or wanted;
* the exact H(s), the formula asked for and the ends of sketches agree with nodal analysis, an
  algorithm that shares nothing with them.
"""

from __future__ import annotations

import cmath
import math

from ..analysis.nodal import Network
from ..analysis.response import Facts, facts
from ..circuits.model import Ladder
from ..formulas.evaluate import evaluate
from ..formulas.layout import echo
from ..grading.grade import grade, right_text
from ..questions.analyse import pass_band_gain
from ..questions.model import GAIN_NAMES, Form, Problem, Question, Rung, Task, Verdict, formula_of
from ..sketches.model import GainSketch, PhaseSketch
from ..slips.engine import distinct, far, guesses

PROBES = 20
"""Frequencies at which nodal analysis is asked, over four decades about the corner."""

_AGREEMENT = 1e-9
_AT_EDGE = 1e-6
_BEYOND = 1000
# What roots a thousandfold away leave of a phase, and what four digits leave of a gain.
_OF_TURNS, _OF_LINES = 3, 0.1


class CertificationError(ValueError):
    """A problem that must not be asked; the message says why."""


class IndistinctError(CertificationError):
    """With these values a slip cannot be told from the truth; others will do."""


def certify(problem: Problem, known: Facts | None = None) -> None:
    """Prove that a problem may be asked.

    Args:
        problem: the problem.
        known: the exact facts of its circuit, where the caller has them.

    Raises:
        IndistinctError: other values must be drawn.
        CertificationError: it may not be asked, and why.
    """
    known = known or facts(problem.ladder, exact=problem.format < GAIN_NAMES)
    if not problem.questions:
        raise CertificationError("there is no question to ask")
    if problem.format >= GAIN_NAMES and known.borderline:
        raise IndistinctError(f"{known.nearest} is too near to call")
    for question in problem.questions:
        _check_answers(question)
        _check_slips(problem.ladder, known, question)
        _check_mark(problem, known, question)
    if problem.task is Task.REVERSE:
        _check_way_back(problem, known)
    _check_witness(problem, known)


def _check_answers(question: Question) -> None:
    """A question of choices has exactly one right choice, and no choice twice."""
    if question.form is not Form.CHOICE:
        return
    ids = [choice.id for choice in question.choices]
    if len(ids) < 2 or len(set(ids)) != len(ids) or ids.count(str(question.truth)) != 1:
        raise CertificationError(f"{question.rung}: {question.truth!r} is not one of {ids}")


def _check_slips(ladder: Ladder, known: Facts, question: Question) -> None:
    """Every slip in play predicts something clearly other than the truth.

    A slip that leads to an exact truth (a choice, a count) is never predicted at all.
    """
    if not question.tolerance:
        return
    predicted = guesses(ladder, known, question)
    if not distinct(question, predicted):
        close = [p.slip for p in predicted if p.in_play and not far(question, p.value)]
        raise IndistinctError(f"{question.rung}: cannot be told from the truth: {close}")


def _check_mark(problem: Problem, known: Facts, question: Question) -> None:
    """The answer that would be shown is marked right."""
    mark = grade(problem, question, right_text(question), known)
    if mark.verdict is not Verdict.RIGHT:
        raise CertificationError(
            f"{question.rung}: the answer {right_text(question)!r} is marked {mark.verdict}"
        )


def _check_way_back(problem: Problem, known: Facts) -> None:
    """Of what leads back to the circuit, one thing only leads there."""
    from .proof import troubles

    for trouble in troubles(problem, known):
        raise CertificationError(trouble)


def centre(known: Facts) -> float:
    """The geometric mean of the poles' magnitudes in rad/s; 2π·1 kHz without poles."""
    transfer = known.transfer
    if transfer.order == 0:
        return math.tau * 1000
    return math.exp(math.log(transfer.denominator[-1]) / transfer.order)


def _check_witness(problem: Problem, known: Facts) -> None:
    """The exact H(jω), the formula asked for and the edges against nodal analysis."""
    network, middle = Network(problem.ladder), centre(known)
    probes = [middle * 10 ** ((2 * k + 1 - PROBES) * 2 / PROBES) for k in range(PROBES)]
    witnessed = [network.response(omega) for omega in probes]
    for omega, numeric in zip(probes, witnessed, strict=True):
        _agree(f"H at {omega} rad/s", known.transfer(1j * omega), numeric)
    for question in problem.questions:
        if question.rung is Rung.TRANSFER:
            letters = {e.name: float(e.value or 0) for e in problem.ladder.elements()}
            formula = formula_of(question.truth)
            # Every fourth probe: a formula that is wrong is wrong nearly everywhere.
            for omega, numeric in list(zip(probes, witnessed, strict=True))[::4]:
                value = evaluate(formula, {**letters, "s": 1j * omega})
                _agree(f"{echo(formula)} at {omega} rad/s", value, numeric)
        elif question.rung is Rung.GAIN_SKETCH:
            _check_lines(known, question, network)
        elif question.rung is Rung.PHASE_SKETCH:
            _check_turns(known, question, network)
        elif question.rung in (Rung.LOWER_EDGE, Rung.UPPER_EDGE):
            level = pass_band_gain(known)
            edge = abs(network.response(math.tau * question.figure))
            if level is None or abs(edge / float(level) - math.sqrt(0.5)) > _AT_EDGE:
                raise CertificationError(f"{question.rung}: {edge} is not 3 dB below {level}")


def _far_ends(known: Facts) -> tuple[float, float]:
    """Frequencies in Hz a thousandth of the slowest root's, and a thousand times the fastest's."""
    places = [abs(root) / math.tau for root in (*known.poles, *known.zeros) if root]
    return min(places, default=1e3) / _BEYOND, max(places, default=1e3) * _BEYOND


def _check_lines(known: Facts, question: Question, network: Network) -> None:
    """Far beyond its breaks the lines of a gain are what the circuit does."""
    lines = question.truth
    assert isinstance(lines, GainSketch)
    for end, place, slope in zip(
        _far_ends(known), (0, -1), (lines.slopes[0], lines.slopes[-1]), strict=True
    ):
        height = lines.level
        for k in range(1, len(lines.breaks) if place else 1):
            height += lines.slopes[k] * math.log10(lines.breaks[k] / lines.breaks[k - 1])
        if lines.breaks:
            height += slope * math.log10(end / lines.breaks[place])
        witnessed = 20 * math.log10(abs(network.response(math.tau * end)))
        if abs(height - witnessed) > _OF_LINES:
            raise CertificationError(
                f"{question.rung}: {height} dB at {end} Hz, but nodal analysis gives {witnessed}"
            )


def _check_turns(known: Facts, question: Question, network: Network) -> None:
    """Far beyond its turns the phase is what the circuit makes, but for whole turns."""
    lines = question.truth
    assert isinstance(lines, PhaseSketch)
    for end, angle in zip(_far_ends(known), (lines.start, lines.end), strict=True):
        witnessed = math.degrees(cmath.phase(network.response(math.tau * end)))
        off = (witnessed - angle + 180) % 360 - 180
        if abs(off) > _OF_TURNS:
            raise CertificationError(
                f"{question.rung}: {angle}° at {end} Hz, but nodal analysis gives {witnessed}"
            )


def _agree(what: str, exact: complex, numeric: complex) -> None:
    if abs(exact - numeric) > _AGREEMENT * abs(exact):
        raise CertificationError(f"{what}: {exact}, but nodal analysis gives {numeric}")
