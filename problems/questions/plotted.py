"""Plots of an exact H(s) as plain points: gain, phase, step response, map.

What an exhibit holds (``exhibit.py``) is made here alone.  All is rounded to what can be read off
a picture: frequencies and times to five digits, the gain to a hundredth of a decibel, the phase to
a tenth of a degree, roots to four digits.
"""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

from ..analysis.asymptotes import Sweep
from ..analysis.response import TWO_PI, FilterType, Response, decibels
from ..analysis.step import StepResponse
from ..analysis.transfer import TransferFunction
from ..analysis.two_poles import numerator
from ..chance import Chance
from .exhibit import Plot, Points

PER_DECADE = 24
"""Points of a curve in each decade."""
_NEAR = (
    0.0,
    *(sign * off for off in (0.001, 0.004, 0.012, 0.03, 0.06, 0.1, 0.16) for sign in (-1, 1)),
)
"""Where around a peak or a notch there are more, as shares of its frequency."""

_FLOOR = -200.0
"""What is lower is drawn no lower: the gain of a null is −∞ dB."""

_NOISE = 10
"""Hundredths of a decibel by which a measured gain may be off, either way."""

_STEPS = 200
"""Points of a step response."""


def prototype(
    type: FilterType,  # noqa: A002
    q: Fraction,
    omega: Fraction = Fraction(TWO_PI),
) -> Response:
    """The response of two poles and nothing else, of a type, with a pass-band gain of 1.

    Args:
        type: low-pass, high-pass, band-pass or notch.
        q: its Q.
        omega: its ω0 in rad/s; the corner is at 1 Hz unless it is given.

    Raises:
        ValueError: there is no such prototype.
    """
    bottom = (Fraction(1), omega / q, omega * omega)
    return Response(TransferFunction(numerator(type, bottom), bottom))


def gain_points(response: Response, low: float, high: float) -> Points:
    """The gain in dB against Hz.

    Args:
        response: what is plotted.
        low: the lowest frequency in Hz.
        high: the highest.
    """
    points = []
    for hertz in _frequencies(response, low, high):
        try:
            level = decibels(abs(response.transfer(1j * TWO_PI * hertz)))
        except ZeroDivisionError:  # exactly on an undamped pole
            continue
        level = max(_FLOOR, _FLOOR if level is None else level)
        points.append((digits(hertz, 5), round(level, 2)))
    return tuple(points)


def phase_points(response: Response, low: float, high: float) -> Points:
    """The phase in degrees, continuous but for the jump of a null, against Hz.

    Args:
        response: what is plotted.
        low: the lowest frequency in Hz.
        high: the highest.
    """
    places = _frequencies(response, low, high)
    phases = Sweep(response).phases_deg(places)
    return tuple((digits(f, 5), round(v, 1) + 0.0) for f, v in zip(places, phases, strict=True))


def step_points(response: Response, until: float) -> Points:
    """The output in volts against seconds, after the source has jumped from 0 to 1 V at 0 s.

    Rounded to a thousandth of the highest power of ten in it.

    Args:
        response: what is plotted.
        until: the last time, in seconds.
    """
    return _stepped(response.transfer, until)


@lru_cache(maxsize=16)
def _stepped(transfer: TransferFunction, until: float) -> Points:
    """The same, kept: curves to choose from come again where poles are told instead."""
    times = [until * n / _STEPS for n in range(_STEPS + 1)]
    volts = StepResponse(transfer).at(times)
    size = max(map(abs, volts))
    places = 3 - math.floor(math.log10(size)) if size else 0
    return tuple((digits(t, 5), round(v, places) + 0.0) for t, v in zip(times, volts, strict=True))


def map_plot(response: Response) -> Plot:
    """The poles and zeros of ``response``, in rad/s."""
    return Plot(
        poles=tuple(map(root_digits, response.poles)),
        zeros=tuple(map(root_digits, response.zeros)),
    )


def measured(points: Points, chance: Chance) -> Points:
    """A gain as if measured: each level is off by up to a tenth of a decibel.

    Args:
        points: the exact ones.
        chance: draws the noise; that of a curve several kinds are asked about is shared
            (``Asking.drawn``).
    """
    return tuple((hertz, round(level + _noise(chance), 2)) for hertz, level in points)


def digits(value: float, count: int) -> float:
    """A ``value`` rounded to a ``count`` of significant digits."""
    return float(f"{value:.{count - 1}e}")


def root_digits(root: complex) -> complex:
    """A ``root`` as it can be read off a map: four digits."""
    return complex(digits(root.real, 4), digits(root.imag, 4))


def _noise(chance: Chance) -> float:
    """In dB: of two dice of alike sides, so that small errors are likelier than large ones."""
    return (chance.below(_NOISE + 1) + chance.below(_NOISE + 1) - _NOISE) / 100


def _frequencies(response: Response, low: float, high: float) -> list[float]:
    """Where a curve has its points: a sharp peak or a notch needs more, and nearer to it."""
    first = math.floor(round(math.log10(low) * PER_DECADE, 6))
    last = math.ceil(round(math.log10(high) * PER_DECADE, 6))
    places = [10 ** (n / PER_DECADE) for n in range(first, last + 1)]
    places += [place for place in (low, high) if place not in places]
    sharp = [hertz for hertz in (response.peak_hz, response.notch_hz) if hertz]
    places += [hertz * (1 + off) for hertz in sharp if low < hertz < high for off in _NEAR]
    return sorted(place for place in places if low <= place <= high)
