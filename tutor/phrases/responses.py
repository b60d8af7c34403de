"""A response told in words, for those who can't see its chart: what the chart shows, no more."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator

from ...problems.analysis.response import Response
from ...problems.quantities.write import write_conjugates, write_quantity
from ...problems.questions.model import Face
from ..language.texts import speaker

_STEPS = (1, 3)
"""Where in a decade the gain is told."""

_HIGHER = 1.06
"""A peak less than this (half a decibel) above both ends can't be seen on a chart."""

_DEEP = 1e-5
"""A gain below −100 dB is said to be nothing."""

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
    if gain < _DEEP:
        return _say("nothing")
    level = 20 * math.log10(gain)
    return write_quantity(0 if abs(level) < 0.05 else round(level, 1), "dB", 4)


def _roots(response: Response) -> Iterator[str]:
    for name, roots in ("poles", response.poles), ("zeros", response.zeros):
        yield _say(name, roots=roots_told(roots, "rad/s"))


def roots_told(
    roots: Iterable[complex], unit: str, worded: Callable[[str], str] = lambda text: text
) -> str:
    """Roots in words, a pair as one.

    Args:
        roots: both of every pair.
        unit: theirs.
        worded: what is made of the figures of each but those at the origin.
    """
    texts = []
    for root, times in Counter(root for root in roots if root.imag >= 0).items():
        text = _say("origin") if root == 0 else worded(write_conjugates(root, unit, 3))
        texts.append(_say("times", root=text, times=times) if times > 1 else text)
    return "; ".join(texts) or _say("none")
