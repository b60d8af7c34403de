"""Round numbers and prefixes, which the scales of all charts have, in characters and on paper."""

from __future__ import annotations

import math

PREFIXES = (
    (1e9, "G"), (1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ"), (1e-9, "n"),
    (1e-12, "p"),
)  # fmt: skip
_NICE = (1.0, 2.0, 5.0)


def prefix_of(size: float, share: float = 0.9999, largest: float = 1e9) -> tuple[float, str]:
    """(factor, prefix) of the first prefix that a size reaches; of none the smallest.

    Args:
        size: the largest of the values that are told with it.
        share: which share of the factor is enough; a little under 1 takes rounding in.
        largest: the factor to begin with.
    """
    fitting = ((f, p) for f, p in PREFIXES if f <= largest and size >= f * share)
    return next(fitting, PREFIXES[-1])


def nice(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is not below ``least``."""
    decade = 10.0 ** math.floor(math.log10(least))
    return next((m * decade for m in _NICE if m * decade >= least * 0.999), 10 * decade)


def nice_steps(least: float, count: int) -> tuple[float, ...]:
    """So many (``count``) round numbers from ``least`` on, the smallest first."""
    steps = [nice(least)]
    while len(steps) < count:
        steps.append(nice(steps[-1] * 1.01))
    return tuple(steps)
