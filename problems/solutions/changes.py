"""What a change does, what comes out, and how tuning goes, in a worked solution."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ..questions.kinds import kind
from ..questions.model import Rung
from .step import Step, step


def changes(asked: Collection[Rung]) -> Iterator[Step]:
    """The rule that the answers follow from, of each way that was ``asked``."""
    ways = {way for rung in asked for way in kind(rung).ways}
    for way, told in (("change", "changed"), ("outputs", "outputs"), ("tuning", "tuned")):
        if way in ways:
            yield step(told)
