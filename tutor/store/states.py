"""What is known of each skill, derived from the evidence step by step.

The record keeps a row of JSON for each skill and carries it on with each new piece of
evidence, so that a long record opens as fast as a short one.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress

from ..learning.evidence import Evidence
from ..learning.skill_map import skill_of
from ..learning.skills import SkillState, advance

FORM = "4"
"""To be raised whenever ``skills.advance`` or ``skill_of`` makes other states of the same
evidence: the states in older records are then made anew, beside the screen."""


def skill(evidence: Evidence) -> str:
    """The skill that a piece of evidence speaks of."""
    return skill_of(evidence.family, evidence.rung)


def write(state: SkillState) -> str:
    """A state as the text of its row."""
    return json.dumps(state.to_row(), ensure_ascii=False, separators=(",", ":"))


def read(text: str) -> SkillState:
    """A state from the text of its row.

    Raises:
        ValueError: it is none (also TypeError, LookupError).
    """
    return SkillState.from_row(json.loads(text))


def advanced(text: str | None, evidence: Evidence) -> str:
    """The row of a skill, ``text`` or None before, after one more piece of ``evidence``.

    A row that cannot be read (only somebody's hand could have made it) counts as none: the
    answer in hand is not lost for it.
    """
    state = None
    with suppress(ValueError, TypeError, LookupError):
        state = None if text is None else read(text)
    return write(advance(state, evidence))


def fold(states: dict[str, SkillState], evidence: Iterable[Evidence]) -> None:
    """Carry the ``states`` on over pieces of ``evidence``, in their order."""
    for found in evidence:
        name = skill(found)
        states[name] = advance(states.get(name), found)
