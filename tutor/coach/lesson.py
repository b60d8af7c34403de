"""A level's short lesson: as plain text, and whether it is worth offering."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from ..language.ascii import ascii_form
from ..language.texts import Words
from ..learning.skill_map import group_of

if TYPE_CHECKING:
    from ...problems.questions.model import Problem
    from ..store.keeper import Keeper

OFFERED = "lessons"
"""The setting that holds the levels whose lesson was offered, as digits."""

NARROWEST, WIDEST = 20, 80


def lines(level: int, width: int, ascii: bool = False) -> list[str]:  # noqa: A002
    """The lesson of a level, wrapped.

    Lines that begin with a space are formulas and tables: they are kept whole where they
    fit, and folded with their indent where they do not.

    Args:
        level: from 1 to 7.
        width: columns of a line, as far as they are readable.
        ascii: use plain ASCII characters only.
    """
    title, text = Words.load().lesson(level)
    width = max(NARROWEST, min(width, WIDEST))
    found: list[str] = []
    for line in [title, "", *text.split("\n")]:
        shown = ascii_form(line) if ascii else line
        if len(shown) <= width:
            found.append(shown)
            continue
        indent = "    " if shown.startswith(" ") else ""
        found += textwrap.wrap(
            " ".join(shown.split()),
            width,
            initial_indent=indent[:2],
            subsequent_indent=indent,
            break_on_hyphens=False,
        )
    return found


def is_new(keeper: Keeper, problem: Problem) -> bool:
    """Whether a problem is the learner's first of its level; asked once, it is not any more.

    Somebody who has climbed such circuits before is not offered the lesson.

    Args:
        keeper: whose record says it, and keeps that it was asked.
        problem: the problem.
    """
    offered, level = keeper.setting(OFFERED), str(problem.level)
    if level in offered:
        return False
    keeper.set(OFFERED, offered + level)
    group = f"{group_of(problem.family).value}/"
    return not any(skill.startswith(group) for skill in keeper.states())
