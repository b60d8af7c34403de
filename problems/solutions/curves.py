"""What is read off a curve, and what Q does to it, in a worked solution."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ..questions.kinds import kind
from ..questions.model import Rung
from .step import Step, step


def curves(asked: Collection[Rung]) -> Iterator[Step]:
    """How it is read, or what it follows from, where that was ``asked``."""
    ways = {way for rung in asked for way in kind(rung).ways}
    if "curve" in ways:
        yield step("off-curve")
    if "which-curve" in ways:
        yield step("q-curves")
