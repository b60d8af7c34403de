"""A response told in words, for those who can't see its chart: what the chart shows, no more."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from ...problems.analysis.response import Response
from ...problems.quantities.write import write_conjugates, write_quantity
from ...problems.questions.model import Face
from ..language.texts import fill, speaker

_STEPS = (1, 3)
"""Where in a decade the gain is told."""

_HIGHER = 1.06
"""A peak less than this (half a decibel) above both ends can't be seen on a chart."""

_DEEP = -100.0
"""Decibels below which a gain is said to be nothing."""

_say = speaker("reverse", "say.")


def lines(response: Response, face: Face) -> list[str]:
    """The lines that stand for the chart or the map (``face``) of a ``response``."""
    return list(_roots(response)) if face is Face.MAP else list(_gains(response))


def _gains(response: Response) -> Iterator[str]:
    from ..figures.bode.chart import default_decades

    low, high = (round(x) for x in default_decades(response))
    yield _say("low", slope=write_quantity(response.slope_low, "dB/decade"))
    found = []
    for power in range(low, high + 1):
        for step in _STEPS if power < high else _STEPS[:1]:
            hertz = step * 10.0**power
            gain = abs(response.transfer(2j * math.pi * hertz))
            found.append(_say("at", f=write_quantity(hertz, "Hz"), gain=_level(gain)))
    yield _say("gains", gains="; ".join(found))
    ends = float(max(response.gain_low, response.gain_high))
    if response.peak_hz and response.peak_gain and response.peak_gain > ends * _HIGHER:
        f = write_quantity(response.peak_hz, "Hz", 3)
        yield _say("peak", f=f, gain=_level(response.peak_gain))
    if response.notch_hz:
        yield _say("null", f=write_quantity(response.notch_hz, "Hz", 3))
    yield _say("high", slope=write_quantity(response.slope_high, "dB/decade"))


def _level(gain: float) -> str:
    return decibels_told(20 * math.log10(max(gain, 1e-300)), _DEEP)


def decibels_told(level: float, nothing: float) -> str:
    """A ``level`` in dB to a tenth; one below that of ``nothing`` lets nothing through."""
    if not math.isfinite(level) or level <= nothing:
        return _say("nothing")
    return write_quantity(round(level, 1) + 0.0, "dB", 4)


def _roots(response: Response) -> Iterator[str]:
    for name, roots in ("poles", response.poles), ("zeros", response.zeros):
        yield _say(name, roots=roots_told(roots))


def roots_told(roots: Sequence[complex], digits: int = 3, unit: str = "rad/s") -> str:
    """Where ``roots`` lie, in words, with so many ``digits``; pairs as one.

    Of those that are multiples of something the ``unit`` is "".
    """
    said = []
    for root, times in Counter(root for root in roots if root.imag >= 0).items():
        if root == 0:
            text = _say("origin")
        else:
            text = (
                write_conjugates(root, unit, digits)
                if root.imag
                else write_quantity(root.real, unit, digits)
            )
            text = text if unit else fill("exhibits", "say.root", [("root", text)])
        said.append(_say("times", root=text, times=times) if times > 1 else text)
    return "; ".join(said) or _say("none")
