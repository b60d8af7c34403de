"""Places of poles: from the map to ω0, Q and what a step brings out, and from f0 and Q to the map.

p = −σ ± jωd with σ = ω0/2Q and ωd = ω0·√(1 − 1/4Q²): ω0 is the distance from the origin, and the
angle from the negative real axis has the cosine σ/ω0 = 1/2Q.  In every text on circuit analysis;
common practice, no source.

The coordinates of the poles are told in words beside the map.  The real part of a sharp pair is too
small to be read off any picture, and a screen reader shows none; and what is asked is never a
coordinate, but what it means.  Which of four maps it is has to be seen: there, nothing is told.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from ..analysis.response import TWO_PI, Facts, PoleNature
from ..chance import Chance
from ..quantities.units import Quantity
from ..quantities.write import write_conjugates, write_quantity
from . import plotted
from .asking import Asking, quantity
from .exhibit import Chart, Exhibit, Plot
from .kinds import MAKERS, MEASURES
from .model import PLACES, Choice, Form, Question, Rung, Values

NEAR_DEGREES = Fraction(1)
_DIGITS = 4
_CLEAR_Q = 0.55
"""Nearer to ½, Q to four digits says little about how far up a pair lies."""
_APART = 1.5
"""Corners of real poles that are asked for lie at least by this ratio apart."""
_LEAST_Q, _MOST_Q = 0.15, 4.8
"""Between these a small map can be told from those of half and of twice its Q: above, both pairs
lie on the jω axis but for a tenth of ω0; below, one pole lies at the origin for the eye."""


@dataclass(frozen=True, slots=True)
class PolePair:
    """A complex pair of poles, −``decay`` ± j·``height``, in rad/s."""

    decay: float
    height: float

    @property
    def radius(self) -> float:
        """How far from the origin they lie: ω0."""
        return math.hypot(self.decay, self.height)

    @property
    def quality(self) -> float:
        """Q."""
        return self.radius / (2 * self.decay)

    @property
    def swing(self) -> float:
        """What each swing of a step response is of the one before it: e^(−πσ/ωd)."""
        return math.exp(-math.pi * self.decay / self.height)


def pole_pair(facts: Facts) -> PolePair | None:
    """The complex pair of poles of a circuit of two; ``None`` for any other."""
    if facts.pole_nature is not PoleNature.COMPLEX or facts.q is None:
        return None
    upper = max(facts.poles, key=lambda pole: pole.imag)
    return PolePair(-upper.real, upper.imag)


def _of_pair(figure: Callable[[PolePair], float]) -> Callable[[Facts], float | None]:
    """A figure of the complex pair, of a circuit that has one."""

    def measure(facts: Facts) -> float | None:
        found = pole_pair(facts)
        return None if found is None else figure(found)

    return measure


radius_hz = _of_pair(lambda pair: pair.radius / TWO_PI)
"""f0 of a complex pair, which is its distance from the origin over 2π."""
angle = _of_pair(lambda pair: math.degrees(math.atan2(pair.height, pair.decay)))
"""The angle of a complex pair from the negative real axis, in degrees."""
quality = _of_pair(lambda pair: pair.quality)
"""Q of a complex pair."""
decay_time = _of_pair(lambda pair: 1 / pair.decay)
"""The time constant in seconds with which the ringing of a complex pair dies away."""
ringing_hz = _of_pair(lambda pair: pair.height / TWO_PI)
"""The frequency in Hz at which a complex pair rings."""


def _map(facts: Facts) -> Exhibit:
    return Exhibit(Chart.MAP, (plotted.map_plot(facts),), "rad/s")


def told_poles(facts: Facts) -> Values:
    """Where the poles lie, in words: a pair as one text, real ones one by one."""
    found = pole_pair(facts)
    if found is not None:
        pole = complex(-found.decay, found.height)
        return (("poles", write_conjugates(pole, "rad/s", _DIGITS)),)
    texts = (write_quantity(pole.real, "rad/s", _DIGITS) for pole in facts.poles)
    return tuple((f"p{n}", text) for n, text in enumerate(texts, 1))


# ------------------------------------------------------------------- from the map


@MAKERS(Rung.POLE_RADIUS)
def _radius(asking: Asking) -> Question | None:
    hertz = radius_hz(asking.facts)
    if hertz is None:
        return None
    asked = asking.chance.pick(("omega", "hertz"))
    truth, unit = (hertz * TWO_PI, "rad/s") if asked == "omega" else (hertz, "Hz")
    values = (("asked", asked), *told_poles(asking.facts))
    return _figure(asking, Rung.POLE_RADIUS, truth, unit, values)


def _figure(asking: Asking, rung: Rung, truth: float, unit: str, values: Values) -> Question:
    """A figure that follows from the poles of the map."""
    return quantity(rung, truth, unit, values, exhibit=_map(asking.facts))


@MAKERS(Rung.POLE_ANGLE)
def _angle(asking: Asking) -> Question | None:
    found = angle(asking.facts)
    if found is None:
        return None
    told, shown = told_poles(asking.facts), _map(asking.facts)
    truth = round(found, 6)
    return Question(Rung.POLE_ANGLE, Form.LEVEL, truth, (), "°", NEAR_DEGREES, told, shown)


_PLAIN = {
    Rung.POLE_Q: (quality, ""),
    Rung.POLE_DECAY: (decay_time, "s"),
    Rung.POLE_RINGING: (ringing_hz, "Hz"),
}
"""Figures of a pair that are asked for in one way alone, and their units."""


def _plain(rung: Rung, asking: Asking) -> Question | None:
    measure, unit = _PLAIN[rung]
    found = measure(asking.facts)
    if found is None:
        return None
    return _figure(asking, rung, found, unit, told_poles(asking.facts))


for _rung in _PLAIN:
    MAKERS(_rung)(partial(_plain, _rung))


@MAKERS(Rung.POLE_CORNER)
def _corner(asking: Asking) -> Question | None:
    """The corner that a real pole makes: its distance from the origin, in Hz."""
    sizes = [abs(pole) / TWO_PI for pole in asking.facts.poles]
    if len(sizes) not in (1, 2) or any(pole.imag or not pole for pole in asking.facts.poles):
        return None
    if len(sizes) == 2 and sizes[1] < _APART * sizes[0]:
        return None
    asked = asking.chance.pick(("lower", "higher")) if len(sizes) == 2 else "one"
    truth = sizes[-1] if asked == "higher" else sizes[0]
    values = (("asked", asked), *told_poles(asking.facts))
    return _figure(asking, Rung.POLE_CORNER, truth, "Hz", values)


# ------------------------------------------------------------------- back to the map


def _given(facts: Facts) -> Values:
    """f0 and Q, as they stand in a sentence: to four digits."""
    f0, q = facts.corner_hz or 0.0, facts.q or 0.0
    hertz, plain = (Fraction(str(plotted.digits(value, _DIGITS))) for value in (f0, q))
    return (("f0", Quantity(hertz, "Hz")), ("q", Quantity(plain, "")))


@MAKERS(Rung.POLE_PLACE)
def _place(asking: Asking) -> Question | None:
    found = pole_pair(asking.facts)
    if found is None:
        return None
    asked = asking.chance.pick(("left", "up")) if found.quality > _CLEAR_Q else "left"
    truth = found.decay if asked == "left" else found.height
    values = (("asked", asked), *_given(asking.facts))
    return quantity(Rung.POLE_PLACE, truth, "rad/s", values)


def map_of(q: float) -> Plot:
    """The map of two poles of a ``q``, in multiples of ω0."""
    half = 1 / (2 * q)
    if half < 1:
        upper = plotted.root_digits(complex(-half, math.sqrt(1 - half * half)))
        return Plot(poles=(upper, upper.conjugate()))
    spread = math.sqrt(half * half - 1)
    poles = (plotted.root_digits(complex(spread - half)), plotted.root_digits(-half - spread + 0j))
    return Plot(poles=poles)


def _row_of_maps(q: float, chance: Chance) -> list[float]:
    """Four values of Q, each twice the one before, ``q`` among them; empty where maps are alike.

    Whichever of such a row is right, the row looks the same.
    """
    rows = ([q * 2.0 ** (n - place) for n in range(len(PLACES))] for place in range(len(PLACES)))
    fit = [row for row in rows if row[0] >= _LEAST_Q and row[-1] <= _MOST_Q]
    return chance.pick(fit) if fit else []


@MAKERS(Rung.WHICH_MAP)
def _which_map(asking: Asking) -> Question | None:
    facts = asking.facts
    row = _row_of_maps(facts.q, asking.chance) if facts.q is not None else []
    if not row:
        return None
    row = asking.chance.shuffled(row)
    assert facts.q is not None
    truth = PLACES[row.index(facts.q)]
    shown = Exhibit(Chart.MAP, tuple(map(map_of, row)), "")
    choices = tuple(map(Choice, PLACES))
    return Question(
        Rung.WHICH_MAP, Form.CHOICE, truth, choices, values=_given(facts), exhibit=shown
    )


def q_of_map(plot: Plot) -> float:
    """Q of the two poles of a ``plot``."""
    one, other = plot.poles
    return math.sqrt(abs(one) * abs(other)) / -(one + other).real


MEASURES(Rung.POLE_RADIUS)(radius_hz)
MEASURES(Rung.POLE_ANGLE)(angle)
for _rung, (_measure, _) in _PLAIN.items():
    MEASURES(_rung)(_measure)
