"""Slips about the places of poles: what a coordinate, the radius and the angle stand for.

Common practice, no source.  What is asked in rad/s is looked at in Hz here, as everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import TWO_PI
from ..questions.model import PLACES, Rung
from ..questions.poles import pole_pair, q_of_map
from .case import Case, Guess, Topic
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


@TOPIC.slip("height-for-radius", RADIUS, QUALITY)
def height_for_radius(case: Case) -> Iterator[Guess]:
    """The imaginary part taken for ω0."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess(case.truth * found.height / found.radius, near=True)


@TOPIC.slip("radius-for-height", PLACE, *RINGING)
def radius_for_height(case: Case) -> Iterator[Guess]:
    """ω0 taken for the frequency at which it rings."""
    found = pole_pair(case.facts)
    if found is not None and _asked(case) != "left":
        yield Guess(found.radius / TWO_PI, near=True)


@TOPIC.slip("decay-for-frequency", RADIUS, *RINGING)
def decay_for_frequency(case: Case) -> Iterator[Guess]:
    """The distance from the jω axis, which says how fast it dies away, taken for a frequency."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess(found.decay / TWO_PI, near=True)


@TOPIC.slip("coordinates-added", RADIUS)
def coordinates_added(case: Case) -> Iterator[Guess]:
    """Both parts added, or their squares subtracted, for the distance from the origin."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess((found.height + found.decay) / TWO_PI, near=True)
        yield Guess(math.sqrt(abs(found.height**2 - found.decay**2)) / TWO_PI, near=True)


@TOPIC.slip("angle-from-axis", ANGLE)
def angle_from_axis(case: Case) -> Iterator[Guess]:
    """Counted from the jω axis, or from the positive real one."""
    yield Guess(90 - case.truth, near=True)
    yield Guess(180 - case.truth, near=True)


@TOPIC.slip("angle-of-both", ANGLE)
def angle_of_both(case: Case) -> Iterator[Guess]:
    """The angle between the two poles."""
    yield Guess(2 * case.truth)


@TOPIC.slip("half-forgotten", ANGLE, PLACE, Rung.WHICH_MAP)
def half_forgotten(case: Case) -> Iterator[Guess]:
    """1/Q for 1/2Q: the poles twice as far to the left."""
    q, found = case.facts.q, pole_pair(case.facts)
    if q is None:
        return
    if case.rung is Rung.WHICH_MAP:
        yield from _map_with(case, q / 2)
    elif case.rung is ANGLE and q > 1:
        yield Guess(math.degrees(math.acos(1 / q)), near=True)
    elif found is not None and _asked(case) == "left":
        yield Guess(2 * found.decay / TWO_PI)
    elif found is not None and _asked(case) == "up" and q > 1:
        yield Guess(found.radius * math.sqrt(1 - 1 / q**2) / TWO_PI, near=True)


@TOPIC.slip("sine-for-cosine", PLACE)
def sine_for_cosine(case: Case) -> Iterator[Guess]:
    """The real part given for the imaginary one, and the other way round."""
    found = pole_pair(case.facts)
    if found is not None:
        other = found.height if _asked(case) == "left" else found.decay
        yield Guess(other / TWO_PI, near=True)


@TOPIC.slip("q-for-reciprocal", PLACE, Rung.WHICH_MAP)
def q_for_reciprocal(case: Case) -> Iterator[Guess]:
    """Q put where its reciprocal belongs: ω0·Q to the left, or a map of 1/4Q."""
    q, found = case.facts.q, pole_pair(case.facts)
    if q is None:
        return
    if case.rung is Rung.WHICH_MAP:
        yield from _map_with(case, 1 / (4 * q))
    elif found is not None and _asked(case) == "left":
        yield Guess(found.radius * q / TWO_PI, near=True)
        yield Guess(found.radius * q * 2 / TWO_PI, near=True)


@TOPIC.slip("height-over-decay", QUALITY)
def height_over_decay(case: Case) -> Iterator[Guess]:
    """ωd/σ, the tangent of the angle, for Q."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess(found.height / found.decay, near=True)


@TOPIC.slip("q-upside-down", QUALITY)
def q_upside_down(case: Case) -> Iterator[Guess]:
    """2σ/ω0 for ω0/2σ."""
    yield Guess(1 / case.truth, near=True)


@TOPIC.slip("radius-for-decay", DECAY, Rung.SWINGS)
def radius_for_decay(case: Case) -> Iterator[Guess]:
    """The envelope thought to die away as fast as ω0 says."""
    found = pole_pair(case.facts)
    if found is None:
        return
    if case.rung is DECAY:
        yield Guess(1 / found.radius, near=True)
    else:
        yield Guess(found.height / (2 * found.radius), near=True)


@TOPIC.slip("height-for-decay", DECAY)
def height_for_decay(case: Case) -> Iterator[Guess]:
    """One over the imaginary part."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess(1 / found.height, near=True)


@TOPIC.slip("turn-in-decay", DECAY, Rung.TIME_CONSTANT)
def turn_in_decay(case: Case) -> Iterator[Guess]:
    """A rate of decay treated as an angular frequency: its period, or 2π put in once more."""
    yield Guess(case.truth * TWO_PI)
    yield Guess(case.truth / TWO_PI)


@TOPIC.slip("energy-decay", DECAY)
def energy_decay(case: Case) -> Iterator[Guess]:
    """1/2σ, the time constant of the energy, or 2/σ."""
    yield Guess(case.truth / 2)


@TOPIC.slip("other-pole", CORNER)
def other_pole(case: Case) -> Iterator[Guess]:
    """The other one of two real poles."""
    if case.order == 2:
        first, second = (abs(pole) / TWO_PI for pole in case.facts.poles)
        yield Guess(first if _asked(case) == "higher" else second)


@TOPIC.slip("mean-of-poles", CORNER)
def mean_of_poles(case: Case) -> Iterator[Guess]:
    """f0, the geometric mean of two real poles, or their arithmetic one, for a corner."""
    if case.order == 2:
        first, second = (abs(pole) / TWO_PI for pole in case.facts.poles)
        yield Guess(math.sqrt(first * second))
        yield Guess((first + second) / 2)


def _asked(case: Case) -> str:
    """Which figure is asked for."""
    return str(dict(case.question.values).get("asked", ""))


def _map_with(case: Case, q: float) -> Iterator[Guess]:
    """The map that shows poles of this Q, if there is one."""
    shown = case.question.exhibit
    for place, plot in zip(PLACES, shown.plots if shown else (), strict=False):
        if abs(q_of_map(plot) / q - 1) < _SAME_MAP:
            yield Guess(place)


_SAME_MAP = 0.1
"""Relative: the maps offered have Qs that are twice each other."""
