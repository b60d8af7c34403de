"""Truths about curves found another way: nodal analysis in numpy, scipy, and a careful reader."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from rungwise.problems.circuits.model import Ladder
from rungwise.problems.quantities.units import Quantity
from rungwise.problems.questions.exhibit import Exhibit
from rungwise.problems.questions.model import Rung
from scipy import optimize, signal

from tests.support.oracle import response
from tests.support.predicted import Asked, Witness, figure

HALF = math.sqrt(0.5)


class Circuit:
    """A circuit as it is measured: of its type nothing is known but what its gain does."""

    def __init__(self, ladder: Ladder, low: float, high: float) -> None:
        self.ladder, self.low, self.high = ladder, low, high

    def at(self, hertz: float) -> complex:
        return complex(response(self.ladder, [hertz])[0])

    def gain(self, hertz: float) -> float:
        return abs(self.at(hertz))

    @cached_property
    def ends(self) -> tuple[float, float]:
        """The gain far beyond both ends of the picture."""
        return self.gain(self.low * 1e-4), self.gain(self.high * 1e4)

    @cached_property
    def peak(self) -> tuple[float, float]:
        """(Hz, gain) of the highest point within the picture."""
        places = np.geomspace(self.low, self.high, 600)
        best = int(np.argmax(np.abs(response(self.ladder, places))))
        near = np.log(places[[max(0, best - 1), min(599, best + 1)]])
        found = optimize.minimize_scalar(
            lambda x: -self.gain(math.exp(x)), bounds=tuple(near), method="bounded",
            options={"xatol": 1e-9},
        )  # fmt: skip
        return math.exp(found.x), -found.fun

    @cached_property
    def shape(self) -> str:
        low, high = (end > 0.03 * self.peak[1] for end in self.ends)
        return {(1, 0): "low", (0, 1): "high", (0, 0): "band", (1, 1): "notch"}[low, high]

    @cached_property
    def level(self) -> float:
        """The gain of the pass band."""
        by_shape = {"low": self.ends[0], "high": self.ends[1], "band": self.peak[1]}
        return by_shape.get(self.shape, self.ends[0])

    def _crossings(self, of: Callable[[float], float]) -> list[float]:
        places = np.geomspace(self.low / 3, self.high * 3, 1500)
        values = [of(f) for f in places]
        return [
            optimize.brentq(of, a, b, xtol=1e-12 * a, rtol=1e-12)
            for a, b, x, y in zip(places, places[1:], values, values[1:], strict=False)
            if x * y < 0
        ]

    @cached_property
    def edges(self) -> list[float]:
        return self._crossings(lambda f: self.gain(f) - HALF * self.level)

    @cached_property
    def corner(self) -> float:
        """Of two poles: where s² and the constant term cancel, and a quarter turn is left."""
        if self.shape in ("low", "high"):
            (found,) = self._crossings(lambda f: self.at(f).real)
        else:
            (found,) = self._crossings(lambda f: self.at(f).imag)
        return found

    def slope(self, *, right: bool) -> float:
        start = self.high * 1e3 if right else self.low * 1e-4
        return 20 * math.log10(self.gain(10 * start) / self.gain(start))

    def turn(self) -> float:
        """Degrees from end to end."""
        places = np.geomspace(self.low * 1e-4, self.high * 1e4, 6000)
        phases = np.unwrap(np.angle(response(self.ladder, places)))
        return float(np.degrees(phases[-1] - phases[0]))


def seen(asked: Asked) -> Circuit:
    exhibit = asked.question.exhibit
    assert exhibit is not None
    points = exhibit.plots[0].points
    return Circuit(asked.problem.ladder, points[0][0], points[-1][0])


def _near(found: float, asked: Asked, share: float = 1e-5) -> bool:
    return math.isclose(found, figure(asked), rel_tol=share, abs_tol=1e-5)


def _corner(asked: Asked) -> bool:
    circuit = seen(asked)
    one = dict(asked.question.values)["asked"] == "one-pole"
    return _near(circuit.edges[0] if one else circuit.corner, asked)


def _q(asked: Asked) -> bool:
    circuit = seen(asked)
    if circuit.shape in ("low", "high"):
        return _near(circuit.gain(circuit.corner) / circuit.level, asked)
    low, high = circuit.edges
    return _near(math.sqrt(low * high) / (high - low), asked)


def _bandwidth(asked: Asked) -> bool:
    low, high = seen(asked).edges
    return _near(high - low, asked)


def _peak_place(asked: Asked) -> bool:
    return _near(seen(asked).peak[0], asked, 1e-4)


def _slope(asked: Asked) -> bool:
    right = dict(asked.question.values)["asked"] == "right"
    return abs(seen(asked).slope(right=right) - figure(asked)) < 0.1


def _poles(asked: Asked) -> bool:
    circuit = seen(asked)
    turned = circuit.slope(right=False) - circuit.slope(right=True)
    return abs(turned / 20 - figure(asked)) < 0.01


def _db(gain: float) -> float:
    return 20 * math.log10(gain)


READ: Mapping[Rung, Witness] = {
    Rung.READ_CORNER: _corner,
    Rung.READ_Q: _q,
    Rung.READ_BANDWIDTH: _bandwidth,
    Rung.READ_LOWER_EDGE: lambda a: _near(seen(a).edges[0], a),
    Rung.READ_UPPER_EDGE: lambda a: _near(seen(a).edges[-1], a),
    Rung.READ_PEAK: lambda a: _near(_db(seen(a).peak[1] / seen(a).level), a),
    Rung.READ_PEAK_PLACE: _peak_place,
    Rung.READ_PASS_BAND: lambda a: _near(_db(seen(a).level), a),
    Rung.READ_SLOPE: _slope,
    Rung.READ_POLES: _poles,
    Rung.READ_TURN: lambda a: abs(seen(a).turn() / -90 - figure(a)) < 0.05,
}


# ------------------------------------------------------------------------- prototypes

TOPS = {
    "low-pass": lambda q: [1.0],
    "high-pass": lambda q: [1.0, 0.0, 0.0],
    "band-pass": lambda q: [1 / q, 0.0],
}
QS = {"½": 0.5, "1/√2": HALF, "2": 2.0, "10": 10.0}
PLACES = ("first", "second", "third", "fourth")


def two_poles(kind: str, q: float, ratio: ArrayLike) -> NDArray[np.complex128]:
    """H of two poles and nothing else, at multiples of f0, by scipy."""
    return np.asarray(signal.freqs(TOPS[kind](q), [1, 1 / q, 1], ratio)[1])


def _which(asked: Asked, *, phase: bool) -> bool:
    """Only the curve that is right runs through the points of that Q."""
    given, exhibit = dict(asked.question.values), asked.question.exhibit
    assert exhibit is not None
    fits = []
    for place, plot in zip(PLACES, exhibit.plots, strict=True):
        hertz, shown = (np.array(x) for x in zip(*plot.points, strict=True))
        h = two_poles(str(given["asked"]), QS[str(given["wanted"])], hertz)
        if phase:
            off = (np.angle(h, deg=True) - shown + 180) % 360 - 180
        else:
            off = 20 * np.log10(np.abs(h)) - shown
        if np.max(np.abs(off)) < (0.06 if phase else 0.03):
            fits.append(place)
    return fits == [asked.question.truth]


def _given(asked: Asked, key: str) -> float:
    found = dict(asked.question.values)[key]
    assert isinstance(found, Quantity)
    return float(found.value)


def _top(kind: str, q: float) -> tuple[float, float]:
    """(multiple of f0, gain) of the highest point."""
    found = optimize.minimize_scalar(
        lambda x: -abs(two_poles(kind, q, np.array([10.0**x]))[0]),
        bounds=(-1.0, 1.0), method="bounded", options={"xatol": 1e-10},
    )  # fmt: skip
    return 10**found.x, -found.fun


def _kind(asked: Asked) -> str:
    given = dict(asked.question.values)
    return str(given.get("kind", given["asked"]))


def _peak_of_q(asked: Asked) -> bool:
    return _near(_db(_top(_kind(asked), _given(asked, "q"))[1]), asked)


def _peak_place_of_q(asked: Asked) -> bool:
    place = _top(_kind(asked), _given(asked, "q"))[0]
    return _near(_given(asked, "f0") * place, asked, 1e-4)


def _gain_of_q(asked: Asked) -> bool:
    return _near(_db(abs(two_poles(_kind(asked), _given(asked, "q"), np.array([1.0]))[0])), asked)


def so(what: str, kind: str, q: float) -> bool:
    """Whether what is asked about is so at a Q."""
    ratio = np.geomspace(1e-3, 1e3, 4001)
    gain = np.abs(two_poles(kind, q, ratio))
    match what:
        case "complex":
            return bool(np.max(np.abs(np.roots([1, 1 / q, 1]).imag)) > 1e-9)
        case "peak":
            return bool(np.max(gain) > 1 + 1e-6)
        case "middle":
            return bool(abs(ratio[int(np.argmax(gain))] - 1) < 1e-9)
    return bool(abs(two_poles(kind, q, np.array([1.0]))[0]) > 1)


def _limit(asked: Asked) -> bool:
    """It is so just above the right limit and not just below it; of "any", everywhere."""
    what = str(dict(asked.question.values)["asked"])
    limit = {"half": 0.5, "root-half": HALF, "one": 1.0}.get(str(asked.question.truth))
    tried = (0.05, 0.45, 0.55, 0.68, 0.75, 0.97, 1.03, 5.0)
    return all(so(what, _kind(asked), q) is (limit is None or q > limit) for q in tried)


OF_Q: Mapping[Rung, Witness] = {
    Rung.WHICH_GAIN_CURVE: lambda a: _which(a, phase=False),
    Rung.WHICH_PHASE_CURVE: lambda a: _which(a, phase=True),
    Rung.GAIN_OF_Q: _gain_of_q,
    Rung.PEAK_OF_Q: _peak_of_q,
    Rung.PEAK_PLACE_OF_Q: _peak_place_of_q,
    Rung.Q_LIMIT: _limit,
}


# ------------------------------------------------------------------------- a careful reader

ACROSS, DOWN = 100, 48
"""Dots of a chart at 80 columns: the reader is off by up to half of one, each time."""


class Reader:
    """Somebody who has the picture alone, and no marker on it; without a seed, one who errs not."""

    def __init__(self, exhibit: Exhibit, seed: int | None) -> None:
        points = exhibit.plots[0].points
        self.x = np.log10([f for f, _ in points])
        self.y = np.array([v for _, v in points])
        self.chance = None if seed is None else random.Random(seed)
        self.dot = (self.x[-1] - self.x[0]) / ACROSS
        self.step = (self.y.max() - self.y.min()) / DOWN

    def _off(self) -> float:
        return 0.0 if self.chance is None else self.chance.uniform(-0.5, 0.5)

    def level(self, x: float) -> float:
        return float(np.interp(x, self.x, self.y)) + self._off() * self.step

    def crossings(self, level: float) -> list[float]:
        """Where the curve crosses a level, in decades."""
        y, found = self.y - level, []
        for n in range(len(y) - 1):
            if y[n] * y[n + 1] < 0:
                share = y[n] / (y[n] - y[n + 1])
                found.append(
                    self.x[n] + share * (self.x[n + 1] - self.x[n]) + self._off() * self.dot
                )
        return found

    @cached_property
    def shape(self) -> str:
        """Flat at the left end, at the right one, at both, or at none."""
        tenth = (self.x[-1] - self.x[0]) / 10
        low, high = (
            abs(np.interp(end + off, self.x, self.y) - np.interp(end, self.x, self.y)) < 1.5
            for end, off in ((self.x[0], tenth), (self.x[-1], -tenth))
        )
        return {(1, 0): "low", (0, 1): "high", (0, 0): "band", (1, 1): "notch"}[low, high]

    @cached_property
    def flat(self) -> float:
        """The level of the pass band."""
        match self.shape:
            case "band":
                return float(self.y.max()) + self._off() * self.step
            case "high":
                return self.level(self.x[-1])
        return self.level(self.x[0])

    @cached_property
    def edges(self) -> tuple[float, float]:
        """The first and the last place 3 dB below the pass band, in Hz."""
        found = self.crossings(self.flat - 3)
        return 10 ** found[0], 10 ** found[-1]

    @cached_property
    def middle(self) -> float:
        return math.sqrt(self.edges[0] * self.edges[1])

    @cached_property
    def meeting(self) -> float:
        """Where the line of the pass band meets a skirt of 40 dB/decade."""
        end, sign = (self.x[-1], 1) if self.shape == "low" else (self.x[0], -1)
        return float(
            10 ** (end - sign * (self.flat - self.level(end)) / 40 + self._off() * self.dot)
        )

    @cached_property
    def height(self) -> float:
        return float(self.y.max()) + self._off() * self.step - self.flat

    @cached_property
    def top(self) -> float:
        """Halfway between two places of one level below the top."""
        below = self.crossings(float(self.y.max()) - 1)
        return float(10 ** ((below[0] + below[-1]) / 2))

    def slope(self, *, right: bool) -> int:
        """Over the last half decade, as the multiple of 20 that is nearest."""
        a, b = (self.x[-1] - 0.5, self.x[-1]) if right else (self.x[0], self.x[0] + 0.5)
        return round((self.level(b) - self.level(a)) / 0.5 / 20) * 20

    def turn(self) -> int:
        ends = [round(self.level(x) / 90) * 90 for x in (self.x[0], self.x[-1])]
        return (ends[0] - ends[1]) // 90

    def q(self) -> float:
        if self.shape in ("band", "notch"):
            return self.middle / (self.edges[1] - self.edges[0])
        peak = 10 ** (self.height / 20)
        # p = Q/√(1 − 1/4Q²), so Q² = p²·(1 + √(1 − 1/p²))/2
        return math.sqrt(peak * peak * (1 + math.sqrt(max(0.0, 1 - 1 / peak**2))) / 2)


def read(asked: Asked, seed: int | None) -> float:
    """What the careful reader answers."""
    question = asked.question
    assert question.exhibit is not None
    reader, given = Reader(question.exhibit, seed), dict(question.values).get("asked")
    match question.rung:
        case Rung.READ_CORNER:
            if given == "lines":
                return reader.meeting
            return reader.middle if given == "centre" else reader.edges[0]
        case Rung.READ_Q:
            return reader.q()
        case Rung.READ_BANDWIDTH:
            return reader.edges[1] - reader.edges[0]
        case Rung.READ_LOWER_EDGE | Rung.READ_UPPER_EDGE:
            return reader.edges[question.rung is Rung.READ_UPPER_EDGE]
        case Rung.READ_PEAK:
            return reader.height
        case Rung.READ_PEAK_PLACE:
            return reader.top
        case Rung.READ_PASS_BAND:
            return reader.flat
        case Rung.READ_SLOPE:
            return reader.slope(right=given == "right")
        case Rung.READ_POLES:
            return (reader.slope(right=False) - reader.slope(right=True)) / 20
    return reader.turn()


def read_right(asked: Asked, seed: int | None) -> bool:
    """Whether that is within the tolerance."""
    return abs(read(asked, seed) - figure(asked)) <= asked.question.slack
