"""Slips about the places of poles: what a coordinate, the radius and the angle stand for.

Common practice, no source.  What is asked in rad/s is looked at in Hz here, as everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from ..analysis.response import TWO_PI
from ..analysis.two_poles import angle
from ..questions.model import PLACES, Rung
from ..questions.poles import PolePair, pole_pair, q_of_map
from .case import Answers, Case, Guess, Topic
from .one_pole import hertz_as_radians, radians_as_hertz, two_pi_twice
from .quality import damping_ratio

TOPIC = Topic("places of poles")

RADIUS, ANGLE, QUALITY = Rung.POLE_RADIUS, Rung.POLE_ANGLE, Rung.POLE_Q
DECAY, PLACE, CORNER = Rung.POLE_DECAY, Rung.POLE_PLACE, Rung.POLE_CORNER
RINGING = (Rung.POLE_RINGING, Rung.STEP_RINGING)

TOPIC.slip("radians-as-hertz", RADIUS, CORNER, *RINGING)(radians_as_hertz)
TOPIC.slip("hertz-as-radians", RADIUS, PLACE)(hertz_as_radians)
TOPIC.slip("two-pi-twice", RADIUS, CORNER, *RINGING)(two_pi_twice)
TOPIC.slip("damping-ratio", QUALITY)(damping_ratio)


def of_pair(figure: Callable[[Case, PolePair], float | tuple[float, ...] | None]) -> Answers:
    """Answers from the complex pair of poles, of a circuit that has one."""

    def answers(case: Case) -> float | tuple[float, ...] | None:
        found = pole_pair(case.facts)
        return None if found is None else figure(case, found)

    return answers


# The imaginary part taken for ω0.
TOPIC.answer(
    "height-for-radius", RADIUS, QUALITY,
    by=of_pair(lambda c, p: c.truth * p.height / p.radius), near=True,
)  # fmt: skip
# ω0 taken for the frequency at which it rings.
TOPIC.answer(
    "radius-for-height", PLACE, *RINGING,
    by=of_pair(lambda c, p: p.radius / TWO_PI if c.question.asked != "left" else None), near=True,
)  # fmt: skip
# The distance from the jω axis, which says how fast it dies away, taken for a frequency.
TOPIC.answer(
    "decay-for-frequency", RADIUS, *RINGING, by=of_pair(lambda _, p: p.decay / TWO_PI), near=True
)


@TOPIC.slip("coordinates-added", RADIUS)
def coordinates_added(case: Case) -> Iterator[Guess]:
    """Both parts added, or their squares subtracted, for the distance from the origin."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess((found.height + found.decay) / TWO_PI, near=True)
        yield Guess(math.sqrt(abs(found.height**2 - found.decay**2)) / TWO_PI, near=True)


# Counted from the jω axis, or from the positive real one.
TOPIC.answer("angle-from-axis", ANGLE, by=lambda c: (90 - c.truth, 180 - c.truth), near=True)
# The angle between the two poles.
TOPIC.answer("angle-of-both", ANGLE, by=lambda c: 2 * c.truth)


@TOPIC.slip("half-forgotten", ANGLE, PLACE, Rung.WHICH_MAP)
def half_forgotten(case: Case) -> Iterator[Guess]:
    """1/Q for 1/2Q: the poles twice as far to the left."""
    q, found, asked = case.facts.q, pole_pair(case.facts), case.question.asked
    if q is None:
        return
    if case.rung is Rung.WHICH_MAP:
        yield from _map_with(case, q / 2)
    elif case.rung is ANGLE and q > 1:
        yield Guess(angle(q / 2), near=True)
    elif found is not None and asked == "left":
        yield Guess(2 * found.decay / TWO_PI)
    elif found is not None and asked == "up" and q > 1:
        yield Guess(found.radius * math.sqrt(1 - 1 / q**2) / TWO_PI, near=True)


# The real part given for the imaginary one, and the other way round.
TOPIC.answer(
    "sine-for-cosine", PLACE,
    by=of_pair(lambda c, p: (p.height if c.question.asked == "left" else p.decay) / TWO_PI),
    near=True,
)  # fmt: skip


@TOPIC.slip("q-for-reciprocal", PLACE, Rung.WHICH_MAP)
def q_for_reciprocal(case: Case) -> Iterator[Guess]:
    """Q put where its reciprocal belongs: ω0·Q to the left, or a map of 1/4Q."""
    q, found = case.facts.q, pole_pair(case.facts)
    if q is None:
        return
    if case.rung is Rung.WHICH_MAP:
        yield from _map_with(case, 1 / (4 * q))
    elif found is not None and case.question.asked == "left":
        yield Guess(found.radius * q / TWO_PI, near=True)
        yield Guess(found.radius * q * 2 / TWO_PI, near=True)


# ωd/σ, the tangent of the angle, for Q.
TOPIC.answer("height-over-decay", QUALITY, by=of_pair(lambda _, p: p.height / p.decay), near=True)
# 2σ/ω0 for ω0/2σ.
TOPIC.answer("q-upside-down", QUALITY, by=lambda c: 1 / c.truth, near=True)
# The envelope thought to die away as fast as ω0 says.
TOPIC.answer(
    "radius-for-decay", DECAY, Rung.SWINGS, near=True,
    by=of_pair(lambda c, p: (1 if c.rung is DECAY else p.height / 2) / p.radius),
)  # fmt: skip
# One over the imaginary part.
TOPIC.answer("height-for-decay", DECAY, by=of_pair(lambda _, p: 1 / p.height), near=True)
# A rate of decay treated as an angular frequency: its period, or 2π put in once more.
TOPIC.answer(
    "turn-in-decay", DECAY, Rung.TIME_CONSTANT, by=lambda c: (c.truth * TWO_PI, c.truth / TWO_PI)
)
# 1/2σ, the time constant of the energy.
TOPIC.answer("energy-decay", DECAY, by=lambda c: c.truth / 2)


def _real_pair(case: Case) -> tuple[float, float] | None:
    """The corners in Hz that two real poles make."""
    poles = case.facts.poles if case.order == 2 else ()
    return (abs(poles[0]) / TWO_PI, abs(poles[1]) / TWO_PI) if poles else None


@TOPIC.slip("other-pole", CORNER)
def other_pole(case: Case) -> Iterator[Guess]:
    """The other one of two real poles."""
    if (found := _real_pair(case)) is not None:
        yield Guess(found[0] if case.question.asked == "higher" else found[1])


@TOPIC.slip("mean-of-poles", CORNER)
def mean_of_poles(case: Case) -> Iterator[Guess]:
    """f0, the geometric mean of two real poles, or their arithmetic one, for a corner."""
    if (found := _real_pair(case)) is not None:
        yield Guess(math.sqrt(found[0] * found[1]))
        yield Guess(sum(found) / 2)


def _map_with(case: Case, q: float) -> Iterator[Guess]:
    """The map that shows poles of this Q, if there is one."""
    shown = case.question.exhibit
    for place, plot in zip(PLACES, shown.plots if shown else (), strict=False):
        if abs(q_of_map(plot) / q - 1) < _SAME_MAP:
            yield Guess(place)


_SAME_MAP = 0.1
"""Relative: the maps offered have Qs that are twice each other."""
