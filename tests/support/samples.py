"""How much of a product the suite tries: a covering part, or by hand the whole.

``python -m tests.studies.whole_products`` runs every test that asks here, with all there is.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from typing import TypeVar

WHOLE = "RUNGWISE_WHOLE_PRODUCTS"
"""The variable that asks for all there is."""

A = TypeVar("A")
B = TypeVar("B")


def whole() -> bool:
    """Whether all there is was asked for."""
    return bool(os.environ.get(WHOLE))


def sample(some: A, everything: A) -> A:
    """The part that the suite tries, or everything."""
    return everything if whole() else some


def covering(firsts: Iterable[A], seconds: Sequence[B], always: int = 1) -> list[tuple[A, B]]:
    """Pairs in which every first comes with the hardest seconds, and every second at least once.

    Args:
        firsts: such as the levels.
        seconds: such as the sizes of a screen; the hardest come first.
        always: how many of the seconds come with every first; the others take turns.
    """
    firsts = list(firsts)
    if whole():
        return [(a, b) for a in firsts for b in seconds]
    pairs = [(a, b) for a in firsts for b in seconds[:always]]
    others = seconds[always:]
    turns = zip(_round(firsts, len(others)), others, strict=True)
    return sorted((*pairs, *turns), key=lambda pair: firsts.index(pair[0]))


def _round(firsts: Sequence[A], count: int) -> list[A]:
    """So many of the firsts, spread evenly."""
    return [firsts[(k * len(firsts)) // max(count, 1) % len(firsts)] for k in range(count)]
