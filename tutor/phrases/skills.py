"""Skills and slips by their names, as screens and pages write them."""

from __future__ import annotations

from functools import cache

from ...problems.questions.model import Rung
from ..language.texts import Words, fill
from ..learning.skill_map import parts_of


@cache
def rung_words(rung: Rung) -> str:
    """The name of a kind of question."""
    return Words.load().title(rung)


@cache
def skill_parts(skill: str) -> tuple[str, str]:
    """The kind of question and the circuits of a skill, in words; what is unknown as it is."""
    try:
        group, rung = parts_of(skill)
    except ValueError:
        return skill, ""
    return rung_words(rung), fill("opening", f"group.{group.value}")


def slip_words(slip: str) -> str:
    """The name of a slip; one that this version does not know as it is."""
    try:
        return Words.load().slip_name(slip)
    except KeyError:
        return slip
