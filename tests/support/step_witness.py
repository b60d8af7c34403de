"""Truths about poles and step responses found another way: numpy, scipy, mpmath, a reader."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping

import mpmath
import numpy as np
from rungwise.problems.analysis.response import Facts
from rungwise.problems.quantities.units import Quantity
from rungwise.problems.questions.model import Rung
from scipy import signal

from tests.support.oracle import response
from tests.support.predicted import Asked, Witness, figure

PLACES = ("first", "second", "third", "fourth")


# ------------------------------------------------------------------------- poles


def system(known: Facts) -> tuple[list[float], list[float]]:
    """H(s) as scipy takes it."""
    return [float(c) for c in known.transfer.numerator], [
        float(c) for c in known.transfer.denominator
    ]


def upper(known: Facts) -> complex:
    """The pole with the largest imaginary part, by mpmath to 40 digits."""
    with mpmath.workdps(40):
        bottom = [mpmath.mpf(c.numerator) / c.denominator for c in known.transfer.denominator]
        scale = abs(bottom[-1]) ** (mpmath.mpf(1) / (len(bottom) - 1))
        found = mpmath.polyroots([c / scale**n for n, c in enumerate(bottom)], maxsteps=200)
        best = max(found, key=lambda root: root.imag)
        return complex(best * scale)


def _near(found: float, asked: Asked, share: float = 1e-6) -> bool:
    return math.isclose(found, figure(asked), rel_tol=share)


def _radius(asked: Asked) -> bool:
    size = abs(upper(asked.known))
    return _near(size if asked.question.unit == "rad/s" else size / math.tau, asked)


def _corner(asked: Asked) -> bool:
    sizes = sorted(abs(np.roots(system(asked.known)[1])))
    wanted = {"one": 0, "lower": 0, "higher": 1}[str(dict(asked.question.values)["asked"])]
    return _near(float(sizes[wanted]) / math.tau, asked, 1e-5)


def _place(asked: Asked) -> bool:
    """From f0 and Q as they stand in the question alone."""
    given = dict(asked.question.values)
    f0, q = given["f0"], given["q"]
    assert isinstance(f0, Quantity) and isinstance(q, Quantity)
    omega, quality = math.tau * float(f0.value), float(q.value)
    pole = max(np.roots([1, omega / quality, omega**2]), key=lambda root: root.imag)
    found = -pole.real if given["asked"] == "left" else pole.imag
    # f0 and Q are told to four digits.
    return _near(float(found), asked, 2e-3)


def _which_map(asked: Asked) -> bool:
    q = dict(asked.question.values)["q"]
    assert isinstance(q, Quantity) and asked.question.exhibit is not None
    # Q is told to four digits: near ½, where the two poles meet, that moves them by a little.
    wanted = np.sort_complex(np.roots([1, 1 / float(q.value), 1]))
    fits = [
        place
        for place, plot in zip(PLACES, asked.question.exhibit.plots, strict=True)
        if np.allclose(np.sort_complex(np.array(plot.poles, complex)), wanted, 2e-3, 0.03)
    ]
    return fits == [asked.question.truth]


# ------------------------------------------------------------------------- step responses


def step(known: Facts, times: np.ndarray) -> np.ndarray:
    """The step response by scipy, in seconds and volts."""
    top, bottom = system(known)
    order = len(bottom) - 1
    unit = 1 / abs(bottom[-1]) ** (1 / order)  # scipy likes times about 1
    scaled = [c * unit ** (order - len(top) + 1 + n) for n, c in enumerate(top)]
    below = [c * unit**n for n, c in enumerate(bottom)]
    return np.asarray(signal.step((scaled, below), T=times / unit)[1])


def _whole(known: Facts) -> np.ndarray:
    slowest = min(-np.roots(system(known)[1]).real)
    return np.linspace(0, 16 / slowest, 1601)


def _time_to(known: Facts, share: float) -> float:
    times = _whole(known)
    volts = step(known, times)
    done = (volts - volts[0]) / (volts[-1] - volts[0])
    return float(np.interp(share, done, times))


def _tau(asked: Asked) -> bool:
    return _near(_time_to(asked.known, 1 - math.exp(-1)), asked, 1e-3)


def _rise(asked: Asked) -> bool:
    return _near(_time_to(asked.known, 0.9) - _time_to(asked.known, 0.1), asked, 1e-3)


def _overshoot(asked: Asked) -> bool:
    times = np.linspace(0, 1.6 * math.pi / upper(asked.known).imag, 801)
    volts = step(asked.known, times)
    end = abs(response(asked.problem.ladder, [1e-7 * asked.known.corner_hz])[0])
    return _near(float(volts.max() / end - 1), asked, 1e-4)


def _extremes(known: Facts) -> np.ndarray:
    """When the output turns, in seconds, over three periods."""
    times = np.linspace(0, 6 * math.pi / upper(known).imag, 1801)[1:]
    volts = step(known, times)
    slopes = np.diff(volts)
    at = np.nonzero(slopes[:-1] * slopes[1:] < 0)[0]
    share = slopes[at] / (slopes[at] - slopes[at + 1])
    return np.asarray(times[at + 1] + (share - 0.5) * (times[1] - times[0]))


def _ringing(asked: Asked) -> bool:
    pole = upper(asked.known)
    if -pole.real > 0.7 * pole.imag:  # dies away too fast to be seen to turn twice
        return _near(pole.imag / math.tau, asked)
    turned = _extremes(asked.known)
    return _near(1 / (2 * float(turned[1] - turned[0])), asked, 2e-3)


def _swings(asked: Asked) -> bool:
    """Periods until e^(−σt) is e^(−π), counted along the envelope of mpmath's pole."""
    pole = upper(asked.known)
    times = np.linspace(0, 4 / -pole.real, 8001)
    envelope = np.exp(pole.real * times)
    until = float(np.interp(-math.exp(-math.pi), -envelope, times))
    return _near(until * pole.imag / math.tau, asked, 1e-3)


def _moment(asked: Asked, times: float) -> bool:
    """By nodal analysis, far beyond the poles."""
    sizes = abs(np.roots(system(asked.known)[1])) / math.tau
    place = (sizes.max() if times > 1 else sizes.min()) * times
    gain = abs(response(asked.problem.ladder, [place])[0])
    found = "nothing" if gain < 1e-4 else "all" if abs(gain - 1) < 1e-6 else "part"
    return found == asked.question.truth


def _which_step(asked: Asked) -> bool:
    """Only the curve that is right is the output that scipy finds, in volts and seconds."""
    exhibit = asked.question.exhibit
    assert exhibit is not None
    fits = []
    for place, plot in zip(PLACES, exhibit.plots, strict=True):
        times, volts = (np.array(x) for x in zip(*plot.points, strict=True))
        # The times shown are rounded to five digits, so evenly spaced ones stand for them.
        even = np.linspace(0, times[-1], len(times))
        if np.max(np.abs(step(asked.known, even) - volts)) < 3e-3 * np.max(np.abs(volts)):
            fits.append(place)
    return fits == [asked.question.truth]


def _step_q(asked: Asked) -> bool:
    pole = upper(asked.known)
    return _near(abs(pole) / (-2 * pole.real), asked)


MAP: Mapping[Rung, Witness] = {
    Rung.POLE_RADIUS: _radius,
    Rung.POLE_ANGLE: lambda a: abs(180 - math.degrees(np.angle(upper(a.known))) - figure(a)) < 1e-5,
    Rung.POLE_Q: lambda a: _near(-0.5 / math.cos(np.angle(upper(a.known))), a),
    Rung.POLE_DECAY: lambda a: _near(-1 / upper(a.known).real, a),
    Rung.POLE_RINGING: _ringing,
    Rung.POLE_CORNER: _corner,
    Rung.MAP_STEP: _which_step,
}
POLES: Mapping[Rung, Witness] = {Rung.POLE_PLACE: _place, Rung.WHICH_MAP: _which_map}
STEP: Mapping[Rung, Witness] = {
    Rung.STEP_FIRST: lambda a: _moment(a, 1e6),
    Rung.STEP_LAST: lambda a: _moment(a, 1e-6),
    Rung.WHICH_STEP: _which_step,
    Rung.TIME_CONSTANT: _tau,
    Rung.RISE_TIME: _rise,
    Rung.OVERSHOOT: _overshoot,
    Rung.STEP_RINGING: _ringing,
    Rung.SWINGS: _swings,
}
CURVE: Mapping[Rung, Witness] = {
    Rung.READ_OVERSHOOT: _overshoot,
    Rung.READ_RINGING: _ringing,
    Rung.READ_STEP_Q: _step_q,
    Rung.READ_TAU: _tau,
}

# ------------------------------------------------------------------------- a careful reader

ACROSS, DOWN = 100, 48
"""Dots of a chart at 80 columns: the reader is off by up to half of one, each time."""


def read(asked: Asked, seed: int) -> float:
    """What somebody reads off the picture alone, with half a dot of error each time."""
    exhibit, chance = asked.question.exhibit, random.Random(seed)
    assert exhibit is not None
    times, volts = (np.array(x) for x in zip(*exhibit.plots[0].points, strict=True))
    dot, level = times[-1] / ACROSS, (max(volts.max(), 0) - min(volts.min(), 0)) / DOWN

    def off(of: float) -> float:
        return chance.uniform(-0.5, 0.5) * of

    end = float(volts[-1]) + off(level)
    if asked.question.rung is Rung.READ_TAU:
        start = float(volts[0]) + off(level)
        done = (volts - start) / (end - start)
        return float(np.interp(1 - math.exp(-1), done, times)) + off(dot)
    share = (float(volts.max()) + off(level) - end) / end
    if asked.question.rung is Rung.READ_OVERSHOOT:
        return share
    if asked.question.rung is Rung.READ_STEP_Q:
        return 0.5 * math.sqrt(1 + (math.pi / math.log(share)) ** 2)
    # From the first high point to the last turn that is at least two dots from the end.
    once = np.concatenate(([True], np.diff(volts) != 0))
    times, volts = times[once], volts[once]
    turns = [
        n
        for n in range(1, len(volts) - 1)
        if (volts[n] - volts[n - 1]) * (volts[n + 1] - volts[n]) < 0
        and abs(volts[n] - volts[-1]) > level
    ]
    halves = len(turns) - 1
    spread = float(times[turns[-1]] - times[turns[0]]) if halves else float(times[turns[0]])
    return max(halves, 1) / (2 * (spread + off(dot) + off(dot)))


def read_right(asked: Asked, seed: int) -> bool:
    """Whether that is within the tolerance."""
    return abs(read(asked, seed) - figure(asked)) <= asked.question.slack
