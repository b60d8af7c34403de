"""Slips about what comes out.  Common practice, no source."""

from __future__ import annotations

from collections.abc import Iterator

from ..questions.model import Rung
from .case import Case, Guess, Topic

TOPIC = Topic("outputs")


@TOPIC.slip("dc-always-passes", Rung.DC_OUTPUT)
def dc_always_passes(case: Case) -> Iterator[Guess]:
    """Direct current is thought to get through whatever there is."""
    if case.question.truth == "nothing":
        yield Guess("all")
        yield Guess("part")
