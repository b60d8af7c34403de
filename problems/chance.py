"""A repeatable source of chance: the same draws on every machine and Python version.

The standard library promises only ``random()`` itself across versions, not ``choice`` or
``shuffle``, so the few draws we need stand on SplitMix64 (Steele, Lea & Flood, "Fast
splittable pseudorandom number generators", OOPSLA 2014), which fits in five lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import TypeVar

T = TypeVar("T")
_MASK = (1 << 64) - 1
_STEP = 0x9E3779B97F4A7C15


def _scrambled(z: int) -> int:
    """The 64 bits that a state of SplitMix64 stands for."""
    z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & _MASK
    return z ^ (z >> 31)


@lru_cache(maxsize=1024)
def _mixed(state: int, part: str) -> int:
    """The state of a stream within the stream of a state: paths mostly begin alike."""
    # Mix byte by byte: hash() differs from process to process.
    for byte in part.encode() + b"/":
        state = _scrambled((state + _STEP) & _MASK) ^ byte
    return state


class Chance:
    """Draws from one seed; ``path`` makes independent streams of the same seed."""

    def __init__(self, seed: int, *path: str | int) -> None:
        self._state = seed & _MASK
        for part in path:
            self._state = _mixed(self._state, str(part))

    def bits(self) -> int:
        """The next 64 bits."""
        self._state = (self._state + _STEP) & _MASK
        return _scrambled(self._state)

    def below(self, n: int) -> int:
        """An integer from 0 to n − 1, without bias.

        Raises:
            ValueError: n is not positive, or beyond 64 bits.
        """
        if not 0 < n <= _MASK:
            raise ValueError(f"cannot draw below {n}")
        limit = (_MASK + 1) - (_MASK + 1) % n
        while (drawn := self.bits()) >= limit:
            pass
        return drawn % n

    def pick(self, options: Sequence[T]) -> T:
        """One of the options."""
        return options[self.below(len(options))]

    def shuffled(self, options: Sequence[T]) -> list[T]:
        """A new list in random order (Fisher-Yates)."""
        result = list(options)
        for i in range(len(result) - 1, 0, -1):
            j = self.below(i + 1)
            result[i], result[j] = result[j], result[i]
        return result
