"""What follows from an answer for the questions after it: formulas of the trade between figures.

A student whose f0 is wrong, and who then works out B = f0/Q correctly, has made one mistake and
not two.  A relation says which earlier answers a later one follows from, and how; evaluated with
what a student answered, it gives what is right for them.  Only earlier questions are looked at, so
that no two wrong answers justify each other.

Of two poles with the denominator s² + a1·s + a0, ω0 = √a0 and Q = ω0/a1 (``analysis/response.py``);
where somebody has another ω0 than the circuit, its elements still give Q = ω0/a1, as ω0L/R does, or
Q = a0/(a1·ω0), as 1/(ω0RC) does.  −3 dB edges: see ``analysis/two_poles.py``; those of a band-pass
and of a notch have the product f0² and the difference B = f0/Q.  Insertion loss and depth of a
notch: see ``analysis/losses.py``.  Sketches: those of the filter with the student's own
figures (``own_response.py``).  Common practice, no source.

Every relation holds of the right answers (:func:`relations_for` leaves out one that does not, of
this circuit), and each kind of question has a row.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import product

from ..analysis.losses import unloaded_q
from ..analysis.response import TWO_PI, Facts, FilterType, PoleNature, Response
from ..analysis.transfer import TransferFunction
from ..analysis.two_poles import band_edges, one_sided_edge
from ..sketches.compare import agree
from ..sketches.model import GainSketch, MapSketch, PhaseSketch, Sketch
from ..sketches.truth import true_gain, true_map, true_phase
from .analyse import BLOCKED, PASSES
from .model import Answer, Question, Rung, figure_of, sketch_of
from .own_response import own_response

Own = Answer | TransferFunction
"""What somebody answered: of H(s) the function that their formula is with the circuit's values.

Frequencies are in Hz whatever was asked for.
"""

SAME = 0.005
"""As a share: so near a relation gives the right answer, where it holds; rules of losses do."""


@dataclass(frozen=True, slots=True)
class Following:
    """A relation: what it takes, and what follows from it.

    Attributes:
        takes: the kinds of question whose answers it takes, in order.
        gives: the facts of the circuit and those answers → the answer that follows; ``None`` where
            none does.
    """

    takes: tuple[Rung, ...]
    gives: Callable[..., Answer | None]

    def of(self, facts: Facts, own: Mapping[Rung, Own]) -> Answer | None:
        """What follows, or ``None``.

        Args:
            facts: what is true of the circuit.
            own: the answers that are taken, one for each of ``takes`` at least.
        """
        try:
            found = self.gives(facts, *(own[rung] for rung in self.takes))
        except (ArithmeticError, ValueError, TypeError):  # no such figure for these answers
            return None
        return found if not isinstance(found, float) or math.isfinite(found) else None


def relations_for(
    facts: Facts, question: Question, earlier: Mapping[Rung, Own]
) -> tuple[Following, ...]:
    """The relations that lead to a question from those before it, and hold of the right answers.

    Args:
        facts: what is true of the circuit.
        question: the later one.
        earlier: the right answers to the questions before it.
    """
    found = (one for one in FOLLOWS.get(question.rung, ()) if earlier.keys() >= set(one.takes))
    return tuple(one for one in found if _holds(one.of(facts, earlier), in_hertz(question)))


def what_follows(
    relation: Following, facts: Facts, own: Mapping[Rung, tuple[Own, ...]]
) -> tuple[Answer, ...]:
    """Everything that follows by a ``relation`` from answers of which some have several values.

    Args:
        relation: one of :func:`relations_for`.
        facts: what is true of the circuit.
        own: each answer as it was typed, and if it is right also as it is exactly.
    """
    ways = product(*(own[rung] for rung in relation.takes))
    found = (relation.of(facts, dict(zip(relation.takes, way, strict=True))) for way in ways)
    return tuple(one for one in found if one is not None)


def in_hertz(question: Question, answer: Answer | None = None) -> Answer:
    """An ``answer`` to a ``question`` (its truth, without one), a frequency in Hz."""
    found = question.truth if answer is None else answer
    return figure_of(found) / TWO_PI if question.unit == "rad/s" else found


def as_asked(question: Question, answer: Answer) -> Answer:
    """An ``answer`` whose frequency is in Hz, in the unit that the ``question`` asks for."""
    return figure_of(answer) * TWO_PI if question.unit == "rad/s" else answer


def _holds(found: Answer | None, truth: Answer) -> bool:
    if isinstance(found, GainSketch | PhaseSketch | MapSketch):
        return agree(sketch_of(truth), found)
    if isinstance(found, int | float) and isinstance(truth, int | float):
        return abs(found - truth) <= SAME * abs(truth)
    return found is not None and found == truth


# ------------------------------------------------------------------------- ends and counts

_TYPE_BY_ENDS = {
    (PASSES, BLOCKED): FilterType.LOW_PASS.value,
    (BLOCKED, PASSES): FilterType.HIGH_PASS.value,
    (BLOCKED, BLOCKED): FilterType.BAND_PASS.value,
}
"""Both ends passed leave two names, so that none follows."""


def _level(facts: Facts, end: str) -> int | None:
    return 0 if end == PASSES else None


def _phase(facts: Facts, slope: int) -> float:
    return slope / 20 * 90


# ------------------------------------------------------------------------- two poles


def _nature(facts: Facts, q: float) -> str:
    if q == 0.5:
        return PoleNature.DOUBLE.value
    return (PoleNature.COMPLEX if q > 0.5 else PoleNature.REAL).value


def _by_corner(measure: Callable[[Facts], float | None], power: int) -> Callable[..., float | None]:
    """A Q that grows, or falls, as the ω0 put into its formula: ω0/a1, or a0/(a1·ω0)."""

    def gives(facts: Facts, f0: float) -> float | None:
        q, right = measure(facts), facts.corner_hz
        return q * (f0 / right) ** power if q and right else None

    return gives


def _lower(facts: Facts, f0: float, q: float) -> float | None:
    if facts.type is FilterType.HIGH_PASS:
        return f0 / one_sided_edge(q)
    return f0 * band_edges(q)[0] if facts.type.banded else None


def _upper(facts: Facts, f0: float, q: float) -> float | None:
    if facts.type is FilterType.LOW_PASS:
        return f0 * one_sided_edge(q)
    return f0 * band_edges(q)[1] if facts.type.banded else None


def _with_bandwidth(
    edge: Callable[[Facts, float, float], float | None],
) -> Callable[[Facts, float, float], float | None]:
    return lambda facts, f0, b: edge(facts, f0, f0 / b) if facts.type.banded else None


def _of_transfer(figure: Callable[[Response], Answer | None]) -> Callable[..., Answer | None]:
    """A figure of the H(s) that somebody typed, if it has as many poles as the circuit's."""

    def gives(facts: Facts, own: TransferFunction) -> Answer | None:
        alike = own.order == facts.transfer.order and all(c > 0 for c in own.denominator)
        return figure(Response(own)) if alike else None

    return gives


def _bandwidth(found: Response) -> float | None:
    return found.corner_hz / found.q if found.corner_hz and found.q else None


_Q_BY_CORNER = tuple(
    Following((Rung.CORNER,), _by_corner(lambda f: f.q, power)) for power in (1, -1)
)
_Q_BY_TRANSFER = Following((Rung.TRANSFER,), _of_transfer(lambda r: r.q))


def _edge(edge: Callable[[Facts, float, float], float | None]) -> tuple[Following, ...]:
    return (
        Following((Rung.CORNER, Rung.Q), edge),
        Following((Rung.CORNER, Rung.LOADED_Q), edge),
        Following((Rung.CORNER, Rung.BANDWIDTH), _with_bandwidth(edge)),
    )


# ------------------------------------------------------------------------- sketches

_FIGURES = {Rung.CORNER: "f0", Rung.Q: "q", Rung.LOADED_Q: "q", Rung.GAIN: "gain"}


def _drawn(draw: Callable[[Response], Sketch], *takes: Rung) -> Following:
    """The right sketch of the filter with somebody's own figures."""

    def gives(facts: Facts, *figures: float) -> Sketch | None:
        named = {_FIGURES[rung]: value for rung, value in zip(takes, figures, strict=True)}
        found = own_response(facts, **named)
        return None if found is None else draw(found)

    return Following(takes, gives)


_LINES = (
    (Rung.CORNER,),
    (Rung.GAIN,),
    (Rung.GAIN, Rung.CORNER),
    (Rung.CORNER, Rung.Q),
    (Rung.CORNER, Rung.LOADED_Q),
    (Rung.GAIN, Rung.CORNER, Rung.Q),
)

# ------------------------------------------------------------------------- the rows

FOLLOWS: Mapping[Rung, tuple[Following, ...]] = {
    Rung.TYPE: (
        Following((Rung.LOW_END, Rung.HIGH_END), lambda f, *ends: _TYPE_BY_ENDS.get(ends)),
    ),
    Rung.POLES: (Following((Rung.INDEPENDENT,), lambda f, stores: stores),),
    Rung.ZEROS: (
        Following(
            (Rung.HIGH_END, Rung.POLES), lambda f, end, poles: poles if end == PASSES else None
        ),
    ),
    Rung.ORIGIN_ZEROS: (Following((Rung.LOW_END,), _level),),
    Rung.LOW_SLOPE: (
        Following((Rung.ORIGIN_ZEROS,), lambda f, zeros: 20 * zeros),
        Following((Rung.LOW_END,), _level),
    ),
    Rung.HIGH_SLOPE: (
        Following((Rung.POLES, Rung.ZEROS), lambda f, poles, zeros: 20 * (zeros - poles)),
        Following((Rung.HIGH_END,), _level),
    ),
    Rung.LOW_PHASE: (
        Following((Rung.ORIGIN_ZEROS,), lambda f, zeros: 90 * zeros),
        Following((Rung.LOW_SLOPE,), _phase),
    ),
    Rung.HIGH_PHASE: (
        Following((Rung.POLES, Rung.ZEROS), lambda f, poles, zeros: 90 * (zeros - poles)),
        Following((Rung.HIGH_SLOPE,), _phase),
    ),
    Rung.CORNER_PHASE: (
        Following((Rung.LOW_PHASE, Rung.HIGH_PHASE), lambda f, low, high: (low + high) / 2),
        Following((Rung.LOW_PHASE, Rung.POLES), lambda f, low, poles: low - 45 * poles),
    ),
    Rung.CORNER: (Following((Rung.TRANSFER,), _of_transfer(lambda r: r.corner_hz)),),
    Rung.Q: (*_Q_BY_CORNER, _Q_BY_TRANSFER),
    Rung.LOADED_Q: (*_Q_BY_CORNER, _Q_BY_TRANSFER),
    Rung.UNLOADED_Q: tuple(
        Following((Rung.CORNER,), _by_corner(unloaded_q, power)) for power in (1, -1)
    ),
    Rung.POLE_NATURE: (
        Following((Rung.Q,), _nature),
        Following((Rung.LOADED_Q,), _nature),
        Following((Rung.TRANSFER,), _of_transfer(lambda r: r.pole_nature and r.pole_nature.value)),
    ),
    Rung.BANDWIDTH: (
        Following((Rung.CORNER, Rung.Q), lambda f, f0, q: f0 / q),
        Following((Rung.CORNER, Rung.LOADED_Q), lambda f, f0, q: f0 / q),
        Following((Rung.TRANSFER,), _of_transfer(_bandwidth)),
    ),
    Rung.LOWER_EDGE: _edge(_lower),
    Rung.UPPER_EDGE: (
        *_edge(_upper),
        Following(
            (Rung.CORNER, Rung.LOWER_EDGE),
            lambda f, f0, lower: f0 * f0 / lower if f.type.banded else None,
        ),
        Following(
            (Rung.BANDWIDTH, Rung.LOWER_EDGE),
            lambda f, b, lower: lower + b if f.type.banded else None,
        ),
    ),
    Rung.GAIN_SKETCH: tuple(_drawn(true_gain, *takes) for takes in _LINES),
    Rung.PHASE_SKETCH: tuple(
        _drawn(true_phase, *takes) for takes in _LINES if Rung.GAIN not in takes
    ),
    Rung.MAP_SKETCH: (_drawn(true_map, Rung.Q), _drawn(true_map, Rung.LOADED_Q)),
    Rung.INSERTION_LOSS: (
        Following(
            (Rung.UNLOADED_Q, Rung.LOADED_Q), lambda f, qu, ql: -20 * math.log10(1 - ql / qu)
        ),
    ),
    Rung.NOTCH_DEPTH: (
        Following((Rung.UNLOADED_Q, Rung.LOADED_Q), lambda f, qu, ql: 20 * math.log10(qu / ql)),
    ),
}
"""What each kind of question follows from, of those before it; kinds without a row from nothing."""
